"""What a machine does: no room, no permission, no reader, another time, no sound, no network."""

import os
import resource
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from otherseat.daemon.recording import Recording
from tests.faults.rig import (
    FLOWN_PAST,
    Ear,
    advisory,
    assert_advises,
    environment,
    health_when,
    log_lines,
    options,
    past,
    row,
    with_plugin,
)
from tests.running import running

pytestmark = pytest.mark.skipif(sys.platform != "linux", reason="limits and signals of this system")

FILE_BYTES = 40_000
BURST = 30_000
NOTHING = "/dev/null/nothing"
"""A place where there can be no file."""


def limited() -> None:
    """Let this process write no file longer than this; for it that is as good as a full disk."""
    resource.setrlimit(resource.RLIMIT_FSIZE, (FILE_BYTES, FILE_BYTES))


def test_a_full_disk(tmp_path: Path) -> None:
    """Recording ends with the reason in health and log; what was recorded opens; advice goes on."""
    log = tmp_path / "log.txt"
    rows = [row("own", n / 10, past_nm=-20.0 + n / 120) for n in range(3_000)]
    with (
        log.open("w", encoding="utf-8") as stderr,
        running(*options(tmp_path), stderr=stderr, preexec_fn=limited) as daemon,
        Ear(daemon) as ear,
        daemon.client() as client,
    ):
        ear.fly(rows[:100])
        time.sleep(1.0)  # the recorder's half second, twice
        ear.fly(rows[100:])
        health = health_when(client, lambda health: health.recorder != "on")
        assert_advises(daemon, "another")
        daemon.stop()
    (path,) = (tmp_path / "flights").glob("*.mcap")

    assert "not recording: file too large" == health.recorder
    assert ["recorder"] == [line["event"] for line in log_lines(log.read_text(encoding="utf-8"))]
    assert len(list(Recording.open(path).entries())) > 100


@pytest.mark.parametrize("where", ["own folder", "recordings"])
def test_nowhere_to_write(tmp_path: Path, where: str) -> None:
    """With a home, or a folder of recordings, that takes nothing it flies on, and says why it does not record."""
    given = options(tmp_path)
    env = environment({"HOME": NOTHING, "XDG_DATA_HOME": NOTHING, "XDG_CACHE_HOME": NOTHING})
    settings = tmp_path / "settings.toml"
    written = settings.read_text(encoding="utf-8")
    folder = f'folder = "{(tmp_path / "flights").as_posix()}"'
    assert folder in written
    changed = written.replace(folder, "" if where == "own folder" else f'folder = "{NOTHING}"')
    settings.write_text(changed, encoding="utf-8")
    with running(*given, env=env) as daemon, daemon.client() as client:
        assert_advises(daemon, "own")
        health = health_when(client, lambda health: health.recorder != "on")

    assert "not recording: not a directory" == health.recorder


def test_output_that_nobody_reads(tmp_path: Path) -> None:
    """Standard error that is held, such as a terminal with a selection in it, holds up neither flight nor end."""
    with running(*options(tmp_path), "--log-level", "debug", stderr=subprocess.PIPE) as daemon, Ear(daemon) as ear:
        # A line of log each: more than a pipe holds.
        ear.fly([row(f"a{number}", 0.0, past_nm=-9.0) for number in range(700)])
        assert FLOWN_PAST == ear.fly(past("own"))[:2]
        daemon.process.send_signal(signal.SIGTERM)

        assert 0 == daemon.process.wait(timeout=20)


def test_output_that_is_gone(tmp_path: Path) -> None:
    """Whoever read standard output and the log may leave: advice goes on, and the end is still code 0."""
    with running(*options(tmp_path), "--no-recording", "--log-level", "debug", stderr=subprocess.PIPE) as daemon:
        for pipe in (daemon.process.stdout, daemon.process.stderr):
            assert pipe is not None
            pipe.close()
        assert_advises(daemon, "own")
        assert_advises(daemon, "another")
        daemon.process.send_signal(signal.SIGTERM)

        assert 0 == daemon.process.wait(timeout=20)


def test_a_clock_that_is_put_back(tmp_path: Path) -> None:
    """The machine's clock put back by an hour in flight changes nothing that is said, and the recording opens whole."""
    look = "patch() if time.time is clock[0] else None"
    patch = """
clock = time.time, time.time_ns

def patch():
    time.time = lambda: clock[0]() - 3600
    time.time_ns = lambda: clock[1]() - 3600 * 10**9
"""
    env = with_plugin(tmp_path, advisory(look, first=patch))
    with running(*options(tmp_path), env=env) as daemon:
        assert_advises(daemon, "own")
        daemon.stop()
    (path,) = (tmp_path / "flights").glob("*.mcap")
    opened = Recording.open(path)

    assert opened.damage is None
    assert len(list(opened.entries())) > 200


def test_a_full_socket(tmp_path: Path) -> None:
    """After a stall the newest states are taken, what was too old is counted, and advice goes on from there."""
    with running(*options(tmp_path), "--no-recording") as daemon, Ear(daemon) as ear, daemon.client() as client:
        ear.fly([row("own", 0.0, past_nm=-9.0)])
        daemon.process.send_signal(signal.SIGSTOP)
        daemon.send([row("own", 1.0 + n / 1_000, past_nm=-8.9) for n in range(BURST)])
        daemon.process.send_signal(signal.SIGCONT)
        health = health_when(client, lambda health: health.sources[0].refused.get("dropped, too far behind", 0) > 0)
        changes = ear.fly(past("own", from_s=100.0))

    assert health.sources[0].states < BURST
    assert FLOWN_PAST == [change for change in changes if change in FLOWN_PAST][:2]


def test_a_lost_audio_device(tmp_path: Path) -> None:
    """A device that stops asking for sound is noticed and opened anew; meanwhile everything is on the bus."""
    first = """
from otherseat.daemon.voice.player import Player
real = Player._pulls
players = []

def stopping(self):
    players.append(self)
    inner = real(self)
    count = yield next(inner)
    for _ in range(30 if len(players) == 1 else 10**9):
        count = yield inner.send(count)

Player._pulls = stopping
"""
    log = tmp_path / "log.txt"
    with log.open("w", encoding="utf-8") as stderr:
        env = with_plugin(tmp_path, advisory("pass", first=first))
        with running(*options(tmp_path), "--no-recording", "--voice", "espeak", stderr=stderr, env=env) as daemon:
            until_s = time.monotonic() + 20.0
            while "audio device is lost" not in log.read_text(encoding="utf-8") and time.monotonic() < until_s:
                time.sleep(0.1)
            assert_advises(daemon, "own")
            with daemon.client() as client:
                health_when(client, lambda health: health.voice.startswith("espeak"))
            daemon.stop()
    events = [line["event"] for line in log_lines(log.read_text(encoding="utf-8"))]

    assert 1 == events.count("audio device is lost")


@pytest.mark.skipif(shutil.which("unshare") is None or shutil.which("ip") is None, reason="needs a network of its own")
def test_a_network_that_goes_and_comes_back(tmp_path: Path) -> None:
    """When its interface goes down the daemon stays, is told to be blind, and hears again when it is up."""
    inside = [sys.executable, "-m", "tests.faults.network", str(tmp_path)]
    alone = ["unshare", "--user", "--map-root-user", "--net"]
    if subprocess.run([*alone, "true"], check=False, capture_output=True).returncode:
        pytest.skip("this machine gives no network of one's own")
    done = subprocess.run(
        [*alone, *inside], check=False, capture_output=True, text=True, env=dict(os.environ), timeout=90
    )

    assert 0 == done.returncode, done.stdout + done.stderr
