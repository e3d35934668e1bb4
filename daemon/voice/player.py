"""Player: one running audio device and one callback that hands it samples.

The device runs all the time, so that the first sample of a sentence leaves within one period. Given a clip, it plays
it from its next period on; told to cut, it fades out within 10 ms. Without any device the audio library's null
device keeps the same time and makes no sound. A device that stops asking for samples counts as lost.

Sound out: float32, two channels (so that one ear can be chosen), RATE_HZ.
"""

import contextlib
import ctypes
import threading
import time
from collections.abc import Callable, Generator
from typing import Any

import numpy as np
from numpy.typing import NDArray

from otherseat.daemon.voice.render import RATE_HZ
from otherseat.daemon.voice.voice import Samples, VoiceError

PERIOD_MS = 10
FADE = round(0.010 * RATE_HZ)
LOST_AFTER_S = 1.0
INSTALL = "voice: pip install 'otherseat[voice]'"
EARS = {"both": (1.0, 1.0), "left": (1.0, 0.0), "right": (0.0, 1.0)}
CHANNELS = 2


class Strip:
    """What is being played, as the device's callback sees it: a clip, how far it is, and a clip that follows a cut."""

    def __init__(self, *, done: Callable[[int], None]) -> None:
        self._lock = threading.Lock()
        self._done = done
        self._clip: Samples = np.zeros(0, dtype=np.float32)
        self._turn = 0
        self._busy = False
        self.gains = EARS["both"]

    def play(self, *, samples: Samples, turn: int) -> None:
        """Play a clip from the next pull on; what was fading goes on fading beneath it."""
        with self._lock:
            fading = self._clip[:FADE]
            clip = samples
            if len(fading):
                clip = np.zeros(max(len(samples), len(fading)), dtype=np.float32)
                clip[: len(samples)] = samples
                clip[: len(fading)] += fading
            self._clip, self._turn, self._busy = clip, turn, True

    def cut(self) -> None:
        """Fade out from the next pull on."""
        with self._lock:
            fade = min(FADE, len(self._clip))
            self._clip = self._clip[:fade] * np.linspace(1.0, 0.0, fade, dtype=np.float32)
            self._busy = False

    def pull(self, count: int) -> NDArray[np.float32]:
        """Return the next samples, shape (count, 2)."""
        with self._lock:
            part, self._clip = self._clip[:count], self._clip[count:]
            ended = self._busy and not len(self._clip)
            self._busy = self._busy and not ended
            turn = self._turn
        out = np.zeros((count, CHANNELS), dtype=np.float32)
        out[: len(part), 0] = part * self.gains[0]
        out[: len(part), 1] = part * self.gains[1]
        if ended:
            self._done(turn)
        return out


class Player:
    """An open device that plays a strip."""

    def __init__(self, *, strip: Strip, device: str | None = None, silent: bool = False) -> None:
        """Open a device by the start of its name, or the default one; raise VoiceError when there is none."""
        try:
            import miniaudio  # noqa: PLC0415 - an extra, and slow to import
        except ImportError as fault:
            raise VoiceError(INSTALL) from fault
        _hush()
        self._strip = strip
        self.pulled_s = time.monotonic()
        try:
            self._device = miniaudio.PlaybackDevice(
                output_format=miniaudio.SampleFormat.FLOAT32,
                nchannels=CHANNELS,
                sample_rate=RATE_HZ,
                buffersize_msec=PERIOD_MS,
                device_id=None if device is None else _find(device),
                backends=[miniaudio.Backend.NULL] if silent else None,
                app_name="otherseat",
            )
            pulls = self._pulls()
            next(pulls)
            self._device.start(pulls)
        except miniaudio.MiniaudioError as fault:
            raise VoiceError(f"voice: the audio device can't be opened: {fault}") from fault
        self.audible = self._device.backend != "Null"
        self.name = (device or "default device") if self.audible else ""

    def _pulls(self) -> Generator[bytes, int, None]:
        count = yield b""
        while True:
            self.pulled_s = time.monotonic()
            count = yield self._strip.pull(count).tobytes()

    @property
    def lost(self) -> bool:
        """Say whether the device has stopped asking for samples."""
        return time.monotonic() - self.pulled_s > LOST_AFTER_S

    def close(self) -> None:
        """Stop and give the device back."""
        self._device.close()


def devices() -> list[str]:
    """Return the names of the playback devices, or raise VoiceError when the audio library is missing."""
    return [entry["name"] for entry in _playbacks()]


def _find(device: str) -> Any:
    for entry in _playbacks():
        if entry["name"].lower().startswith(device.lower()):
            return entry["id"]
    raise VoiceError(f"voice: no device is called {device!r}; there are: {', '.join(devices()) or 'none'}")


_ALSA_COMPLAINT = ctypes.CFUNCTYPE(None, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p, ctypes.c_int, ctypes.c_char_p)
_silence = _ALSA_COMPLAINT(lambda *_: None)


def _hush() -> None:
    """Keep the sound library of Linux from writing its own complaints to the terminal; ours says the same once."""
    with contextlib.suppress(OSError, AttributeError):
        ctypes.CDLL("libasound.so.2").snd_lib_error_set_handler(_silence)


def _playbacks() -> list[dict[str, Any]]:
    try:
        import miniaudio  # noqa: PLC0415 - an extra, and slow to import
    except ImportError as fault:
        raise VoiceError(INSTALL) from fault
    _hush()
    found = miniaudio.Devices()
    return [] if found.backend == "Null" else list(found.get_playbacks())
