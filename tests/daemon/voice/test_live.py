"""The voice on a device: real threads and the audio library's own null device, which keeps time and makes no sound."""

import threading
import time
from collections.abc import Callable, Iterator

import numpy as np
import pytest
from structlog.testing import capture_logs

from otherseat.advisories.levels import Level
from otherseat.daemon.voice import live
from otherseat.daemon.voice.live import LiveSpeaker
from otherseat.daemon.voice.player import NO_DEVICE, Player
from otherseat.daemon.voice.render import Renderer
from otherseat.daemon.voice.speaker import Adjust
from otherseat.daemon.voice.strip import Strip
from otherseat.daemon.voice.voice import Samples, VoiceError
from tests.daemon.voice.fakes import PitchVoice

PATIENCE_S = 20.0


class Heard:
    """Everything that devices pulled, and the ways to lose a device."""

    def __init__(self) -> None:
        self.pulled: list[Samples] = []
        self.opened: list[str] = []
        self.present = {""}
        self.players: list[Player] = []

    def samples(self) -> Samples:
        """Return both channels so far, shape (n, 2)."""
        return np.concatenate([np.zeros((0, 2), dtype=np.float32), *list(self.pulled)])

    def sounding_s(self) -> float:
        """Return for how long something could be heard."""
        return float(np.count_nonzero(np.abs(self.samples()).max(axis=1) > 0.001)) / 22_050


@pytest.fixture
def heard(monkeypatch: pytest.MonkeyPatch) -> Heard:
    """Put the null device in place of every device, and listen to what it pulls."""
    ear = Heard()
    pull = Strip.pull

    def listened(strip: Strip, count: int) -> Samples:
        part = pull(strip, count)
        ear.pulled.append(part)
        return part

    def opened(*, strip: Strip, device: str = "", silent: bool = False) -> Player:
        if not silent and device not in ear.present:
            raise VoiceError(f"no device is called {device!r}" if device else NO_DEVICE)
        player = Player(strip=strip, silent=True)
        player.name = "" if silent else device or "default device"
        ear.opened.append(player.name)
        ear.players.append(player)
        return player

    monkeypatch.setattr(Strip, "pull", listened)
    monkeypatch.setattr(live, "Player", opened)
    monkeypatch.setattr(live, "SEEK_S", 0.2)
    return ear


@pytest.fixture
def speaker(heard: Heard) -> Iterator[LiveSpeaker]:
    """Return a running speaker with a voice of one second a clause."""
    assert heard.present
    running = LiveSpeaker(renderer=Renderer(make=PitchVoice))
    yield running
    running.close()


def until(condition: Callable[[], bool]) -> None:
    """Wait for something to come true."""
    end_s = time.monotonic() + PATIENCE_S
    while not condition():
        assert time.monotonic() < end_s, "did not come true"
        time.sleep(0.01)


def say(speaker: LiveSpeaker, speech: str, level: Level = Level.ADVICE) -> None:
    """Say something now."""
    speaker.say(speech=speech, level=level, alert_id=speech, time_s=0.0)


def test_a_sentence_is_heard_whole(speaker: LiveSpeaker, heard: Heard) -> None:
    """Every sample of the sentence leaves once, and then the next sentence begins."""
    expected = Renderer(make=PitchVoice).words(speech="High.")
    say(speaker, "High.")
    say(speaker, "Low.")
    until(lambda: speaker.status.said == 2)
    left = heard.samples()[:, 0]
    first = int(np.flatnonzero(np.abs(left) > 0)[0])

    assert np.allclose(expected[:-300], left[first : first + len(expected) - 300], atol=1e-6)


def test_a_warning_cuts_in(speaker: LiveSpeaker) -> None:
    """A warning is begun while the sentence that it cut would still be going on."""
    say(speaker, "Long. " * 20)
    until(lambda: speaker.status.said == 1)
    say(speaker, "Stop.", Level.WARNING)
    until(lambda: speaker.status.said == 2)

    assert 0 == speaker.status.waiting


def test_what_cleared_falls_silent(speaker: LiveSpeaker, heard: Heard) -> None:
    """When its alert clears a sentence ends, and the next may begin."""
    say(speaker, "Long. " * 20)
    until(lambda: heard.sounding_s() > 0.1)
    speaker.drop(alert_id="Long. " * 20, time_s=1.0)
    say(speaker, "Low.")
    until(lambda: speaker.status.said == 2)

    assert heard.sounding_s() < 5.0


