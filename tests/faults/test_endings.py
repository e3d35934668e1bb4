"""How the daemon ends, and how it comes back: nothing recorded is lost and the plan is still there."""

import signal
import sys
from pathlib import Path

import pytest

from otherseat.daemon.recording import Channel, Recording
from tests.faults.rig import (
    PASSED,
    Ear,
    assert_advises,
    environment,
    health_when,
    log_lines,
    options,
    past,
    row,
)
from tests.running import PATIENCE_S, otherseat, running

posix = pytest.mark.skipif(sys.platform == "win32", reason="signals of another system")


def recorded_states(folder: Path) -> list[float]:
    """Return the times of the states in the only recording of a folder."""
    (path,) = (folder / "flights").glob("*.mcap")
    return [entry.body["time_s"] for entry in Recording.open(path).entries() if entry.channel is Channel.STATE]


@posix
@pytest.mark.parametrize("ending", ["SIGTERM", "SIGINT", "SIGHUP"])
def test_asked_to_end(tmp_path: Path, ending: str) -> None:
    """Asked to end, or when its terminal is closed, it ends with code 0 and its recording whole to the last state."""
    with running(*options(tmp_path)) as daemon:
        with Ear(daemon) as ear:
            ear.fly(past("own", seconds=10.0))
        daemon.process.send_signal(getattr(signal, ending))
        assert 0 == daemon.process.wait(timeout=20)
        printed = daemon.stop().splitlines()
    (path,) = (tmp_path / "flights").glob("*.mcap")

    assert f"recording flights into {tmp_path / 'flights'}" == printed[1]
    assert [f"recorded {path}", "otherseat: stopped"] == printed[-2:]
    assert Recording.open(path).damage is None
    assert 10.0 == recorded_states(tmp_path)[-1]


@posix
def test_told_to_outlive_its_terminal(tmp_path: Path) -> None:
    """Started to ignore a hang-up, as nohup does, it goes on when the terminal is closed."""
    ignoring = ("sh", "-c", 'trap "" HUP; exec "$@"', "sh")
    with running(*options(tmp_path), "--no-recording", before=ignoring) as daemon:
        daemon.process.send_signal(signal.SIGHUP)
        assert_advises(daemon, "own")


@posix
def test_killed_and_started_again(tmp_path: Path) -> None:
    """Killed in flight it loses a second at most; started again without a plan it goes on with the plan it had."""
    mine = environment({"XDG_DATA_HOME": str(tmp_path / "data"), "HOME": str(tmp_path / "home")})
    given = options(tmp_path)
    planless = [option for option in given if option not in {"--plan", str(tmp_path / "plan.toml")}]
    with running(*planless, env=mine) as daemon, Ear(daemon) as ear, daemon.client() as client:
        ear.fly([row("own", 0.0, past_nm=-30.0)])
        client.ask("plan.set", aircraft="own", plan={"destination": "ZZPS/09L", "path_angle_deg": 4.0})
        ear.fly(past("own", from_s=200.0, seconds=30.0))
        health_when(client, lambda health: health.uptime_s > 2.5)  # so that the recorder has had its half second
        daemon.process.kill()
        daemon.process.wait()
    states = recorded_states(tmp_path)
    with running(*planless, "--no-recording", env=mine) as daemon, Ear(daemon) as ear, daemon.client() as client:
        ear.fly([row("own", 231.0, past_nm=1.6)])
        plan = client.ask("plan.get", aircraft="own")
        with client.subscribe("call", past=True) as calls:
            said = [message.body.phrase for message in calls.receive(timeout_s=PATIENCE_S)]
        alerts = ear.fly(past("own", from_s=231.5))

    assert 230.0 == states[-1]
    assert ["safety", "plan-restored"] == said[:2]
    assert ("ZZPS/09L", 4.0) == (plan.plan.destination, plan.plan.path_angle_deg)
    assert (PASSED, "raised") in alerts


def test_settings_that_change_under_it(tmp_path: Path) -> None:
    """Settings, plan and layout are read once: files that change, break or vanish while it runs change nothing."""
    with running(*options(tmp_path), "--no-recording") as daemon:
        (tmp_path / "settings.toml").write_text("[[[", encoding="utf-8")
        (tmp_path / "plan.toml").write_bytes(b"\xff\xfe")
        (tmp_path / "crowd.toml").unlink()
        assert_advises(daemon, "own")


def test_a_second_daemon(tmp_path: Path) -> None:
    """A second daemon on the same bus says so and leaves with code 2; the first does not notice."""
    log = tmp_path / "log.txt"
    with log.open("w", encoding="utf-8") as stderr, running(*options(tmp_path), stderr=stderr) as daemon:
        second = otherseat("fly", *options(tmp_path), "--port", "0", "--voice", "none", "--feed", daemon.feed)
        assert_advises(daemon, "own")
        daemon.stop()

    assert 2 == second.returncode
    assert "is taken: is another otherseat running? --feed and --desk choose others" in second.stderr
    assert [] == log_lines(log.read_text(encoding="utf-8"))
