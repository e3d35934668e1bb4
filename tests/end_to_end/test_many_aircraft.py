"""One daemon and many aircraft, from more than one source, and the same behind locks and relays."""

import re
import socket
import subprocess
import sys
import time
from collections.abc import Callable, Iterator, Sequence
from contextlib import ExitStack, contextmanager
from dataclasses import dataclass
from pathlib import Path

import pytest

from otherseat.daemon.client import AskError, Client, Keys
from otherseat.daemon.keys import Role, add_client, make_pair
from otherseat.daemon.messages import HealthMessage
from tests.daemon.crowd import LAYOUT, datagram
from tests.daemon.test_relay import boards_of, gone, names, relay_process, until
from tests.running import PATIENCE_S, otherseat


@dataclass
class Crowd:
    """A running daemon with two sources."""

    process: "subprocess.Popen[str]"
    sources: tuple[tuple[str, int], ...]
    feed: str
    desk: str

    def client(self, keys: Keys | None = None) -> Client:
        """Return a client of its bus."""
        return Client(feed=self.feed, desk=self.desk, keys=keys)

    def send(self, source: int, aircraft: Sequence[int], *, start_s: float) -> None:
        """Send one state of each aircraft to one of the sources, as of now."""
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            for number in aircraft:
                out.sendto(datagram(number, time.time(), start_s), self.sources[source])


def settings(folder: Path, *, name: str = "seat", keys: Path | None = None, sources: int = 2) -> Path:
    """Write settings with so many sources of the crowd's layout."""
    (folder / "crowd.toml").write_text(LAYOUT, encoding="utf-8")
    source = (
        f'[[source]]\nadapter = "layout"\nlayout = {str(folder / "crowd.toml")!r}\naddress = "127.0.0.1"\nport = 0\n'
    )
    bus = f'[bus]\nname = "{name}"\n' + ("" if keys is None else f"keys = {str(keys)!r}\n")
    file = folder / f"{name}.toml"
    file.write_text(source * sources + bus, encoding="utf-8")
    return file


@contextmanager
def crowd(file: Path, *, feed: str = "tcp://127.0.0.1:*", desk: str = "tcp://127.0.0.1:*") -> Iterator[Crowd]:
    """Run `otherseat fly` with these settings."""
    command = [sys.executable, "-m", "otherseat.daemon", "fly", "--settings", str(file), "--voice", "none"]
    command += ["--no-recording", "--feed", feed, "--desk", desk]
    process = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=subprocess.DEVNULL, text=True, encoding="utf-8")
    try:
        assert process.stdout is not None
        ready = process.stdout.readline()
        found = re.match(r"ready udp=(.*) feed=(\S+) desk=(\S+)", ready)
        assert found is not None, ready
        ports = [one.rpartition(":") for one in found[1].split()]
        yield Crowd(process, tuple((host, int(port)) for host, _, port in ports), found[2], found[3])
    finally:
        process.kill()
        process.communicate()


def eventually(crowd_: Crowd, client: Client, send: Callable[[], None], seen: Callable[[HealthMessage], bool]) -> None:
    """Send again and again until the daemon's health shows it."""
    until_s = time.monotonic() + PATIENCE_S
    while True:
        send()
        health: HealthMessage = client.ask("status", timeout_s=PATIENCE_S)
        if seen(health):
            return
        assert time.monotonic() < until_s, health
        assert crowd_.process.poll() is None
        time.sleep(0.05)


def test_two_sources_and_many_aircraft(tmp_path: Path) -> None:
    """Aircraft of both sources have engines and topics of their own, and a plan for one is no plan for another."""
    start_s = time.time()
    with crowd(settings(tmp_path)) as daemon, daemon.client() as client:

        def send() -> None:
            daemon.send(0, range(20), start_s=start_s)
            daemon.send(1, range(20, 30), start_s=start_s)

        everybody = {f"c{number}" for number in range(30)}
        eventually(daemon, client, send, lambda health: set(health.aircraft) == everybody)
        eventually(daemon, client, send, lambda health: all(source.states > 0 for source in health.sources))
        client.ask("plan.set", aircraft="c3", plan={"path_angle_deg": 4.0})
        plans = [client.ask("plan.get", aircraft=aircraft).plan.path_angle_deg for aircraft in ("c3", "c25")]
        with client.subscribe("picture", aircraft="c25") as subscription:
            send()
            heard = subscription.receive(timeout_s=PATIENCE_S)

    assert [4.0, None] == plans
    assert {"c25"} == {message.aircraft for message in heard}


