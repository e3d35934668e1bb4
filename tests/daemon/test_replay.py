"""`otherseat replay`: the same flight says the same; another setting or plan shows as a readable difference."""

import re
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner, Result

from otherseat.adapters.listener import Received
from otherseat.advisories.engine import SILENCE, UNREADABLE
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.captures import CaptureWriter
from otherseat.daemon.client import Client
from otherseat.daemon.flight_file import FlightFile, Order
from otherseat.daemon.messages import PlanMessage, alert_message
from otherseat.daemon.recorder import Recorder
from otherseat.daemon.refly import Crew, refly
from otherseat.daemon.replay import clock_words, replay
from otherseat.daemon.voice.speaker import SilentSpeaker
from tests.daemon.flights import high_final
from tests.scripted import final, make_plan, make_table

GENTLER = "[advisories.glidepath]\nhigh_deg = 2.0\n"
PATIENCE_S = 30.0


@pytest.fixture(scope="module")
def flight(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """Return the recording of a final that stays high, with its own settings in it."""
    return high_final(tmp_path_factory.mktemp("flight") / "high.mcap", settings=read_settings().model_dump_json())


def run(*arguments: str | Path) -> Result:
    """Run the command."""
    return CliRunner().invoke(replay, [str(argument) for argument in arguments])


def test_check_agrees(flight: Path) -> None:
    """A flight flown again with its own settings says the same."""
    result = run(flight, "--check")

    assert result.exit_code == 0, result.output
    assert re.search(r"high\.mcap: [1-9]\d* alert changes, as recorded", result.output)


def test_check_shows_the_difference(flight: Path, tmp_path: Path) -> None:
    """With other settings the alerts that are missing are printed with time, level and numbers; exit code 1."""
    settings = tmp_path / "gentler.toml"
    settings.write_text(GENTLER, encoding="utf-8")
    result = run(flight, "--check", "--with", settings)

    assert result.exit_code == 1
    assert re.search(
        r"^  -0:\d\d\.\d\d  raised \w+ glidepath-high\.1 height_above_path_ft=2\d\d", result.output, re.MULTILINE
    )


def test_check_takes_many(flight: Path, tmp_path: Path) -> None:
    """Several flights are checked in one go; a file that is none is one line and exit code 2."""
    foreign = tmp_path / "foreign.mcap"
    foreign.write_text("hello", encoding="utf-8")

    assert run(flight, flight, "--check").output.count("as recorded") == 2
    assert run(flight, foreign, "--check").exit_code == 2
    assert "foreign.mcap: no recording" in run(foreign, "--check").output
    assert "one flight at a time" in run(flight, flight).output


def test_orders_are_flown_again(tmp_path: Path) -> None:
    """An acknowledgement, a mute and a silence in flight are done again at their moment, so that all agrees."""
    runways = make_table()
    message = PlanMessage.of(aircraft="own", resolved=make_plan(runways))
    path = tmp_path / "orders.mcap"
    recorder = Recorder(path, runways=runways)
    crew = Crew(runways=runways, settings=read_settings(), advisories=plugins.advisories())
    recorder.plan(message)
    crew.set_plan(message)
    for count, state in enumerate(final(end=runways.end("ZZBB/09L"), distance_nm=4.0, above_path_ft=300.0)):
        recorder.state(state)
        changes = list(crew.step(state).alerts)
        if count == 60:
            (standing,) = crew.engines["own"].attention.standing
            recorder.order("acknowledge", alert_id=standing.id, time_s=state.time_s)
            done = crew.engines["own"].attention.acknowledge(alert_id=standing.id, time_s=state.time_s)
            assert done is not None
            changes.append(done)
        if count == 80:
            recorder.order("blind", time_s=state.time_s + 2.0, silent_s=2.0)
            changes += crew.engines["own"].blind(time_s=state.time_s + 2.0, silent_s=2.0).alerts
        if count == 120:
            recorder.order("switch", advisory="glidepath", on=False)
            assert crew.engines["own"].switch("glidepath", on=False)
        for alert in changes:
            recorder.alert(alert_message(alert, text="", speech=""))
    recorder.close()
    flown = refly(FlightFile.open(path), advisories=plugins.advisories())

    assert {"raised", "acknowledged", "cleared"} <= {alert.change.value for alert in flown.now}
    assert "silence" in {alert.alert for alert in flown.now}
    assert [] == flown.differences()


def test_a_missing_order_shows(tmp_path: Path) -> None:
    """An alert that was acknowledged then and isn't now is a difference: the check can fail."""
    path = high_final(tmp_path / "a.mcap")
    flown = refly(FlightFile.open(path), advisories=plugins.advisories())
    flown.now.pop()

    assert any(line.startswith("-") for line in flown.differences()[2:])


def test_a_cut_recording_is_checked_as_far_as_it_goes(flight: Path, tmp_path: Path) -> None:
    """After a power cut the rest is still checked, and the cut is told."""
    cut = tmp_path / "cut.mcap"
    cut.write_bytes(flight.read_bytes()[:-2000])
    result = run(cut, "--check")

    assert "the file ends early" in result.output


@pytest.mark.parametrize("moment", ["twelve", "1:2:3:4", "12:5", "-3"])
def test_wrong_moment(flight: Path, moment: str) -> None:
    """A moment that is none is answered with one that is."""
    result = run(flight, f"--from={moment}")

    assert result.exit_code == 2
    assert "write 12:30" in result.output


def test_on_the_bus(flight: Path) -> None:
    """A replay in a process of its own is seen by an ordinary client: states from the moment on, and the alert."""
    command = [sys.executable, "-c", "from otherseat.daemon.replay import replay; replay()", str(flight)]
    command += ["--speed", "20", "--from", "0:02", "--feed", "tcp://127.0.0.1:*", "--desk", "tcp://127.0.0.1:*"]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True, encoding="utf-8") as process:
        assert process.stdout is not None
        ready = dict(part.split("=", 1) for part in process.stdout.readline().split()[1:])
        seen: set[str] = set()
        times: list[float] = []
        with Client(feed=ready["feed"], desk=ready["desk"]) as client, client.subscribe("state", "alert") as feed:
            while process.poll() is None:
                for message in feed.receive(timeout_s=0.2):
                    seen.add(message.kind.value)
                    times += [message.time_s] if message.kind.value == "state" else []
        out = process.stdout.read()

    assert process.returncode == 0
    assert {"state", "alert"} <= seen
    assert min(times) >= 2.0
    assert max(times) == 60.0
    assert "High" in out


