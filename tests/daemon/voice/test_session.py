"""A session as a file: measured from its samples."""

import itertools
import time
import wave
from pathlib import Path

import numpy as np
import pytest
from structlog.testing import capture_logs

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.render import RATE_HZ, Renderer
from otherseat.daemon.voice.session import FADE_S, TAIL_S, SessionFile
from otherseat.daemon.voice.sound import TARGET_LUFS, loudness
from otherseat.daemon.voice.speaker import Adjust
from otherseat.daemon.voice.voice import Samples
from tests.daemon.voice.fakes import CLAUSE_S, PitchVoice

NEAR_S = 0.005
TONE_S = len(Renderer(make=PitchVoice).tone(level=Level.WARNING)) / RATE_HZ


def read(file: Path) -> Samples:
    """Return a session's samples."""
    with wave.open(str(file), "rb") as heard:
        assert (1, 2, RATE_HZ) == (heard.getnchannels(), heard.getsampwidth(), heard.getframerate())
        content = np.frombuffer(heard.readframes(heard.getnframes()), dtype="<i2")
    return np.asarray(content / 32_767.0, dtype=np.float32)


def sounding(samples: Samples, *, gap_s: float = 0.1) -> list[tuple[float, float]]:
    """Return (begin, end) in seconds of what can be heard; shorter gaps belong to it."""
    audible = np.flatnonzero(np.abs(samples) > 0.001)
    if not len(audible):
        return []
    breaks = np.flatnonzero(np.diff(audible) > gap_s * RATE_HZ)
    begins = np.concatenate([audible[:1], audible[breaks + 1]])
    ends = np.concatenate([audible[breaks], audible[-1:]])
    return [(begin / RATE_HZ, end / RATE_HZ) for begin, end in zip(begins, ends, strict=True)]


def flat(spans: list[tuple[float, float]]) -> list[float]:
    """Return begin, end, begin, end, ..."""
    return [moment for span in spans for moment in span]


@pytest.fixture
def file(tmp_path: Path) -> Path:
    """Return where the session goes."""
    return tmp_path / "session.wav"


@pytest.fixture
def speaker(file: Path) -> SessionFile:
    """Return a speaker that writes there."""
    return SessionFile(path=file, renderer=Renderer(make=PitchVoice))


def say(
    speaker: SessionFile, speech: str, time_s: float, level: Level = Level.ADVICE, alert: str | None = None
) -> None:
    """Say something at a time."""
    speaker.say(speech=speech, level=level, alert_id=alert or speech, time_s=time_s)


def test_calls_stand_at_their_times(speaker: SessionFile, file: Path) -> None:
    """State time is the clock, and the first order's time is the start."""
    for time_s in (1_000.0, 1_002.5, 1_090.25):
        say(speaker, "High.", time_s)
    speaker.close()
    begins = [begin for begin, _ in sounding(read(file))]

    assert pytest.approx([0.0, 2.5, 90.25], abs=NEAR_S) == begins
    assert 3 == speaker.status.said


def test_one_voice_at_a_time(speaker: SessionFile, file: Path) -> None:
    """What comes while something is said waits, and no two overlap."""
    for time_s, speech in ((0.0, "One."), (0.1, "Two."), (0.2, "Three.")):
        say(speaker, speech, time_s)
    speaker.close()
    samples = read(file)

    assert pytest.approx(3 * CLAUSE_S + TAIL_S, abs=0.05) == len(samples) / RATE_HZ
    assert pytest.approx(TARGET_LUFS, abs=0.5) == loudness(samples=samples, rate_hz=RATE_HZ)


