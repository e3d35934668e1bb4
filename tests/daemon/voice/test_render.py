"""From sentences to samples."""

from pathlib import Path

import numpy as np
import pytest

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.cache import ClipCache
from otherseat.daemon.voice.render import BREATH_S, RATE_HZ, Renderer, clauses
from otherseat.daemon.voice.sound import TARGET_LUFS, loudness
from otherseat.daemon.voice.voice import Manner, VoiceError
from tests.daemon.voice.fakes import PitchVoice


def test_clauses() -> None:
    """A sentence breaks after full stops and semicolons, and nowhere else."""
    speech = "You are lined up one three; plan is zero seven. Stop, now."

    assert ["You are lined up one three;", "plan is zero seven.", "Stop, now."] == clauses(speech)
    assert [] == clauses(" ")


def test_clauses_are_made_once() -> None:
    """A clause that was made for one sentence serves in another."""
    voice = PitchVoice()
    renderer = Renderer(make=lambda _: voice)
    renderer.render(speech="High, two hundred. Sink six fifty.", level=Level.ADVICE)
    renderer.render(speech="Low, fifty. Sink six fifty.", level=Level.ADVICE)

    assert ["High, two hundred.", "Sink six fifty.", "Low, fifty."] == voice.asked


def test_the_disk_serves_the_next_session(tmp_path: Path) -> None:
    """What was kept on disk is the same and is not made again; a damaged file is made again."""
    first, second, third = PitchVoice(), PitchVoice(), PitchVoice()
    made = Renderer(make=lambda _: first, cache=ClipCache(folder=tmp_path)).clause(speech="Low.")
    kept = Renderer(make=lambda _: second, cache=ClipCache(folder=tmp_path)).clause(speech="Low.")
    (file,) = tmp_path.iterdir()
    file.write_bytes(file.read_bytes()[:100])
    again = Renderer(make=lambda _: third, cache=ClipCache(folder=tmp_path)).clause(speech="Low.")

    assert np.array_equal(made, kept)
    assert np.array_equal(made, again)
    assert [["Low."], [], ["Low."]] == [first.asked, second.asked, third.asked]


def test_another_manner_is_another_clip(tmp_path: Path) -> None:
    """A change of rate changes what is said next, in memory and on disk."""
    renderer = Renderer(make=PitchVoice, cache=ClipCache(folder=tmp_path))
    before = renderer.clause(speech="Low.")
    renderer.adopt(Manner(words_per_minute=350))

    assert pytest.approx(2.0, abs=0.01) == len(before) / len(renderer.clause(speech="Low."))


def test_a_manner_that_cannot_be(tmp_path: Path) -> None:
    """When the new voice can't be made the old one goes on."""

    def make(manner: Manner) -> PitchVoice:
        if manner.language == "xx":
            raise VoiceError("no such language")
        return PitchVoice(manner)

    renderer = Renderer(make=make, cache=ClipCache(folder=tmp_path))
    with pytest.raises(VoiceError):
        renderer.adopt(Manner(language="xx"))

    assert len(renderer.clause(speech="Low.")) > 0
    assert "en-us" == renderer.manner.language


def test_breath_and_tone() -> None:
    """Between clauses stands a breath; before a warning, and only then, its two-tone."""
    renderer = Renderer(make=PitchVoice)
    advice = renderer.render(speech="High. Low.", level=Level.ADVICE)
    warning = renderer.render(speech="High. Low.", level=Level.WARNING)
    tone = renderer.tone(level=Level.WARNING)

    pieces = [renderer.clause(speech="High."), renderer.clause(speech="Low.")]
    assert round(BREATH_S * RATE_HZ) == len(advice) - sum(map(len, pieces))
    assert np.array_equal(np.concatenate([tone, advice]), warning)
    assert 0 == len(renderer.tone(level=Level.CAUTION))


@pytest.mark.parametrize(("louder", "expected"), [(0, 0.0), (1, 2.0), (3, 6.0), (9, 6.0)])
def test_louder(louder: int, expected: float) -> None:
    """Said in vain it grows louder, up to a bound."""
    words = Renderer(make=PitchVoice).words(speech="Low.", louder=louder)

    assert pytest.approx(TARGET_LUFS + expected, abs=0.5) == loudness(samples=words, rate_hz=RATE_HZ)


def test_a_text_that_cannot_be_said() -> None:
    """The voice's error comes through, and nothing of it is kept."""
    voice = PitchVoice()
    renderer = Renderer(make=lambda _: voice)
    for _ in range(2):
        with pytest.raises(VoiceError):
            renderer.words(speech="It fails.")

    assert 2 == len(voice.asked)
