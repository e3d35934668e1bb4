"""A flight through the real daemon, recorded as it goes: flown again it says the same, and it can be debriefed."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner

from otherseat.daemon.debrief.command import debrief
from otherseat.daemon.flight_file import FlightFile
from otherseat.daemon.flight_model.recording import read_recording
from otherseat.daemon.messages import AlertMessage
from otherseat.daemon.recording import Channel, Recording
from otherseat.daemon.replay import replay
from tests.running import running

DATAGRAMS = Path(__file__).parent.parent / "flights" / "demo.txt.gz"
PLAN = Path(__file__).parent.parent.parent / "config" / "plans" / "demo.toml"
A_FEW = 40


@pytest.fixture(scope="module")
def recording(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the recording of a part of the demo's flight, with a plan, a mute and an acknowledgement on the way."""
    folder = tmp_path_factory.mktemp("recorded")
    settings = folder / "settings.toml"
    settings.write_text(f"[recorder]\nfolder = '{folder.as_posix()}'\n", encoding="utf-8")
    label, *rows = read_recording(DATAGRAMS)
    with running("--plan", str(PLAN), "--settings", str(settings)) as daemon:
        with daemon.client() as client, client.subscribe("state") as feed:
            daemon.send([label])
            for first in range(0, 2_000, A_FEW):
                daemon.send(rows[first : first + A_FEW])
                _wait_for(feed, rows[first : first + A_FEW])
                if first == 10 * A_FEW:
                    client.ask("mute", muted=True)
                if first == 20 * A_FEW:
                    client.ask("acknowledge")
        daemon.stop()
    (path,) = folder.glob("*.mcap")
    return path


def _wait_for(feed: object, rows: list[bytes]) -> None:
    """Take what the daemon publishes until it has come to the last of the rows."""
    last_s = float(rows[-1].split(b",")[0])
    while True:
        messages = feed.receive(timeout_s=20.0)  # type: ignore[attr-defined]  # a subscription
        assert messages, "the daemon fell silent"
        if max(message.time_s for message in messages) >= last_s - 1.0:
            return


def test_closed_well_with_everything(recording: Path) -> None:
    """The daemon closes its recording: datagrams, states, plan, airfields, alerts, calls and orders are in it."""
    opened = Recording.open(recording)
    found = {entry.channel for entry in opened.entries()}

    assert opened.damage is None
    assert set(Channel) - {Channel.NOTE} == found
    assert '"watchdog"' in opened.session["settings"]


def test_flown_again_it_says_the_same(recording: Path) -> None:
    """Every alert of the daemon's flight comes out of the engine again, at the same moment, with the same numbers."""
    result = CliRunner().invoke(replay, [str(recording), "--check"])

    assert result.exit_code == 0, result.output
    assert re.search(r"[1-9]\d* alert changes, as recorded", result.output)


def test_the_datagrams_say_the_same(recording: Path) -> None:
    """Decoded again from the raw datagrams, the flight still says the same."""
    result = CliRunner().invoke(replay, [str(recording), "--check", "--layout", "jsbsim"])

    assert result.exit_code == 0, result.output


def test_debriefed(recording: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """The recording becomes a page with its alerts on it."""
    monkeypatch.chdir(tmp_path)
    result = CliRunner().invoke(debrief, [str(recording), "--pdf", "flight.pdf", "--csv", "flight.csv"])
    page = next(tmp_path.glob("*.html")).read_text(encoding="utf-8")
    alerts = {event.alert for event in FlightFile.open(recording).events() if isinstance(event, AlertMessage)}

    assert result.exit_code == 0, result.output
    assert "wrong-runway-departure" in alerts
    assert "This is 13; plan, 07." in page
    assert (tmp_path / "flight.pdf").stat().st_size > 10_000
    assert (tmp_path / "flight.csv").stat().st_size > 10_000