def test_a_warning_cuts_in(speaker: SessionFile, file: Path) -> None:
    """A warning cuts advice at once, with a fade and its two-tone; the advice does not come again."""
    say(speaker, "High.", 0.0)
    say(speaker, "Stop.", 0.4, Level.WARNING)
    speaker.close()
    samples = read(file)
    cut = round(0.4 * RATE_HZ)
    fade = round(FADE_S * RATE_HZ)

    assert pytest.approx(0.4 + TONE_S + CLAUSE_S + TAIL_S, abs=0.05) == len(samples) / RATE_HZ
    assert np.abs(samples[cut - 20 : cut]).max() < np.abs(samples[: cut - fade]).max() / 5
    assert 2 == speaker.status.said


def test_a_cut_caution_comes_again(speaker: SessionFile, file: Path) -> None:
    """A caution that a warning cut is said again after it, while it stands."""
    say(speaker, "Past destination.", 0.0, Level.CAUTION)
    say(speaker, "Stop.", 0.5, Level.WARNING)
    speaker.close()

    assert pytest.approx(0.5 + TONE_S + 2 * CLAUSE_S + TAIL_S, abs=0.05) == len(read(file)) / RATE_HZ


def test_what_cleared_is_ended(speaker: SessionFile, file: Path) -> None:
    """The sentence of an alert that clears ends then; the one that waited is not said."""
    say(speaker, "High.", 0.0, alert="high.1")
    say(speaker, "Low.", 0.1, alert="low.1")
    speaker.drop(alert_id="low.1", time_s=0.2)
    speaker.drop(alert_id="high.1", time_s=0.5)
    speaker.close()

    assert pytest.approx([0.0, 0.5], abs=0.01) == flat(sounding(read(file)))


def test_stale_advice_dies(speaker: SessionFile, file: Path) -> None:
    """Advice that could not start before its time is not said."""
    say(speaker, "Past destination. Turn back. Now.", 0.0, Level.CAUTION)
    speaker.say(speech="High.", level=Level.ADVICE, alert_id="high.1", time_s=0.1, expires_s=1.0)
    say(speaker, "Low.", 60.0)
    speaker.close()

    assert 2 == len(sounding(read(file), gap_s=0.3))
    assert 1 == speaker.status.given_up


def test_mute_during_a_warning(speaker: SessionFile, file: Path) -> None:
    """Mute ends even a warning at once and keeps what follows quiet until the voice is given back."""
    say(speaker, "Stop.", 0.0, Level.WARNING)
    speaker.mute(on=True, time_s=0.5)
    say(speaker, "Stop.", 2.0, Level.WARNING)
    speaker.mute(on=False, time_s=5.0)
    say(speaker, "High.", 6.0)
    speaker.close()
    heard = sounding(read(file), gap_s=0.3)

    assert pytest.approx([0.0, 0.5, 6.0, 7.0], abs=0.02) == flat(heard)


@pytest.mark.parametrize("leap_s", [-500.0, 1e7])
def test_the_simulator_jumps(speaker: SessionFile, file: Path, leap_s: float) -> None:
    """A jump of state time, back or far ahead, adds no silence and loses no call."""
    say(speaker, "High.", 1_000.0)
    say(speaker, "Low.", 1_000.0 + leap_s)
    say(speaker, "On path.", 1_005.0 + leap_s)
    speaker.close()
    begins = [begin for begin, _ in sounding(read(file))]

    assert 5.0 <= begins[-1] <= 6.0
    assert 3 == speaker.status.said


def test_a_sentence_that_cannot_be_said(speaker: SessionFile, file: Path) -> None:
    """A voice that fails costs its sentence, not the session; the status says what was wrong."""
    say(speaker, "It fails.", 0.0)
    say(speaker, "It breaks.", 1.0)
    say(speaker, "High.", 2.0)
    speaker.close()

    assert pytest.approx([2.0, 3.0], abs=0.02) == flat(sounding(read(file)))
    assert "voice pitch failed: ZeroDivisionError()" == speaker.status.note


def grown(speaker: SessionFile, file: Path, *, time_s: float) -> Samples:
    """Tell the speaker what time it is, wait until it has taken that in, and read the file, which is still open."""
    speaker.time_is(time_s=time_s)
    while not speaker._mailbox.empty():
        time.sleep(0.001)
    speaker.adjust(Adjust())  # once this is taken, the order before it was carried out
    while not speaker._mailbox.empty():
        time.sleep(0.001)
    return read(file)


