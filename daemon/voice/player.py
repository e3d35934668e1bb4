"""Player: one running audio device whose callback pulls samples from a strip.

The device runs all the time, so that the first sample of a sentence leaves within one period. A device that stops
asking for samples counts as lost. Silent, it is the audio library's null device: it keeps the same pace and
makes no sound. Sound out: float32, two channels (so that one ear can be chosen), RATE_HZ.
"""

import contextlib
import ctypes
import time
from collections.abc import Generator
from typing import Any

from otherseat.daemon.extras import how_to_install
from otherseat.daemon.voice.render import RATE_HZ
from otherseat.daemon.voice.strip import CHANNELS, Strip
from otherseat.daemon.voice.voice import VoiceError

PERIOD_MS = 10
LOST_AFTER_S = 1.0
DEFAULT_DEVICE = "default device"
NOBODY_HEARS = "Discard all samples"
"""How Linux's sound library calls its device for no sound at all, which it lists where there is no other."""
NO_DEVICE = "no audio device: alerts are on screen and on the bus only"


class Player:
    """An open device that plays a strip."""

    def __init__(self, *, strip: Strip, device: str = "", silent: bool = False) -> None:
        """Open a device by the start of its name, "" for the default one; raise VoiceError when there is none."""
        miniaudio = _library()
        self._strip = strip
        self._pulled_s = time.monotonic()
        self.audible = not silent
        self.name = "" if silent else device or DEFAULT_DEVICE
        chosen = _find(device) if device and not silent else None
        try:
            self._device = miniaudio.PlaybackDevice(
                output_format=miniaudio.SampleFormat.FLOAT32,
                nchannels=CHANNELS,
                sample_rate=RATE_HZ,
                buffersize_msec=PERIOD_MS,
                device_id=chosen,
                backends=[miniaudio.Backend.NULL] if silent else None,
                app_name="otherseat",
            )
        except miniaudio.MiniaudioError as fault:
            raise VoiceError(NO_DEVICE) from fault
        if self._device.backend == "Null" and not silent:
            self._device.close()
            raise VoiceError(NO_DEVICE)
        self._start(miniaudio)

    def _start(self, miniaudio: Any) -> None:
        pulls = self._pulls()
        next(pulls)
        try:
            self._device.start(pulls)
        except miniaudio.MiniaudioError as fault:
            self._device.close()
            raise VoiceError(f"voice: {self.name or 'the null device'} can't be started") from fault

    def _pulls(self) -> Generator[bytes, int, None]:
        count = yield b""
        while True:
            self._pulled_s = time.monotonic()
            count = yield self._strip.pull(count).tobytes()

    @property
    def lost(self) -> bool:
        """Say whether the device has stopped asking for samples."""
        return time.monotonic() - self._pulled_s > LOST_AFTER_S

    def close(self) -> None:
        """Stop and give the device back."""
        self._device.close()


def devices() -> list[str]:
    """Return the names of the playback devices, or raise VoiceError when the audio library is missing."""
    return [entry["name"] for entry in _playbacks()]


def _find(device: str) -> Any:
    found = _playbacks()
    for entry in found:
        if entry["name"].lower().startswith(device.lower()):
            return entry["id"]
    names = ", ".join(entry["name"] for entry in found)
    raise VoiceError(f"voice: no device is called {device!r}; there are: {names or 'none'}")


def _playbacks() -> list[dict[str, Any]]:
    miniaudio = _library()
    try:
        found = miniaudio.Devices()
        heard = [] if found.backend == "Null" else list(found.get_playbacks())
    except miniaudio.MiniaudioError:
        return []
    return [entry for entry in heard if not entry["name"].startswith(NOBODY_HEARS)]


def _library() -> Any:
    try:
        import miniaudio  # noqa: PLC0415 - an extra, and slow to import
    except ImportError as fault:
        raise VoiceError(f"voice: {how_to_install('voice')}") from fault
    _hush()
    return miniaudio


_Complaint = ctypes.CFUNCTYPE(None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p)
_ignore = _Complaint(lambda *_: None)


def _hush() -> None:
    """Keep Linux's sound library from writing its own complaints to the terminal; ours says the same, once."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler(_ignore)
