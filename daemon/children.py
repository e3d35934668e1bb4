"""Child processes of ours: started, read line by line, asked to end, and ended for certain.

A child is a session (on Windows a process group) of its own, so that Ctrl-C reaches this process alone and the
children end in order.
"""

import queue
import re
import signal
import subprocess
import sys
import threading
from collections.abc import Iterator, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Self

GRACE_S = 10.0
READY_S = 60.0
OWN_GROUP: dict[str, Any]
if sys.platform == "win32":
    OWN_GROUP = {"creationflags": subprocess.CREATE_NEW_PROCESS_GROUP}
    PLEASE_END = signal.CTRL_BREAK_EVENT
else:
    OWN_GROUP = {"start_new_session": True}
    PLEASE_END = signal.SIGTERM
ENDINGS = ("SIGTERM", "SIGHUP", "SIGBREAK")
"""How a system asks a program to end, other than by Ctrl-C."""
READY = re.compile(r"^ready udp=(?P<host>\S+):(?P<port>\d+)\S* feed=(?P<feed>\S+) desk=(?P<desk>\S+)")


@contextmanager
def ended_as_by_ctrl_c() -> Iterator[None]:
    """Within it the system's own request to end, or a terminal that is closed, ends this program as Ctrl-C does.

    A program that simply dies of it would leave its children behind, with their ports. For the main thread.
    """
    names = [getattr(signal, name) for name in ENDINGS if hasattr(signal, name)]
    before = {name: signal.signal(name, signal.default_int_handler) for name in names}
    try:
        yield
    finally:
        for name, handler in before.items():
            signal.signal(name, handler)


class ChildError(RuntimeError):
    """A child that did not do what it was started for; the text is what it said last."""


class Child:
    """One child process and the lines that it prints."""

    def __init__(self, command: Sequence[str]) -> None:
        self._process = subprocess.Popen(  # noqa: S603 - this interpreter with our own modules
            command,
            stdin=subprocess.DEVNULL,
            stdout=subprocess.PIPE,
            stderr=subprocess.STDOUT,
            encoding="utf-8",
            errors="replace",
            **OWN_GROUP,
        )
        self._lines: queue.SimpleQueue[str | None] = queue.SimpleQueue()
        self.silent = False
        """It has closed its output, and every line has been handed over."""
        self._reader = threading.Thread(target=self._read, name="child-lines", daemon=True)
        self._reader.start()

    def __enter__(self) -> Self:
        return self

    def __exit__(self, *_: object) -> None:
        self.stop()

    @property
    def pid(self) -> int:
        """Its process id."""
        return self._process.pid

    @property
    def exit_code(self) -> int | None:
        """Its exit code, None while it runs."""
        return self._process.poll()

    def line(self, *, timeout_s: float) -> str | None:
        """Return its next line; None when none came in time, or when it is silent."""
        if self.silent:
            return None
        try:
            line = self._lines.get(timeout=timeout_s) if timeout_s > 0.0 else self._lines.get_nowait()
        except queue.Empty:
            return None
        self.silent = line is None
        return line

    def stop(self) -> int:
        """Ask it to end, wait, and end it for certain; return its exit code."""
        if self._process.poll() is None:
            self._process.send_signal(PLEASE_END)
        try:
            code = self._process.wait(timeout=GRACE_S)
        except subprocess.TimeoutExpired:
            self._process.kill()
            code = self._process.wait()
        self._reader.join(timeout=1.0)
        if self._process.stdout is not None:
            self._process.stdout.close()
        return code

    def _read(self) -> None:
        if self._process.stdout is not None:
            for line in self._process.stdout:
                self._lines.put(line.rstrip("\n"))
        self._lines.put(None)


@dataclass(frozen=True, slots=True)
class Endpoints:
    """Where a daemon listens and publishes."""

    host: str
    port: int
    feed: str
    desk: str


def start_daemon(*arguments: str) -> tuple[Child, Endpoints]:
    """Start `otherseat fly` and wait until it is ready, or raise ChildError with what it said."""
    command = [sys.executable, "-m", "otherseat.daemon", "fly", *arguments]
    child = Child(command)
    said: list[str] = []
    try:
        while (line := child.line(timeout_s=READY_S)) is not None:
            if found := READY.match(line):
                where = found.groupdict()
                return child, Endpoints(
                    host=where["host"], port=int(where["port"]), feed=where["feed"], desk=where["desk"]
                )
            said.append(line)
    except BaseException:  # Ctrl-C while it starts: a daemon left behind would hold its ports
        child.stop()
        raise
    child.stop()
    raise ChildError("\n".join(said) or "the daemon did not get ready")


def start_pilot(*arguments: str) -> Child:
    """Start the demo's pilot."""
    return Child([sys.executable, "-m", "otherseat.daemon.flight_model.pilot", *arguments])
