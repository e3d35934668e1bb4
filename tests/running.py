"""The real daemon as a process, for tests: on ports of its own, ended by its own process id."""

import contextlib
import signal
import socket
import subprocess
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import IO, Any

from click.testing import CliRunner, Result

from otherseat.daemon.cli import cli
from otherseat.daemon.client import Client

PATIENCE_S = 20.0


@dataclass
class Daemon:
    """A running `otherseat fly`."""

    process: "subprocess.Popen[str]"
    udp: tuple[str, int]
    feed: str
    desk: str

    def client(self) -> Client:
        """Return a client of its bus."""
        return Client(feed=self.feed, desk=self.desk)

    def send(self, datagrams: Sequence[bytes]) -> None:
        """Send datagrams as a simulator would."""
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            for datagram in datagrams:
                out.sendto(datagram, self.udp)

    def stop(self) -> str:
        """End it politely and return what it printed after its first line."""
        if self.process.poll() is None:
            self.process.send_signal(signal.SIGINT if sys.platform != "win32" else signal.CTRL_BREAK_EVENT)
        assert self.process.stdout is not None
        out = self.process.stdout.read()  # communicate() would leave out what came together with the first line
        self.process.wait(timeout=PATIENCE_S)
        return out


@contextlib.contextmanager
def running(
    *options: str, stderr: IO[Any] | int | None = subprocess.DEVNULL, before: Sequence[str] = (), **more: Any
) -> Iterator[Daemon]:
    """Start `otherseat fly` without a voice on free ports, wait until it is ready, and end it at the end.

    before: a command that runs it. more: for Popen, such as env.
    """
    command = [*before, sys.executable, "-m", "otherseat.daemon", "fly", "--port", "0", "--feed", "tcp://127.0.0.1:*"]
    command += ["--desk", "tcp://127.0.0.1:*", "--voice", "none", *options]
    flags = subprocess.CREATE_NEW_PROCESS_GROUP if sys.platform == "win32" else 0
    process = subprocess.Popen(
        command, stdout=subprocess.PIPE, stderr=stderr, text=True, encoding="utf-8", creationflags=flags, **more
    )
    try:
        assert process.stdout is not None
        ready = dict(part.split("=", 1) for part in process.stdout.readline().split()[1:])
        host, _, port = ready["udp"].rpartition(":")
        yield Daemon(process=process, udp=(host, int(port)), feed=ready["feed"], desk=ready["desk"])
    finally:
        process.kill()
        process.communicate()


def otherseat(*arguments: str, seconds: float = PATIENCE_S) -> "subprocess.CompletedProcess[str]":
    """Run a command of otherseat to its end."""
    return subprocess.run(
        [sys.executable, "-m", "otherseat.daemon", *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=seconds,
        check=False,
    )


def in_here(*arguments: str) -> Result:
    """Run a command of otherseat to its end in this process, where starting another would tell nothing more."""
    return CliRunner().invoke(cli, arguments, catch_exceptions=False)