def test_it_grows_with_the_time(speaker: SessionFile, file: Path) -> None:
    """Nobody closes it, and what was said by now is there: half a sentence, all of it, and a second more."""
    begun = grown(speaker, file, time_s=90.0)
    say(speaker, "High.", 100.0)
    lengths_s = [len(grown(speaker, file, time_s=time_s)) / RATE_HZ for time_s in (100.5, 101.0, 101.5, 102.0, 130.0)]
    killed = read(file)
    say(speaker, "Low.", 150.0)
    low = grown(speaker, file, time_s=153.0)
    speaker.close()

    assert 0 == len(begun)
    assert pytest.approx([0.5 - FADE_S, 1.0, 1.5, 1.0 + TAIL_S, 1.0 + TAIL_S], abs=0.001) == lengths_s
    assert pytest.approx([0.0, 1.0], abs=0.02) == flat(sounding(killed))
    assert pytest.approx([0.0, 1.0, 50.0, 51.0], abs=0.02) == flat(sounding(low))
    assert read(file).tobytes() == low.tobytes()


def test_told_the_time_or_not(file: Path) -> None:
    """What is said, cut and cleared stands in the file sample for sample the same, however often the time is told."""
    contents = []
    for step_s in (10.0, 0.05):
        speaker = SessionFile(path=file, renderer=Renderer(make=PitchVoice))
        orders = [
            (0.0, lambda to: say(to, "High.", 0.0, alert="high.1")),
            (0.4, lambda to: say(to, "Stop.", 0.4, Level.WARNING)),
            (3.0, lambda to: say(to, "Low.", 3.0, alert="low.1")),
            (3.52, lambda to: to.drop(alert_id="low.1", time_s=3.52)),
            (3.9, lambda to: say(to, "Sink.", 3.9)),
        ]
        for (begin_s, order), (end_s, _) in itertools.pairwise([*orders, (6.0, None)]):
            order(speaker)
            for step in range(1, int((end_s - begin_s) / step_s) + 1):
                speaker.time_is(time_s=begin_s + step * step_s)
        speaker.close()
        contents.append(file.read_bytes())

    assert contents[0] == contents[1]


def test_a_file_that_is_full(speaker: SessionFile, file: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A header counts no further than 27 hours: what came before stays whole, and it is told once."""
    monkeypatch.setattr("otherseat.daemon.voice.growing_wave.MOST", 2 * RATE_HZ)
    with capture_logs() as logs:
        for time_s in (0.0, 10.0, 20.0):
            say(speaker, "High.", time_s)
        speaker.close()

    assert pytest.approx([0.0, 1.0], abs=0.02) == flat(sounding(read(file)))
    assert ["voice file can't be written any more"] == [entry["event"] for entry in logs]
    assert speaker.status.note.startswith("session.wav: ")


def test_a_thousand_alerts_in_a_second(speaker: SessionFile, file: Path) -> None:
    """A flood is thinned to what matters: the warnings are said, one after the other."""
    for number in range(1_000):
        level = Level.WARNING if number % 250 == 0 else Level.ADVICE
        say(speaker, f"Number {number % 10}.", number / 1_000, level, f"alert.{number}")
    speaker.close()
    samples = read(file)

    assert 4 <= speaker.status.said
    assert speaker.status.said + speaker.status.given_up == 1_000
    assert np.abs(samples).max() < 1.0


def test_another_rate(speaker: SessionFile, file: Path) -> None:
    """The rate changes from the next sentence on."""
    say(speaker, "High.", 0.0)
    speaker.adjust(Adjust(words_per_minute=350))
    say(speaker, "High.", 5.0)
    speaker.close()

    assert pytest.approx([1.0, 0.5], abs=0.02) == [end - begin for begin, end in sounding(read(file))]