def test_sources_that_name_no_aircraft(tmp_path: Path) -> None:
    """Two simulators that don't say who they are fly two aircraft, by the names that the settings give them."""
    nameless = tmp_path / "nameless.toml"
    nameless.write_text(LAYOUT.replace('aircraft = { column = "id" }\n', ""), encoding="utf-8")
    source = f"[[source]]\nlayout = {str(nameless)!r}\nport = 0\naircraft = "
    file = tmp_path / "two.toml"
    file.write_text(f'{source}"left"\n{source}"right"\n', encoding="utf-8")
    start_s = time.time()
    with crowd(file) as daemon, daemon.client() as client:

        def send() -> None:
            for one in range(2):
                daemon.send(one, [one], start_s=start_s)

        eventually(daemon, client, send, lambda health: set(health.aircraft) == {"left", "right"})


def test_a_locked_daemon(tmp_path: Path) -> None:
    """With keys in the settings the real daemon lets in who is on its list, and an operator alone gives orders."""
    folder = tmp_path / "keys"
    for name in ("daemon", "reader", "operator"):
        make_pair(folder, name)
    for role in Role:
        add_client(folder, name=role.value, key=str(folder / f"{role.value}.key"), role=role)
    keys = {
        name: Keys.read(key=folder / f"{name}.key_secret", server=str(folder / "daemon.key"))
        for name in ("reader", "operator")
    }
    with crowd(settings(tmp_path, name="locked", keys=folder, sources=1)) as daemon:
        with daemon.client(keys["reader"]) as reader, daemon.client(keys["operator"]) as operator:
            assert "locked" == reader.ask("status", timeout_s=PATIENCE_S).seat
            with pytest.raises(AskError, match=r"plan\.set is an order"):
                reader.ask("plan.set", plan={"path_angle_deg": 4.0}, timeout_s=PATIENCE_S)
            operator.ask("plan.set", plan={"path_angle_deg": 5.0}, timeout_s=PATIENCE_S)
            assert 5.0 == reader.ask("plan.get").plan.path_angle_deg
        with daemon.client() as plain, pytest.raises(AskError, match="no answer"):
            plain.ask("status", timeout_s=0.4)


def test_beyond_this_machine_without_keys() -> None:
    """The daemon refuses to open its bus to others without keys, says how they are made, and leaves with code 2."""
    done = otherseat("fly", "--voice", "none", "--no-recording", "--port", "0", "--feed", "tcp://0.0.0.0:*")

    assert 2 == done.returncode
    assert "tcp://0.0.0.0:* can be reached from other machines, and that needs keys" in done.stderr
    assert "otherseat keys make daemon" in done.stderr
    assert "Traceback" not in done.stderr


@pytest.mark.long
@pytest.mark.timeout(600)
def test_a_classroom_of_real_daemons(tmp_path: Path) -> None:
    """Twenty real daemons, one relay and three boards: whoever is killed is missed, and is seen again when back."""
    files = [settings(tmp_path, name=f"seat-{number:02}", sources=1) for number in range(20)]
    everybody = {file.stem for file in files}
    with ExitStack() as stack:
        daemons = [stack.enter_context(crowd(file)) for file in files]
        feeds = [daemon.feed for daemon in daemons]
        relaying, feed = stack.enter_context(relay_process(feeds))
        boards = stack.enter_context(boards_of(feed, 3))
        until(boards, lambda board: names(board) == everybody)

        daemons[7].process.kill()
        until(boards, lambda board: gone(board) == ["seat-07"])
        stack.enter_context(crowd(files[7], feed=feeds[7], desk=daemons[7].desk))
        until(boards, lambda board: not gone(board) and names(board) == everybody)

        relaying.kill()
        relaying.wait()
        until(boards, lambda board: set(gone(board)) == everybody)
        stack.enter_context(relay_process(feeds, feed=feed))
        until(boards, lambda board: not gone(board))