def test_beyond_the_end(flight: Path) -> None:
    """A moment beyond the end is an error that says how long the flight is."""
    result = run(flight, "--from", "99:00")

    assert 2 == result.exit_code
    assert re.search(r"high\.mcap: --from is beyond its end: it is \d+:\d\d long", result.output)


@pytest.mark.parametrize(("seconds", "words"), [(65.4, "1:05"), (3_725.0, "1:02:05"), (0.0, "0:00")])
def test_lengths_in_words(seconds: float, words: str) -> None:
    """A length is written as --from takes it."""
    assert words == clock_words(seconds)


def test_nothing_to_play(tmp_path: Path) -> None:
    """A capture holds no states; it is told how they are had."""
    path = tmp_path / "raw.mcap"
    with CaptureWriter(path, source="test") as writer:
        writer.write(Received(b"tick", 1.0, "127.0.0.1"))
    result = run(path)

    assert 2 == result.exit_code
    assert "raw.mcap: holds no states; --layout or --adapter decodes its datagrams" in result.output


def test_what_is_no_recording(tmp_path: Path) -> None:
    """A file of another kind, a folder and a name that is wrong are told as what they are."""
    other = tmp_path / "README.md"
    other.write_text("# Read me", encoding="utf-8")

    assert "README.md: no recording of a flight (not MCAP at all); one is a .mcap file that" in run(other).output
    assert "is a folder; a file is wanted" in run(tmp_path).output
    assert "none.mcap: no such file" in run(tmp_path / "none.mcap").output


def test_the_newest_when_none_is_named(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without a file it is the newest recording of one's own, and it says which; without any it says that."""
    monkeypatch.setattr("otherseat.daemon.recordings_folder.default_folder", lambda: tmp_path)
    assert "holds no recording; `otherseat fly` makes one" in run("--check").output

    for name in ("flight-20260101-100000", "flight-20260102-090000"):
        high_final(tmp_path / f"{name}.mcap", settings=read_settings().model_dump_json())
    result = run("--check")

    assert 0 == result.exit_code, result.output
    assert f"the newest recording: {tmp_path / 'flight-20260102-090000.mcap'}" in result.output


def test_it_speaks_as_the_settings_say(flight: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Volume, ear, device and rate are those that `fly` would take from the same settings."""
    settings = tmp_path / "mine.toml"
    settings.write_text('[voice]\nvolume = 0.4\near = "left"\ndevice = "Buds"\n', encoding="utf-8")
    given: dict[str, Any] = {}

    def opened(**options: Any) -> SilentSpeaker:
        given.update(options)
        return SilentSpeaker()

    monkeypatch.setattr("otherseat.daemon.voice.choose.open_speaker", opened)
    bus = ("--feed", "tcp://127.0.0.1:*", "--desk", "tcp://127.0.0.1:*")
    result = run(flight, *bus, "--with", settings, "--voice", "espeak", "--speed", "100")

    assert 0 == result.exit_code, result.output
    assert ("espeak", 0.4, "left", "Buds") == tuple(given[name] for name in ("voice", "volume", "ear", "device"))


@pytest.mark.parametrize(("told", "phrase"), [({}, SILENCE), ({"unreadable": True}, UNREADABLE)])
def test_why_it_was_blind_is_said_again(told: dict[str, bool], phrase: str) -> None:
    """Flown again, the daemon is blind for the reason it had; a recording of before that told none had silence."""
    crew = Crew(runways=make_table(), settings=read_settings(), advisories=plugins.advisories())
    for state in final(end=crew.runways.end("ZZBB/09L"), distance_nm=4.0, seconds=10):
        crew.step(state)
    (alert,) = crew.obey(Order(verb="blind", values={"time_s": 12.5, "silent_s": 2.5, **told}))

    assert phrase == alert.phrase
