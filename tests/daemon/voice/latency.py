"""How soon does it speak? From say() to the first sample that leaves, at the null device's callback.

Measured on a real LiveSpeaker with a real voice: its thread, its queue, the audio library's device thread. Kept: the
sentence was said before. New: it was never said, so that the voice must make it. Warning: its words are new, its
tone is not. Also the share of one core that the waiting voice takes, and the process's memory.

    python -m tests.daemon.voice.latency --voice espeak --count 200
"""

import argparse
import math
import time

import click
import numpy as np

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.live import LiveSpeaker
from otherseat.daemon.voice.render import Renderer
from otherseat.daemon.voice.strip import Strip
from otherseat.daemon.voice.voice import Manner, Samples, make_voice

APART_S = 0.02
PATIENCE_S = 5.0
IDLE_S = 5.0


class FirstSample:
    """Wraps Strip.pull and notes when the first audible sample leaves."""

    def __init__(self) -> None:
        self.left_s = math.inf
        self._pull = Strip.pull
        self._was_quiet = True

    def watch(self) -> None:
        """Begin to listen in."""
        watcher = self

        def pull(strip: Strip, count: int) -> Samples:
            part = watcher._pull(strip, count)
            loud = bool(np.abs(part).max(initial=0.0) > 0.0)
            if loud and watcher._was_quiet:
                watcher.left_s = time.perf_counter()
            watcher._was_quiet = not loud
            return part

        Strip.pull = pull  # type: ignore[method-assign]  # a measurement listens in


def measure(*, speaker: LiveSpeaker, ear: FirstSample, speech: str, level: Level) -> float:
    """Return the milliseconds from say() to the first sample, and end the sentence."""
    ear.left_s = math.inf
    begin_s = time.perf_counter()
    speaker.say(speech=speech, level=level, alert_id="a.1", time_s=0.0)
    while ear.left_s == math.inf and time.perf_counter() - begin_s < PATIENCE_S:
        time.sleep(0.001)
    speaker.drop(alert_id="a.1", time_s=0.0)
    while not speaker.status.quiet or not ear._was_quiet:
        time.sleep(0.001)
    time.sleep(APART_S)
    return (ear.left_s - begin_s) * 1_000.0


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="How soon the voice speaks.")
    parser.add_argument("--voice", default="espeak")
    parser.add_argument("--count", type=int, default=200)
    options = parser.parse_args()
    before_mb = _memory_mb()
    ear = FirstSample()
    ear.watch()
    renderer = Renderer(make=lambda manner: make_voice(name=options.voice, manner=manner), manner=Manner())
    speaker = LiveSpeaker(renderer=renderer, device="the null device, please")
    renderer_s = time.process_time()
    time.sleep(IDLE_S)
    idle = (time.process_time() - renderer_s) / IDLE_S
    kinds = {
        "kept": lambda _: ("Destination is two and a half miles behind.", Level.CAUTION),
        "new": lambda n: (f"Destination is {speaker_words(n)} miles behind.", Level.CAUTION),
        "warning, words new": lambda n: (f"Wrong end. This is {speaker_words(n)}.", Level.WARNING),
    }
    measure(speaker=speaker, ear=ear, speech="Destination is two and a half miles behind.", level=Level.CAUTION)
    for kind, sentence in kinds.items():
        times = [
            measure(speaker=speaker, ear=ear, speech=speech, level=level)
            for speech, level in map(sentence, range(options.count))
        ]
        p50, p99 = np.percentile(times, [50, 99])
        click.echo(f"{options.voice:8} {kind:20} p50 {p50:6.1f} ms  p99 {p99:6.1f} ms  worst {max(times):6.1f} ms")
    speaker.close()
    click.echo(f"{options.voice:8} idle {idle:.1%} of a core, {_memory_mb() - before_mb:.0f} MB more than at start")


def speaker_words(number: int) -> str:
    """Return a number that was not said before, by digits."""
    names = ("zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")
    return " ".join(names[int(digit)] for digit in f"{number:03}")


def _memory_mb() -> float:
    """Return the most memory that the process has had; 0 where the system does not tell."""
    try:
        import resource  # noqa: PLC0415 - Windows has none
    except ImportError:
        return 0.0
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024


if __name__ == "__main__":
    main()
