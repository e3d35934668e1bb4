"""Two programs that send to one port, while `otherseat identify` listens."""

import socket
import threading

import pytest
from click.testing import CliRunner

from otherseat.adapters.listener import Received
from otherseat.daemon.identify_command import identify
from otherseat.daemon.senders import RETURNS, Senders


def heard(ports: list[int], *, peer: str = "127.0.0.1") -> tuple[int, str]:
    """Return how often it is news who sends, and what is said at the end."""
    senders = Senders()
    news = sum(senders.note(Received(b"x", 1.0, peer, port)) for port in ports)
    return news, senders.words()


@pytest.mark.parametrize(
    "ports",
    [
        pytest.param([50_001] * 9, id="one"),
        pytest.param([50_001] * 9 + [50_002] * 9 + [50_003] * 9, id="started-again-with-another-port"),
        pytest.param([50_001] * 9 + [50_002, 50_001] + [50_002] * 9, id="a-late-one"),
        pytest.param(list(range(50_001, 50_101)), id="another-port-for-every-datagram"),
    ],
)
def test_one_program_is_one_sender(ports: list[int]) -> None:
    """Who comes after another that is heard no more is the same simulator."""
    assert (0, "") == heard(ports)


def test_two_that_keep_sending() -> None:
    """They are told once, with address and port, and a third one again."""
    two = [50_001, 50_001, 50_002] * (RETURNS + 9)
    said = (
        "Datagrams come from 2 senders by turns, 127.0.0.1:50001 and 127.0.0.1:50002: if they are different programs,"
    )

    assert (1, True) == (heard(two)[0], heard(two)[1].startswith(said))
    assert "[::1]:50001 and [::1]:50002:" in heard(two, peer="::1")[1]
    assert 2 == heard(two + [50_003, 50_001] * 9)[0]


def test_identify_says_so(port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """From two sockets to the report: once while it listens, once in the report, below the counts."""
    told = threading.Event()

    def send() -> None:
        kind = (socket.AF_INET, socket.SOCK_DGRAM)
        with socket.socket(*kind) as one, socket.socket(*kind) as other:
            while not told.wait(0.005):
                one.sendto(b"1,2,3\n", ("127.0.0.1", port))
                other.sendto(b"name,4\n", ("127.0.0.1", port))

    def ended() -> None:
        if told.is_set():
            raise KeyboardInterrupt

    class Noticed(Senders):
        """Tells when it has told."""

        def note(self, received: Received) -> bool:
            """Note it, and whether it was news."""
            news = super().note(received)
            if news:
                told.set()
            return news

    sender = threading.Thread(target=send)
    sender.start()
    monkeypatch.setattr("otherseat.daemon.identify_command.said_once", lambda *_: ended)
    monkeypatch.setattr("otherseat.daemon.senders.Senders", Noticed)
    try:
        result = CliRunner().invoke(identify, [str(port), "--seconds", "20"])
    finally:
        told.set()
        sender.join()
    lines = result.output.splitlines()
    said = [number for number, line in enumerate(lines) if "Datagrams come from 2 senders by turns" in line]

    assert 1 == result.exit_code
    assert 2 == len(said)
    assert lines[said[0]].startswith("   0 s  ")
    assert " datagrams in " in lines[said[1] - 1]