def test_mute_during_a_warning(speaker: LiveSpeaker, heard: Heard) -> None:
    """Mute ends a warning, and the voice comes back when it is given back."""
    say(speaker, "Stop. " * 20, Level.WARNING)
    until(lambda: heard.sounding_s() > 0.5)
    speaker.mute(on=True, time_s=1.0)
    say(speaker, "Stop now.", Level.WARNING)
    until(lambda: speaker.status.muted and speaker.status.given_up == 1)
    speaker.mute(on=False, time_s=2.0)
    say(speaker, "Low.")
    until(lambda: speaker.status.said == 2)

    assert heard.sounding_s() < 5.0


def test_a_thousand_alerts_in_a_second(speaker: LiveSpeaker) -> None:
    """A flood never blocks who speaks; the warning in it is begun, the rest is thinned."""
    for number in range(1_000):
        speaker.say(speech=f"Number {number}.", level=Level.ADVICE, alert_id=f"a.{number}", time_s=0.0)
    say(speaker, "Stop.", Level.WARNING)
    until(lambda: speaker.status.given_up > 900)
    until(lambda: speaker.status.said >= 1)  # the flood has been taken in by then

    assert speaker.status.waiting <= 16


def test_a_voice_that_fails(speaker: LiveSpeaker) -> None:
    """A sentence that can't be made is passed over, with or without its tone under way."""
    say(speaker, "It fails.", Level.WARNING)
    say(speaker, "It breaks.")
    say(speaker, "High.")
    until(lambda: speaker.status.said == 1)

    assert "failed" in speaker.status.note


def test_the_device_vanishes_in_mid_sentence(speaker: LiveSpeaker, heard: Heard) -> None:
    """A device that stops asking for samples is opened again, and the sentence begins anew."""
    say(speaker, "High. Low.")
    until(lambda: heard.sounding_s() > 0.2)
    heard.players[-1]._device.stop()
    until(lambda: speaker.status.said == 2)
    until(lambda: heard.sounding_s() > 1.5)

    assert ["default device"] * 2 == heard.opened


def test_no_device_at_all(heard: Heard) -> None:
    """Without any device everything goes on in silence; that is said once, and when one comes it is taken."""
    heard.present = set()
    with capture_logs() as logs:
        speaker = LiveSpeaker(renderer=Renderer(make=PitchVoice))
        say(speaker, "High.")
        until(lambda: speaker.status.said == 1)
        assert (NO_DEVICE, "") == (speaker.status.note, speaker.status.device)
        until(lambda: heard.sounding_s() > 0.9)
        heard.present = {""}
        until(lambda: speaker.status.device == "default device")
        speaker.close()

    assert "" == speaker.status.note
    assert 1 == len(logs)


def test_the_wanted_device_comes_back(heard: Heard) -> None:
    """While the wanted headset is away the default device serves and the status says so; then it is taken again."""
    speaker = LiveSpeaker(renderer=Renderer(make=PitchVoice), device="Headset")
    assert ("default device", "no device is called 'Headset'") == (speaker.status.device, speaker.status.note)

    heard.present = {"", "Headset"}
    until(lambda: speaker.status.device == "Headset")
    assert "" == speaker.status.note
    speaker.close()


def test_changes_while_running(speaker: LiveSpeaker, heard: Heard) -> None:
    """Volume, ear, device and rate change while the voice runs."""
    heard.present = {"", "Headset"}
    speaker.adjust(Adjust(volume=0.5, ear="left", device="Headset", words_per_minute=350))
    say(speaker, "High.")
    until(lambda: speaker.status.said == 1 and speaker._queue.current is None)
    loud = np.abs(heard.samples()).max(axis=0)

    assert 0.0 == loud[1]
    assert loud[0] < 0.3
    assert "Headset" == speaker.status.device
    assert 0.4 < heard.sounding_s() < 0.6


def test_clauses_made_ahead(heard: Heard) -> None:
    """Clauses that are sure to come are made while nothing is being said."""
    assert heard.present
    voice = PitchVoice()
    speaker = LiveSpeaker(renderer=Renderer(make=lambda _: voice), ahead=["On path.", "High. On path."])
    until(lambda: len(voice.asked) == 2)
    speaker.close()

    assert ["On path.", "High."] == voice.asked
    assert voice.closed


def test_close_ends_the_thread(speaker: LiveSpeaker) -> None:
    """After close no thread of the voice is left, and closing again is harmless."""
    say(speaker, "Long. " * 20)
    speaker.close()
    speaker.close()

    assert "voice" not in {thread.name for thread in threading.enumerate()}
