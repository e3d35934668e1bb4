"""What somebody else's plug-in does: it raises, waits or computes for ever, is slow, leaks, or can't be imported."""

import re
import subprocess
from pathlib import Path

import pytest

from tests.faults.rig import Ear, advisory, assert_advises, health_when, log_lines, options, past, with_plugin
from tests.running import running

RAISES = advisory("raise ZeroDivisionError('on purpose')")
WAITS = advisory("time.sleep(600)")
COMPUTES = advisory("while True: pass")
IS_SLOW = advisory("time.sleep(0.05)")


@pytest.mark.parametrize(
    ("source", "why"),
    [
        pytest.param(RAISES, "ZeroDivisionError", id="raises"),
        pytest.param(WAITS, "interrupted after", id="waits-for-ever"),
        pytest.param(COMPUTES, "interrupted after", id="computes-for-ever"),
        pytest.param(IS_SLOW, "of the 0.005 s that it may take", id="too-slow"),
    ],
)
def test_it_is_benched_and_the_rest_go_on(tmp_path: Path, source: str, why: str) -> None:
    """A caution says that it was switched off, the log says why, health names it, and the others go on."""
    log = tmp_path / "log.txt"
    with log.open("w", encoding="utf-8") as stderr:
        env = with_plugin(tmp_path, source)
        with running(*options(tmp_path), "--no-recording", stderr=stderr, env=env) as daemon, Ear(daemon) as ear:
            changes = ear.fly(past("own"))
            with daemon.client() as client:
                benched = client.ask("status").benched
            said = daemon.stop()
    lines = log_lines(log.read_text(encoding="utf-8"))

    assert {("plugin-benched", "raised"), ("destination-passed", "raised")} <= set(changes)
    assert {"faulty": "benched after faults"} == benched
    assert re.search(r"caution: .*faulty.* off\.", said)
    failed = [line for line in lines if line["event"] == "advisory_failed"]

    assert [("faulty", False), ("faulty", True)] == [(line["advisory"], line["benched"]) for line in failed]
    assert all(why in line["exception"] for line in failed)


def test_it_leaks(tmp_path: Path) -> None:
    """Memory that a plug-in keeps is seen in the daemon's health; the others find what they find."""
    env = with_plugin(tmp_path, advisory("self.kept.append(b'x' * 2**20)"))
    with running(*options(tmp_path), "--no-recording", env=env) as daemon, daemon.client() as client:
        before_mib = client.ask("status").counters["memory MiB"]
        assert_advises(daemon, "own")
        health_when(client, lambda health: health.counters["memory MiB"] > before_mib + 100)


@pytest.mark.parametrize(
    ("source", "reason"),
    [
        pytest.param("import no_such_module", "No module named 'no_such_module'", id="not-importable"),
        pytest.param("PLUGIN = 7", "is no Advisory", id="not-an-advisory"),
    ],
)
def test_it_is_no_advisory(tmp_path: Path, source: str, reason: str) -> None:
    """What can't be used is left out by name, and the rest fly."""
    log = tmp_path / "log.txt"
    with log.open("w", encoding="utf-8") as stderr:
        env = with_plugin(tmp_path, source)
        with running(*options(tmp_path), "--no-recording", stderr=stderr, env=env) as daemon:
            assert_advises(daemon, "own")
            daemon.stop()
    (line,) = log_lines(log.read_text(encoding="utf-8"))

    assert ("plugin_refused", "faulty") == (line["event"], line["plugin"])
    assert reason in line["reason"]


def test_an_adapter_that_raises(tmp_path: Path) -> None:
    """An adapter's own faults are counted apart from what the sender did wrong, and logged once."""
    source = """
from otherseat.adapters.adapter import Adapter

class Faulty:
    def decode(self, datagram):
        raise ZeroDivisionError("on purpose")

PLUGIN = Adapter(name="faulty", summary="fails", make=lambda options: Faulty())
"""
    env = with_plugin(tmp_path, source, group="otherseat.adapters")
    settings = tmp_path / "faulty.toml"
    settings.write_text('[[source]]\nadapter = "faulty"\nport = 0\n[airfields]\nworld = false\n', encoding="utf-8")
    with running("--settings", str(settings), "--no-recording", env=env, stderr=subprocess.DEVNULL) as daemon:
        daemon.send([b"something"] * 20)
        with daemon.client() as client:
            health = health_when(client, lambda health: health.sources[0].datagrams == 20)

    assert 20 == health.sources[0].refused["fault of the adapter"]
