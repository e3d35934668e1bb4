"""The runner of the commands, interrupted at the moments at which asyncio's own complains."""

import asyncio
import inspect
import signal
from collections.abc import Coroutine
from typing import Any

import pytest

from otherseat.daemon.ready_runner import ReadyRunner


async def own_loop() -> asyncio.AbstractEventLoop:
    """Return the loop that this runs on."""
    await asyncio.sleep(0)
    return asyncio.get_running_loop()


def test_it_runs_what_it_is_given() -> None:
    """As asyncio's does, on a loop that is there before."""
    with ReadyRunner() as runner:
        assert runner.loop is runner.run(own_loop())


def test_interrupted_before_it_begins(monkeypatch: pytest.MonkeyPatch) -> None:
    """What was never begun is closed, so that python does not say of it that it was never awaited."""

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(asyncio.Runner, "run", interrupted)
    work = own_loop()
    with ReadyRunner() as runner, pytest.raises(KeyboardInterrupt):
        runner.run(work)

    assert inspect.CORO_CLOSED == inspect.getcoroutinestate(work)


def test_interrupted_once_it_is_a_task(monkeypatch: pytest.MonkeyPatch, caplog: pytest.LogCaptureFixture) -> None:
    """What is a task already is cancelled, and nothing is complained of: neither of the work nor of its end."""

    def interrupted(self: asyncio.Runner, work: Coroutine[Any, Any, object]) -> None:
        monkeypatch.undo()
        tasks.append(self.get_loop().create_task(work))
        raise KeyboardInterrupt

    tasks: list[asyncio.Task[object]] = []
    monkeypatch.setattr(asyncio.Runner, "run", interrupted)
    with ReadyRunner() as runner, pytest.raises(KeyboardInterrupt):
        runner.run(own_loop())

    assert tasks[0].cancelled()
    assert [] == caplog.records


def test_interrupted_while_it_makes_itself_ready(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C right after the runner has put its own handler in place is Ctrl-C still, which it forgets for itself."""
    in_place = signal.signal

    def pressed_at_once(number: int, handler: Any) -> object:
        before = in_place(number, handler)
        if number == signal.SIGINT and handler is not signal.default_int_handler:
            signal.raise_signal(signal.SIGINT)
        return before

    with ReadyRunner() as runner:
        monkeypatch.setattr(signal, "signal", pressed_at_once)
        with pytest.raises(KeyboardInterrupt):
            runner.run(own_loop())
