"""NMEA 0183, against streams made by pynmea2, and the data sheet's own sample."""

import pynmea2
import pytest

from otherseat.adapters.adapter import Reason, RejectError
from otherseat.adapters.nmea import ADAPTER

SAMPLE = b"$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n"


def sentence(kind: str, *fields: str) -> bytes:
    """Return a sentence rendered by the independent library."""
    talker = {"RMC": pynmea2.RMC, "VTG": pynmea2.VTG, "HDG": pynmea2.HDG, "HDT": pynmea2.HDT, "GLL": pynmea2.GLL}
    rendered: str = talker[kind]("GP", kind, fields).render()
    return rendered.encode() + b"\r\n"


RMC = sentence("RMC", "225446.5", "A", "4916.45", "N", "12311.12", "W", "000.5", "054.7", "191194", "020.3", "E")


def test_sample() -> None:
    """The data sheet's sample is 48.1173 N, 11.5167 E at 545.4 m (1,789.4 ft), 12:35:19."""
    assert [
        {
            "time_s": 45_319.0,
            "latitude_deg": pytest.approx(48.1173),
            "longitude_deg": pytest.approx(11.516667),
            "altitude_ft": pytest.approx(1789.37, abs=0.01),
        }
    ] == ADAPTER.make({}).decode(SAMPLE)


def test_recommended_minimum() -> None:
    """West is negative, speed is in knots, the variation has its own side."""
    parsed = pynmea2.parse(RMC.decode().strip())

    assert [
        {
            "time_s": 82_486.5,
            "latitude_deg": pytest.approx(parsed.latitude),
            "longitude_deg": pytest.approx(parsed.longitude),
            "groundspeed_kt": 0.5,
            "track_true_deg": 54.7,
            "magnetic_variation_deg": 20.3,
        }
    ] == ADAPTER.make({}).decode(RMC)


def test_sentences_of_one_time_are_one_message() -> None:
    """Sentences without a time, or with the same, join the message before them; unknown ones are skipped."""
    datagram = (
        RMC
        + sentence("HDG", "98.3", "1.3", "W", "12.6", "W")
        + sentence("HDT", "84.4", "T")
        + b"$GPGSV,1,1,00*79\r\n"
        + sentence("VTG", "054.7", "T", "034.4", "M", "", "N", "010.2", "K")
    )
    [message] = ADAPTER.make({}).decode(datagram)

    assert pytest.approx(97.0) == message["heading_magnetic_deg"]
    assert -12.6 == message["magnetic_variation_deg"]
    assert 84.4 == message["heading_true_deg"]
    assert pytest.approx(10.2 / 1.852) == message["groundspeed_kt"]


def test_no_fix_brings_no_position() -> None:
    """A void RMC or GLL still tells the time, and nothing else."""
    void = sentence("GLL", "4916.45", "N", "12311.12", "W", "225444", "V")

    assert [{"time_s": 82_484.0}] == ADAPTER.make({}).decode(void)


@pytest.mark.parametrize(
    ("datagram", "reason"),
    [
        pytest.param(SAMPLE.replace(b"*47", b"*48"), Reason.CHECKSUM, id="wrong-checksum"),
        pytest.param(SAMPLE.replace(b"*47", b""), Reason.CHECKSUM, id="no-checksum"),
        pytest.param(b"GPGGA,1,2*00", Reason.FOREIGN, id="no-sentence"),
        pytest.param(b"$GP\xffGGA", Reason.ENCODING, id="not-ascii"),
        pytest.param(b"\r\n", Reason.EMPTY, id="blank"),
        pytest.param(sentence("RMC", "225446", "A", "4916.45"), Reason.LENGTH, id="fields-missing"),
        pytest.param(sentence("RMC", "2254", "A", *["1"] * 10), Reason.SYNTAX, id="no-time"),
        pytest.param(sentence("HDT", "x", "T"), Reason.SYNTAX, id="no-number"),
        pytest.param(b"$" + b"A" * 600, Reason.LENGTH, id="over-long"),
    ],
)
def test_refusals(datagram: bytes, reason: Reason) -> None:
    """What can't be used is refused by a named reason."""
    with pytest.raises(RejectError) as refused:
        ADAPTER.make({}).decode(datagram)

    assert reason is refused.value.reason


def test_checksum_may_be_left_out_when_the_settings_say_so() -> None:
    """With require_checksum off a sentence without one is read, but a wrong one is still refused."""
    decoder = ADAPTER.make({"require_checksum": False})

    assert decoder.decode(SAMPLE.replace(b"*47", b""))
    with pytest.raises(RejectError):
        decoder.decode(SAMPLE.replace(b"*47", b"*48"))


def test_options_are_checked() -> None:
    """A wrong option names the nearest right one."""
    with pytest.raises(ValueError, match="did you mean require_checksum"):
        ADAPTER.make({"require_checksm": False})
