"""The intake: refusals counted and logged on change, faults kept apart, nothing raised."""

from collections.abc import Sequence

from structlog.testing import capture_logs

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.intake import QUIET_S, Intake
from otherseat.advisories.state import Fields


class Scripted:
    """A decoder that does what the datagram says."""

    def decode(self, datagram: bytes) -> Sequence[Fields]:
        """Refuse, fail, or return a position."""
        if datagram == b"refuse":
            raise RejectError(Reason.CHECKSUM)
        if datagram == b"fail":
            raise ZeroDivisionError
        return [{"latitude_deg": 1.0, "longitude_deg": 2.0, "pitch_deg": float(datagram)}]


def test_everything_is_counted_by_its_reason() -> None:
    """A good datagram gives a State; bad ones count as refusals, an adapter's failure as a fault."""
    with capture_logs():
        intake = Intake(Scripted())
        states = [len(intake.take(each, received_s=1.0)) for each in (b"5", b"refuse", b"fail", b"", b"nan", b"91")]

    assert [1, 0, 0, 0, 1, 1] == states
    assert {Reason.CHECKSUM: 1, Reason.EMPTY: 1} == intake.refusals
    assert 1 == intake.faults
    assert {"pitch_deg": 1} == intake.assembler.refused_fields  # a float that is no number tells nothing


def test_logged_on_change_only() -> None:
    """A reason that keeps coming is logged once, and again after a quiet minute."""
    with capture_logs() as logs:
        intake = Intake(Scripted())
        for received_s in (0.0, 1.0, 2.0, 2.5 + QUIET_S):
            intake.take(b"refuse", received_s=received_s)

    assert ["datagram refused", "datagram refused"] == [line["event"] for line in logs]
