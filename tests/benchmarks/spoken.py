"""How soon it speaks: from an alert handed to the voice to the first sample that leaves."""

import statistics
from collections.abc import Iterator

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.live import LiveSpeaker
from otherseat.daemon.voice.render import Renderer
from otherseat.daemon.voice.voice import Manner, make_voice
from tests.benchmarks.rows import Row, percentile
from tests.daemon.voice.latency import FirstSample, measure, speaker_words


def soon(count: int) -> Iterator[Row]:
    """Measure sentences that were never said before, on the audio library's null device."""
    ear = FirstSample()
    ear.watch()
    renderer = Renderer(make=lambda manner: make_voice(name="espeak", manner=manner), manner=Manner())
    speaker = LiveSpeaker(renderer=renderer, device="the null device, please")
    took = [
        measure(
            speaker=speaker,
            ear=ear,
            speech=f"Destination is {speaker_words(number)} miles behind.",
            level=Level.CAUTION,
        )
        for number in range(count)
    ]
    speaker.close()
    yield Row("alert to first sample, words never said before, median", statistics.median(took), "ms")
    yield Row("the same, p99", percentile(took, 0.99), "ms")
