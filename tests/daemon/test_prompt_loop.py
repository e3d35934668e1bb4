"""The prompt loop: real sockets on it, and a reader that fails."""

import asyncio
import socket
from collections.abc import Iterator

import pytest

from otherseat.daemon.prompt_loop import PromptLoop

Pair = tuple[socket.socket, socket.socket]


@pytest.fixture
def loop() -> Iterator[PromptLoop]:
    """Make a loop, closed at the end."""
    loop = PromptLoop()
    yield loop
    loop.close()


@pytest.fixture
def pair() -> Iterator[Pair]:
    """Make two sockets that are joined; what goes into one comes out of the other."""
    here, there = socket.socketpair()
    with here, there:
        here.setblocking(False)
        yield here, there


def turn(loop: PromptLoop, seconds: float = 0.05) -> None:
    """Let the loop run for a while."""
    loop.run_until_complete(asyncio.sleep(seconds))


def test_a_reader_is_called_with_its_arguments(loop: PromptLoop, pair: Pair) -> None:
    """Whatever waits is read, by number or by socket, until the reader is taken away."""
    here, there = pair
    got: list[tuple[str, bytes]] = []
    loop.add_reader(here, lambda name: got.append((name, here.recv(9))), "one")
    there.send(b"a")
    turn(loop)
    loop.add_reader(here.fileno(), lambda name: got.append((name, here.recv(9))), "two")
    there.send(b"b")
    turn(loop)

    assert loop.remove_reader(here)
    assert not loop.remove_reader(here)
    there.send(b"c")
    turn(loop)
    assert [("one", b"a"), ("two", b"b")] == got


def test_the_loops_own_work_goes_on(loop: PromptLoop, pair: Pair) -> None:
    """Streams, timers and calls from other threads, which don't come by add_reader, work beside a busy reader."""
    here, there = pair
    loop.add_reader(here, here.recv, 9)

    async def echo() -> bytes:
        async def answer(reader: asyncio.StreamReader, writer: asyncio.StreamWriter) -> None:
            writer.write(await reader.readexactly(4))
            writer.close()

        server = await asyncio.start_server(answer, "127.0.0.1", 0)
        reader, writer = await asyncio.open_connection(*server.sockets[0].getsockname())
        there.send(b"x")
        writer.write(b"ping")
        heard = await reader.read()
        there.send(b"x")
        await loop.run_in_executor(None, str)
        writer.close()
        server.close()
        return heard

    assert b"ping" == loop.run_until_complete(asyncio.wait_for(echo(), 5.0))


def test_a_reader_that_fails_is_reported_and_ends_nothing(loop: PromptLoop, pair: Pair) -> None:
    """As on any loop of asyncio: its handler is told, and the next datagram is read."""
    here, there = pair
    told: list[BaseException] = []
    loop.set_exception_handler(lambda _loop, context: told.append(context["exception"]))
    loop.add_reader(here, lambda: 1 // int(here.recv(1)))
    there.send(b"0")
    turn(loop)
    there.send(b"1")
    turn(loop)

    assert [ZeroDivisionError] == [type(error) for error in told]
    with pytest.raises(BlockingIOError):
        here.recv(1)


@pytest.mark.parametrize(
    ("make", "order"),
    [
        pytest.param(PromptLoop, ["read", "soon"], id="prompt"),
        pytest.param(asyncio.SelectorEventLoop, ["soon", "read"], id="asyncio's own"),
    ],
)
def test_what_is_ready_is_read_before_what_was_to_be_done_soon(
    make: type[asyncio.SelectorEventLoop], order: list[str], pair: Pair
) -> None:
    """The reader is called from within the wait, not in a queue behind what the loop has to do."""
    here, there = pair
    done: list[str] = []
    with asyncio.Runner(loop_factory=make) as runner:
        loop = runner.get_loop()
        loop.add_reader(here, lambda: (here.recv(9), done.append("read")))
        there.send(b"x")
        loop.call_soon(done.append, "soon")
        runner.run(asyncio.sleep(0.05))

    assert order == done
