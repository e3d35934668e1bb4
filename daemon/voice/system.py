"""system: the operating system's own voice, through pyttsx3.

Sound   whatever the system gives: it is written to a file in a temporary folder and read back
Thread  made at the first sentence, in the thread that uses it: Windows binds its voice to a thread
Rate    words a minute, as the system counts them; it has no pitch
Alone   on Linux it can't share a process with the voice espeak: both would be the same library, begun twice
Systems Windows and macOS bring a voice; Linux needs the package espeak-ng (or libespeak-ng1) from the distribution
"""

import contextlib
import io
import sys
import tempfile
from importlib.util import find_spec
from pathlib import Path
from typing import Any

import numpy as np

from otherseat.daemon.extras import how_to_install
from otherseat.daemon.voice.voice import Audio, Manner, VoiceError, VoicePlugin, identity_of

NO_SYSTEM_VOICE = "voice system: this computer has none ({fault}); on Linux install the package espeak-ng"


class SystemVoice:
    """The system's voice, made when first used."""

    name = "system"

    def __init__(self, manner: Manner) -> None:
        if find_spec("pyttsx3") is None or find_spec("soundfile") is None:
            raise VoiceError(f"voice system: {how_to_install('voice', 'system')}")
        self.identity = identity_of(name=self.name, packages=("pyttsx3",), manner=manner)
        self._manner = manner
        self._engine: Any = None

    def synthesise(self, *, text: str) -> Audio:
        """Return the text as sound, or raise VoiceError."""
        import soundfile  # noqa: PLC0415 - an extra

        engine = self._made()
        with tempfile.TemporaryDirectory(prefix="otherseat-") as folder:
            path = Path(folder) / "clause.wav"
            with contextlib.redirect_stdout(io.StringIO()):  # one of its drivers prints where the file is
                engine.save_to_file(text, str(path))
                engine.runAndWait()
            try:
                samples, rate_hz = soundfile.read(path, dtype="float32", always_2d=True)
            except soundfile.SoundFileError as fault:
                raise VoiceError(f"voice system: can't say {text!r}: {fault}") from fault
        return Audio(samples=np.ascontiguousarray(samples[:, 0]), rate_hz=int(rate_hz))

    def _made(self) -> Any:
        if self._engine is None:
            if sys.platform.startswith("linux") and "espeakng_loader" in sys.modules:
                raise VoiceError("voice system: on Linux it can't share a process with the voice espeak")
            import pyttsx3  # noqa: PLC0415 - an extra

            try:
                self._engine = pyttsx3.init()
            except Exception as fault:  # every system's driver raises its own
                raise VoiceError(NO_SYSTEM_VOICE.format(fault=str(fault).splitlines()[0])) from fault
            self._engine.setProperty("rate", self._manner.words_per_minute)
        return self._engine

    def close(self) -> None:
        """Let the system's voice go."""
        self._engine = None


VOICE = VoicePlugin(name="system", summary="the operating system's own voice", make=SystemVoice)
