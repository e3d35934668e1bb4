"""The operating system's voice, in a process of its own: on Linux it can't live beside espeak."""

import subprocess
import sys

import pytest

from otherseat.daemon.voice.voice import VoiceError, make_voice

SPEAK = """
import numpy
from otherseat.daemon.voice.voice import VoiceError, make_voice
voice = make_voice(name="system")
try:
    audio = voice.synthesise(text="Destination is two and a half miles behind.")
except VoiceError as fault:
    print("none:", fault)
else:
    print("heard:", round(audio.duration_s, 1), bool(numpy.abs(audio.samples).max() > 0.01))
"""


def test_it_speaks_or_says_why_not() -> None:
    """Where the system has a voice it makes sound; where it has none one line says so."""
    pytest.importorskip("pyttsx3")
    pytest.importorskip("soundfile")
    ended = subprocess.run([sys.executable, "-c", SPEAK], capture_output=True, text=True, check=True, timeout=60)
    what, _, rest = ended.stdout.strip().partition(": ")

    assert (what == "heard" and 1.5 < float(rest.split()[0]) < 6.0 and rest.endswith("True")) or (
        what == "none" and rest.startswith("voice system: this computer has none")
    )


@pytest.mark.skipif(not sys.platform.startswith("linux"), reason="elsewhere the two are different things")
def test_not_beside_espeak() -> None:
    """On Linux it refuses to share a process with espeak."""
    pytest.importorskip("pyttsx3")
    pytest.importorskip("soundfile")
    make_voice(name="espeak").close()
    with pytest.raises(VoiceError, match="can't share a process"):
        make_voice(name="system").synthesise(text="Low.")
