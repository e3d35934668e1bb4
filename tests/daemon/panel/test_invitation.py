"""Invitation and command: what the terminal shows."""

import pytest
from click.testing import CliRunner

from otherseat.daemon.panel.invitation import invitation, qr
from otherseat.daemon.panel.pairing import Pairing, Role
from otherseat.daemon.panel.server import AddressError, bind
from otherseat.daemon.panel_command import panel

LAN = "192.0.2.7"


def test_on_this_machine_nobody_needs_a_code_to_look() -> None:
    """On loopback the address and the operator's code are shown, and no QR code."""
    pairing = Pairing()
    text = invitation(address="127.0.0.1", port=47810, pairing=pairing)

    assert "http://127.0.0.1:47810/" in text
    assert pairing.code(Role.OPERATOR) in text
    assert pairing.code(Role.VIEWER) not in text
    assert "█" not in text


def test_on_a_network_both_codes_and_a_picture_are_shown() -> None:
    """On a network the viewer's code and a QR code are shown, and that others could read along."""
    pairing = Pairing()
    text = invitation(address=LAN, port=47810, pairing=pairing)

    assert {True} == {pairing.code(role) in text for role in Role}
    assert "█" in text
    assert "Others on this network" in text


def test_the_caution_comes_first() -> None:
    """The first line says what this is for."""
    first = invitation(address="127.0.0.1", port=1, pairing=Pairing()).splitlines()[0]

    assert first.startswith("For simulation and training. Not certified")


def test_the_picture_is_a_square_with_a_quiet_rim() -> None:
    """The QR code's lines are of one length: a camera needs the whole square."""
    lines = qr("http://192.0.2.7:47810/pair#ABCD-EFGH").rstrip("\n").splitlines()

    assert 1 == len({len(line.replace("\x1b[7m", "").replace("\x1b[0m", "").replace("\x1b[49m", "")) for line in lines})
    assert len(lines) > 10


@pytest.mark.parametrize("address", ["0.0.0.0", "::", ""])  # noqa: S104 - refused
def test_every_address_at_once_is_refused(address: str) -> None:
    """The page is served on one named address, never on every one."""
    with pytest.raises(AddressError, match="name the one address"):
        bind(address, 0)


def test_a_taken_port_is_one_line() -> None:
    """A port that somebody has ends the command with exit code 2, and the line names it."""
    taken = bind("127.0.0.1", 0)
    port = taken.getsockname()[1]

    result = CliRunner().invoke(panel, ["--port", str(port)])
    taken.close()

    assert 2 == result.exit_code
    assert f"port {port} can't be bound" in result.output
