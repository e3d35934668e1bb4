"""Devices, through the audio library itself."""

import sys
import time

import numpy as np
import pytest

from otherseat.daemon.extras import how_to_install
from otherseat.daemon.voice import player as player_module
from otherseat.daemon.voice.player import Player, devices
from otherseat.daemon.voice.strip import Strip
from otherseat.daemon.voice.voice import VoiceError


def test_the_null_device_plays_a_strip() -> None:
    """A silent player pulls a clip to its end, and is not lost meanwhile."""
    ended: list[int] = []
    strip = Strip(done=ended.append)
    player = Player(strip=strip, silent=True)
    strip.play(samples=np.full(2_000, 0.1, dtype=np.float32), turn=3)
    end_s = time.monotonic() + 10.0
    while not ended and time.monotonic() < end_s:
        time.sleep(0.01)
    lost = player.lost
    player.close()

    assert [3] == ended
    assert not lost
    assert ("", False) == (player.name, player.audible)


def test_a_device_that_is_not_there() -> None:
    """A device's name that nothing begins with is an error that names the devices there are."""
    with pytest.raises(VoiceError, match=r"no device is called 'ZZ nowhere'; there are: "):
        Player(strip=Strip(done=lambda _: None), device="ZZ nowhere")


def test_devices_are_names() -> None:
    """The list of devices can be had on any machine, with or without one."""
    assert all(isinstance(name, str) and name for name in devices())


def test_a_missing_library(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the audio library one line says what to install."""
    monkeypatch.setitem(sys.modules, "miniaudio", None)
    with pytest.raises(VoiceError) as caught:
        Player(strip=Strip(done=lambda _: None))

    assert f"voice: {how_to_install('voice')}" == str(caught.value)


def test_a_player_that_stopped_is_lost(monkeypatch: pytest.MonkeyPatch) -> None:
    """A device that no longer asks for samples counts as lost."""
    monkeypatch.setattr(player_module, "LOST_AFTER_S", 0.1)
    player = Player(strip=Strip(done=lambda _: None), silent=True)
    player._device.stop()
    end_s = time.monotonic() + 10.0
    while not player.lost and time.monotonic() < end_s:
        time.sleep(0.01)
    player.close()

    assert player.lost
