"""Lines: what is written never waits for who reads."""

import io
import os

from otherseat.daemon.lines import Lines

PIPE_BYTES = 1_000_000
"""More than any system's pipe holds."""


def test_everything_arrives_in_order() -> None:
    """What was written is there once it is closed, in its order."""
    incoming, outgoing = os.pipe()
    with os.fdopen(outgoing, "w", encoding="utf-8") as stream:
        lines = Lines(stream)
        for number in range(100):
            lines.write(f"{number} ±\n")
        lines.close()
    with os.fdopen(incoming, encoding="utf-8") as reader:
        assert [f"{number} ±\n" for number in range(100)] == list(reader)


def test_a_pipe_that_nobody_reads() -> None:
    """A full pipe holds up neither the writer nor the end; what is too much is dropped."""
    incoming, outgoing = os.pipe()
    with os.fdopen(outgoing, "w", encoding="utf-8") as stream:
        lines = Lines(stream, waiting=10)
        for _ in range(100):
            lines.write("x" * (PIPE_BYTES // 50))
        lines.close()
        os.close(incoming)
        lines._thread.join(5.0)  # or it would write into whatever gets this pipe's number next


def test_a_reader_that_has_gone() -> None:
    """A closed pipe is given up without a word, and so is what comes later."""
    incoming, outgoing = os.pipe()
    os.close(incoming)
    with os.fdopen(outgoing, "w", encoding="utf-8") as stream:
        lines = Lines(stream)
        lines.write("nobody\n")
        lines.close()
        lines.write("hears\n")
        stream.write("this\n")


def test_a_window_is_known_as_one() -> None:
    """What breaks lines for a window asks whether it is one; the queue in between does not hide that."""

    class Window(io.StringIO):
        def isatty(self) -> bool:
            return True

    for stream, expected in ((Window(), True), (io.StringIO(), False)):
        lines = Lines(stream)

        assert expected is lines.stream.isatty()
        lines.close()
