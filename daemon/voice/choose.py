"""Which speaker the session gets: a file, a device, or silence with the reason."""

import functools
from collections.abc import Iterable
from pathlib import Path

import structlog

from otherseat.config.settings import VoiceSettings
from otherseat.daemon.voice.cache import ClipCache
from otherseat.daemon.voice.live import LiveSpeaker
from otherseat.daemon.voice.render import Renderer
from otherseat.daemon.voice.session import SessionFile
from otherseat.daemon.voice.speaker import Ear, SilentSpeaker, Speaker
from otherseat.daemon.voice.voice import SILENT, Manner, Voice, VoiceError, make_voice

DEFAULT_VOICE = "espeak"
UNKEPT = {DEFAULT_VOICE, SILENT}
"""Voices that speak as fast as a disk reads: nothing of theirs is kept there, and nothing made ahead."""

log = structlog.get_logger(__name__)


def open_speaker(
    *,
    voice: str | None = None,
    file: Path | None = None,
    device: str | None = None,
    volume: float = 1.0,
    ear: Ear = "both",
    manner: Manner | None = None,
    ahead: Iterable[str] = (),
) -> Speaker:
    """Return the session's speaker.

    voice: None for the default one, or for silence with one clear line when it is not installed; a voice that is
    asked for by name and can't be had raises VoiceError, and so does a file that can't be written. file: write
    the session there instead of playing it. volume: 0 to 1. ahead: sentences that a slow voice makes ready while
    nothing is said.
    """
    if voice == SILENT and file is None:
        return SilentSpeaker()
    name = voice or DEFAULT_VOICE
    try:
        renderer = open_renderer(voice=name, manner=manner)
        if file is None:
            first = () if name in UNKEPT else ahead
            return LiveSpeaker(renderer=renderer, device=device or "", volume=volume, ear=ear, ahead=first)
    except VoiceError as fault:
        if voice is not None or file is not None:
            raise
        log.warning("voice is silent", reason=str(fault))
        return SilentSpeaker(note=str(fault))
    try:
        return SessionFile(path=file, renderer=renderer)
    except OSError as fault:
        renderer.close()
        raise VoiceError(f"{file}: {fault.strerror or fault}") from fault


def speaker_of(settings: VoiceSettings, *, file: Path | None = None, ahead: Iterable[str] = ()) -> Speaker:
    """Return the speaker that the settings want; see open_speaker."""
    return open_speaker(
        voice=settings.engine,
        file=file,
        device=settings.device,
        volume=settings.volume,
        ear=settings.ear,
        manner=Manner(words_per_minute=settings.words_per_minute),
        ahead=ahead,
    )


def open_renderer(*, voice: str, manner: Manner | None = None) -> Renderer:
    """Return a renderer for a voice by name, or raise VoiceError."""

    def make(manner: Manner) -> Voice:
        return make_voice(name=voice, manner=manner)

    return Renderer(make=make, manner=manner, cache=None if voice in UNKEPT else _cache())


@functools.cache
def _cache() -> ClipCache | None:
    """Return the cache in the place where the operating system wants it."""
    try:
        from platformdirs import user_cache_path  # noqa: PLC0415 - an extra
    except ImportError:
        return None
    return ClipCache(folder=user_cache_path("otherseat", appauthor=False) / "voice")
