"""A report holds nothing that is nobody else's business."""

import getpass
import socket
from pathlib import Path

import pytest

from otherseat.daemon.discretion import Discretion


@pytest.fixture
def discretion(monkeypatch: pytest.MonkeyPatch) -> Discretion:
    """Return the discretion of an invented person on an invented machine."""
    monkeypatch.setattr(Path, "home", lambda: Path("/home/annabella"))
    monkeypatch.setattr(getpass, "getuser", lambda: "annabella")
    monkeypatch.setattr(socket, "gethostname", lambda: "cellar-pc.example")
    return Discretion()


@pytest.mark.parametrize(
    ("line", "told"),
    [
        ("/home/annabella/flights: can't be read", "~/flights: can't be read"),
        ("/mnt/annabella/plan.toml", "/mnt/<person>/plan.toml"),
        ("bound on cellar-pc.example:47801", "bound on <machine>:47801"),
        ("bound on cellar-pc:47801", "bound on <machine>:47801"),
        ("annabellas is another word", "annabellas is another word"),
        ("UDP 127.0.0.1:47800: 12 datagrams", "UDP 127.0.0.1:47800: 12 datagrams"),
    ],
)
def test_names_are_left_out(discretion: Discretion, line: str, told: str) -> None:
    """Home, person and machine have something in their place; the rest stays."""
    assert told == discretion.of(line)


def test_what_is_named_later(discretion: Discretion) -> None:
    """Names that come up while a report is made are left out from then on; one letter is no name."""
    discretion.hide(["Anna's buds", "x"], "<device>")

    assert "voice espeak on <device>, x" == discretion.of("voice espeak on Anna's buds, x")


def test_a_person_without_a_name(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where the system knows no name, as in a container, there is none to leave out."""

    def unknown() -> str:
        raise KeyError("uid not found")

    monkeypatch.setattr(getpass, "getuser", unknown)

    assert "a line" == Discretion().of("a line")
