"""The runner of the commands, interrupted at the moments at which asyncio's own complains."""

import asyncio
import inspect

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
