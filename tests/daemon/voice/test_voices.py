"""The voices that come with the house, through their entry points. Those whose extra is missing are left out."""

import sys
from collections.abc import Iterator
from importlib.util import find_spec

import numpy as np
import pytest

from otherseat.daemon.voice.choose import open_renderer
from otherseat.daemon.voice.sound import TARGET_LUFS, loudness, prepared
from otherseat.daemon.voice.voice import Manner, Voice, VoiceError, installed, make_voice

NEEDS = {"espeak": "espeakng_loader", "piper": "piper", "system": "pyttsx3", "none": "numpy"}
SPEAKING = [name for name in ("espeak", "piper") if find_spec(NEEDS[name])]


@pytest.fixture(params=SPEAKING)
def voice(request: pytest.FixtureRequest) -> Iterator[Voice]:
    """Return each voice that this machine has."""
    made = make_voice(name=request.param)
    yield made
    made.close()


def test_all_are_registered() -> None:
    """The voices stand in the entry-point group and each says what it is."""
    assert set(NEEDS) == set(installed())
    assert all(entry.load().name == name and entry.load().summary for name, entry in installed().items())


def test_speech_sounds(voice: Voice) -> None:
    """A sentence is sound of a plausible length, nearly the same each time, and longer for more words."""
    short = voice.synthesise(text="Low.")
    sentence = voice.synthesise(text="Destination is two and a half miles behind.")
    again = voice.synthesise(text="Destination is two and a half miles behind.")

    assert 1.5 < sentence.duration_s < 4.0
    assert short.duration_s < sentence.duration_s / 2
    assert pytest.approx(sentence.duration_s, rel=0.02) == again.duration_s
    assert (np.float32, 1) == (sentence.samples.dtype, sentence.samples.ndim)
    assert 0.01 < np.sqrt(np.mean(sentence.samples**2)) < 0.5


def test_voices_match_in_loudness(voice: Voice) -> None:
    """Prepared, every voice and every sentence is equally loud within 0.5 LU."""
    spoken = [voice.synthesise(text=text) for text in ("Low.", "High, two hundred.", "Wrong end. This is one three;")]
    levels = [loudness(samples=prepared(audio=audio, rate_hz=22_050), rate_hz=22_050) for audio in spoken]

    assert pytest.approx([TARGET_LUFS] * 3, abs=0.5) == levels


@pytest.mark.parametrize("name", SPEAKING)
def test_rate(name: str) -> None:
    """Faster words take less time, about in proportion."""
    lengths = []
    for words_per_minute in (130, 260):
        renderer = open_renderer(voice=name, manner=Manner(words_per_minute=words_per_minute))
        lengths.append(len(renderer.words(speech="Destination is two and a half miles behind.")))
        renderer.close()

    assert 1.5 < lengths[0] / lengths[1] < 2.5


@pytest.mark.parametrize("name", ["espeak", "piper", "system"])
def test_a_missing_extra(monkeypatch: pytest.MonkeyPatch, name: str) -> None:
    """Without its package a voice says in one line what to install."""
    monkeypatch.setitem(sys.modules, NEEDS[name], None)
    monkeypatch.setattr("otherseat.daemon.voice.system.find_spec", lambda _: None)
    with pytest.raises(VoiceError, match=rf'voice {name}: pip install "\.\[voice') as caught:
        make_voice(name=name)

    assert 1 == len(str(caught.value).splitlines())


def test_a_voice_nobody_has() -> None:
    """An unknown name is answered with the nearest one."""
    with pytest.raises(VoiceError, match="no voice is called 'espek'; nearest: espeak"):
        make_voice(name="espek")


def test_the_voice_of_silence() -> None:
    """The voice named none says nothing, and that is no error."""
    renderer = open_renderer(voice="none")

    assert 0 == len(renderer.words(speech="High, two hundred. Sink six fifty."))


def test_espeak_is_held_by_one() -> None:
    """Its library is one per process: a second is refused until the first lets go."""
    pytest.importorskip("espeakng_loader")
    first = make_voice(name="espeak")
    with pytest.raises(VoiceError, match="already in use"):
        make_voice(name="espeak")
    first.close()
    make_voice(name="espeak").close()
    with pytest.raises(VoiceError, match="closed"):
        first.synthesise(text="Low.")


def test_espeak_without_that_language() -> None:
    """An unknown language is an error, and the library is let go."""
    pytest.importorskip("espeakng_loader")
    with pytest.raises(VoiceError, match="no language is called 'qq'"):
        make_voice(name="espeak", manner=Manner(language="qq"))
    make_voice(name="espeak", manner=Manner(language="de")).close()
