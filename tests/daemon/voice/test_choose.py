"""Which speaker a session gets."""

import sys
from pathlib import Path

import pytest
from structlog.testing import capture_logs

from otherseat.advisories.levels import Level
from otherseat.config.settings import VoiceSettings
from otherseat.daemon.extras import how_to_install
from otherseat.daemon.voice.choose import open_speaker, speaker_of
from otherseat.daemon.voice.live import LiveSpeaker
from otherseat.daemon.voice.session import SessionFile
from otherseat.daemon.voice.speaker import Adjust, SilentSpeaker
from otherseat.daemon.voice.voice import Manner, VoiceError


def test_a_file(tmp_path: Path) -> None:
    """With a file the session is written there."""
    speaker = open_speaker(file=tmp_path / "a.wav")
    speaker.close()

    assert isinstance(speaker, SessionFile)
    assert "espeak" == speaker.status.voice


def test_a_device() -> None:
    """Without one it is played; on a machine without a device that is no error."""
    speaker = open_speaker(volume=0.0)
    speaker.close()

    assert isinstance(speaker, LiveSpeaker)


def test_silence() -> None:
    """The voice none takes every order and says nothing."""
    speaker = open_speaker(voice="none")
    speaker.say(speech="High.", level=Level.ADVICE, alert_id=None, time_s=0.0)
    speaker.drop(alert_id="high.1", time_s=0.0)
    speaker.adjust(Adjust(volume=0.5))
    speaker.mute(on=True, time_s=0.0)
    speaker.close()

    assert isinstance(speaker, SilentSpeaker)
    assert speaker.status.muted


def test_nothing_installed(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Without the extra the session is silent, with one line that says what to install; asked for, it is an error."""
    monkeypatch.setitem(sys.modules, "espeakng_loader", None)
    with capture_logs() as logs:
        speaker = open_speaker()

    assert [f"voice espeak: {how_to_install('voice')}"] == [entry["reason"] for entry in logs]
    assert speaker.status.note == logs[0]["reason"]
    for asked in ({"voice": "espeak"}, {"file": tmp_path / "a.wav"}):
        with pytest.raises(VoiceError, match="pip install"):
            open_speaker(**asked)  # type: ignore[arg-type]  # one option or the other


def test_a_file_that_cannot_be_written(tmp_path: Path) -> None:
    """The error names the file, and the voice is let go."""
    with pytest.raises(VoiceError, match=r"a\.wav: "):
        open_speaker(file=tmp_path / "no-such-folder" / "a.wav")
    open_speaker(file=tmp_path / "a.wav").close()


def test_everything_that_the_settings_say(monkeypatch: pytest.MonkeyPatch) -> None:
    """Voice, device, volume, ear and rate of the settings reach the speaker, whoever opens it."""
    given: dict[str, object] = {}
    monkeypatch.setattr("otherseat.daemon.voice.choose.open_speaker", lambda **options: given.update(options))
    speaker_of(VoiceSettings(engine="espeak", device="Buds", volume=0.4, ear="left", words_per_minute=210))
    manner = given["manner"]
    assert isinstance(manner, Manner)

    assert ("espeak", "Buds", 0.4, "left", 210) == (
        *(given[name] for name in ("voice", "device", "volume", "ear")),
        manner.words_per_minute,
    )
