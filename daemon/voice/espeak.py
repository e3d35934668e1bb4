"""espeak: a small formant synthesiser through its own library, loaded from a wheel; no system package.

Calls   espeak_Initialize, espeak_SetSynthCallback, espeak_SetParameter, espeak_SetVoiceByName, espeak_Synth,
        espeak_Terminate, as declared in the library's speak_lib.h
Chance  its phase and noise go on from text to text, so that the same text differs by up to 1 % in length; a kept clip
        does not differ
Sound   16-bit samples, one channel, 22,050 a second, handed over in blocks during espeak_Synth
State   the library is one per process: one voice at a time holds it
Licence the library is GPL-3.0-or-later; it is an extra, loaded at run time
"""

import ctypes
import threading

import numpy as np

from otherseat.daemon.extras import how_to_install
from otherseat.daemon.voice.voice import Audio, Manner, VoiceError, VoicePlugin, identity_of

AUDIO_OUTPUT_SYNCHRONOUS = 2
DONT_EXIT_ON_ERROR = 0x8000
CHARS_UTF8 = 1
PARAMETER_RATE, PARAMETER_PITCH = 1, 3
SPEAK_OK = 0
SAMPLE_SCALE = np.float32(1.0 / 32_768.0)

SynthCallback = ctypes.CFUNCTYPE(ctypes.c_int, ctypes.POINTER(ctypes.c_short), ctypes.c_int, ctypes.c_void_p)

_held = threading.Lock()


class EspeakVoice:
    """The library, initialised, with one language and manner of speaking."""

    name = "espeak"

    def __init__(self, manner: Manner) -> None:
        self._library, data_path = _load()
        self.identity = identity_of(name=self.name, packages=("espeakng-loader",), manner=manner)
        if not _held.acquire(blocking=False):
            raise VoiceError("voice espeak: already in use in this process")
        self._closed = False
        self._blocks: list[bytes] = []
        self._callback = SynthCallback(self._collect)  # the library keeps the address, so this object must live
        try:
            self._rate_hz = self._start(data_path)
            self._adopt(manner)
        except VoiceError:
            self.close()
            raise

    def _start(self, data_path: str) -> int:
        rate_hz: int = self._library.espeak_Initialize(
            AUDIO_OUTPUT_SYNCHRONOUS, 0, data_path.encode(), DONT_EXIT_ON_ERROR
        )
        if rate_hz <= 0:
            raise VoiceError(f"voice espeak: its library can't start (code {rate_hz})")
        self._library.espeak_SetSynthCallback(self._callback)
        return rate_hz

    def _adopt(self, manner: Manner) -> None:
        if self._library.espeak_SetVoiceByName(manner.language.encode()) != SPEAK_OK:
            raise VoiceError(f"voice espeak: no language is called {manner.language!r}")
        self._library.espeak_SetParameter(PARAMETER_RATE, manner.words_per_minute, 0)
        self._library.espeak_SetParameter(PARAMETER_PITCH, manner.pitch, 0)

    def _collect(self, samples: "ctypes._Pointer[ctypes.c_short]", count: int, _events: int | None) -> int:
        if samples and count > 0:
            self._blocks.append(ctypes.string_at(samples, count * ctypes.sizeof(ctypes.c_short)))
        return 0

    def synthesise(self, *, text: str) -> Audio:
        """Return the text as sound, or raise VoiceError."""
        if self._closed:
            raise VoiceError("voice espeak: closed")
        self._blocks.clear()
        content = text.encode() + b"\0"
        code = self._library.espeak_Synth(content, len(content), 0, 1, 0, CHARS_UTF8, None, None)
        if code != SPEAK_OK:
            raise VoiceError(f"voice espeak: can't say {text!r} (code {code})")
        whole = np.frombuffer(b"".join(self._blocks), dtype=np.int16)
        return Audio(samples=whole.astype(np.float32) * SAMPLE_SCALE, rate_hz=self._rate_hz)

    def close(self) -> None:
        """Give the library back, so that another voice may hold it."""
        if not self._closed:
            self._closed = True
            self._library.espeak_Terminate()
            _held.release()


def _load() -> tuple[ctypes.CDLL, str]:
    try:
        import espeakng_loader  # noqa: PLC0415 - an extra
    except ImportError as fault:
        raise VoiceError(f"voice espeak: {how_to_install('voice')}") from fault
    try:
        library = ctypes.CDLL(espeakng_loader.get_library_path())
    except OSError as fault:
        raise VoiceError(f"voice espeak: its library can't be loaded: {fault}") from fault
    library.espeak_Synth.argtypes = [
        ctypes.c_char_p,
        ctypes.c_size_t,
        ctypes.c_uint,
        ctypes.c_int,
        ctypes.c_uint,
        ctypes.c_uint,
        ctypes.c_void_p,
        ctypes.c_void_p,
    ]
    library.espeak_Initialize.argtypes = [ctypes.c_int, ctypes.c_int, ctypes.c_char_p, ctypes.c_int]
    library.espeak_SetVoiceByName.argtypes = [ctypes.c_char_p]
    library.espeak_SetParameter.argtypes = [ctypes.c_int, ctypes.c_int, ctypes.c_int]
    return library, str(espeakng_loader.get_data_path())


VOICE = VoicePlugin(name="espeak", summary="a small synthesiser, quick and clear", make=EspeakVoice)
