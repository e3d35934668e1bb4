"""Hints name what is lacking, and a listening ends when nothing is."""

import json
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from otherseat.adapters.identify import Certainty, Helped, identify
from otherseat.adapters.identify.lacking import GET_A_GROUNDSPEED
from otherseat.adapters.identify.report import words
from otherseat.adapters.identify.settled import fingerprint, is_settled, so_far
from tests.adapters.flown import Table, flight
from tests.adapters.formats import make
from tests.adapters.test_identify import rows_of, timed

KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)


def turning(table: Table, speed_kt: float, turn_deg: float) -> tuple[np.ndarray, ...]:
    """Return latitude, longitude and heading of a turn at a constant speed, on a small sphere's worth of plane."""
    times_s = table["time_s"] - table["time_s"][0]
    heading = 40.0 + turn_deg * np.clip((times_s - 20.0) / 40.0, 0.0, 1.0)
    metres = np.cumsum(np.exp(1j * np.radians(heading))) * speed_kt * (1852.0 / 3600.0) / 60.0
    latitude = 5.6 + metres.real / 110_580.0
    return latitude, 151.2 + metres.imag / (111_320.0 * np.cos(np.radians(5.6))), heading


def test_a_constant_speed_is_named() -> None:
    """Turned, but at one speed all the time: the hint is to change it, and the column that stays the same is named."""
    table = flight(4)
    latitude, longitude, heading = turning(table, 120.0, 150.0)
    constant = np.full(len(heading), 120.0)
    verdict = identify(timed(table, rows_of(latitude, longitude, heading, constant, table["altitude_ft"])))
    (hint,) = verdict.cannot_tell

    assert "change speed by 20 kt or more" in hint
    assert "column 3 stays the same" in hint
    assert "no groundspeed" not in hint
    assert "half a minute each and level in between" in words(verdict)
    assert "Needed in the stream: a position, a direction and a groundspeed" in words(verdict)
    assert "turn of" not in hint


def no_speed(table: Table) -> list[tuple[float, bytes]]:
    """Return a stream with everything but a speed over the ground."""
    names = ("latitude_deg", "longitude_deg", "heading_true_deg", "pitch_deg", "bank_deg", "indicated_airspeed_kt")
    sent = (*(table[name] for name in names), table["altitude_ft"])
    rows = (json.dumps({f"q{i}": v for i, v in enumerate(row)}).encode() for row in zip(*sent, strict=True))
    return timed(table, list(rows))


def test_no_groundspeed_is_named() -> None:
    """Everything was flown, and no speed over the ground is sent: that is said, what to do, and not to fly it again."""
    verdict = identify(no_speed(flight(1)))
    (hint,) = verdict.cannot_tell
    told = words(verdict)

    assert "so far" not in told
    assert "key q0 and key q1" in hint
    assert "no groundspeed in the stream" in hint
    assert "add a groundspeed to what the simulator exports" in told
    assert "or the velocities north and east" in told
    assert "`otherseat layout check`" in told
    for flown in ("change speed", "Fly for two minutes", "turn of"):
        assert flown not in told


def test_while_listening_nothing_is_said_to_be_missing_for_good() -> None:
    """What the next ten seconds may bring is not found so far; that the stream has none is said at the end."""
    verdict = identify(no_speed(flight(1)), helped=Helped(so_far=True))
    (hint,) = verdict.cannot_tell

    assert "no groundspeed is found so far" in hint
    assert "in the stream" not in hint


def test_what_teaches_to_write_a_layout_is_there() -> None:
    """The files that the advice names exist."""
    root = Path(__file__).parents[2]
    named = re.findall(r"[\w/]+\.(?:toml|py|md)", GET_A_GROUNDSPEED)

    assert 2 == len(named)
    assert all((root / name).is_file() for name in named)


def test_no_turn_is_named() -> None:
    """Straight on, with changes of speed: the hint is the turn."""
    table = flight(4)
    latitude, longitude, heading = turning(table, 120.0, 5.0)
    speed = 120.0 + 0.01 * np.sin(table["time_s"])
    verdict = identify(timed(table, rows_of(latitude, longitude, heading, speed, table["altitude_ft"])))

    assert any("fly a turn of 90 deg or more" in hint for hint in verdict.cannot_tell)
    assert not any("change speed" in hint for hint in verdict.cannot_tell)


def test_no_vertical_speed_is_named() -> None:
    """After a climb and a descent the hint does not stop at climbing: it says where the vertical speed comes from."""
    t = flight(4)
    ground = np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS
    verdict = identify(
        timed(t, rows_of(t["latitude_deg"], t["longitude_deg"], t["altitude_ft"], ground, t["heading_true_deg"]))
    )

    assert any("works it out from the altitudes" in hint for hint in verdict.cannot_tell)


def test_no_altitude_is_named() -> None:
    """The stream has neither altitude nor vertical speed: the hint names what to fly, and that it may have none."""
    t = flight(4)
    ground = np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS
    verdict = identify(timed(t, rows_of(t["latitude_deg"], t["longitude_deg"], ground, t["heading_true_deg"])))

    assert any("the stream has no altitude" in hint for hint in verdict.cannot_tell)


def test_standing_first_does_not_hide_a_turn() -> None:
    """Half of the time on the ground, standing: position and heading are found all the same."""
    t = flight(4)
    stood = len(t["time_s"])
    names = ("latitude_deg", "longitude_deg", "altitude_ft", "heading_true_deg", "indicated_airspeed_kt")
    sent = {name: np.concatenate([np.full(stood, t[name][0]), t[name]]) for name in names}
    sent["indicated_airspeed_kt"][:stood] = 0.0
    climb = np.concatenate([np.zeros(stood), t["vertical_speed_fps"] * 60.0])
    ground = np.concatenate([np.zeros(stood), np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS])
    table = {"time_s": np.arange(2 * stood) / 60.0}
    verdict = identify(timed(table, rows_of(*sent.values(), climb, ground)))

    assert {"latitude_deg", "heading_true_deg", "indicated_airspeed_kt", "altitude_ft"} <= {
        claim.field for claim in verdict.written()
    }


@pytest.mark.parametrize("kind", ["text", "json"])
def test_settled_only_when_all_is_flown(kind: str) -> None:
    """Before the turn nothing is settled and the turn is named as open; after the flight all is, and stays the same."""
    export = make(kind, flight(1), 13)
    early = identify([item for item in export.datagrams if item[0] < export.datagrams[0][0] + 21.0])
    whole = identify(export.datagrams)

    assert not is_settled(early)
    assert is_settled(whole), words(whole)
    assert fingerprint(whole) == fingerprint(identify(export.datagrams))
    assert fingerprint(whole) != fingerprint(early)
    assert "position" in so_far(whole)[0]

    whole.claims = [
        replace(claim, certainty=Certainty.LIKELY) if claim.field == "vertical_speed_fpm" else claim
        for claim in whole.claims
    ]

    assert not is_settled(whole)


def test_no_law_fits_within_nothing() -> None:
    """A groundspeed that goes with the movement to less than half a thousandth is said to do so within 0.1%."""
    t = flight(2)
    ground = np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS
    place = (t["latitude_deg"], t["longitude_deg"], t["altitude_ft"], ground, t["heading_true_deg"])
    told = words(identify(timed(t, rows_of(*place))))

    assert "the position moves this fast, within 0.1%" in told


def test_open_is_not_settled() -> None:
    """While feet or metres are open nothing is settled, and that is what stands as open."""
    t = flight(4)
    ground = np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS
    place = (t["latitude_deg"], t["longitude_deg"], t["altitude_ft"], t["vertical_speed_fps"])
    verdict = identify(timed(t, rows_of(*place, ground, t["heading_true_deg"], t["indicated_airspeed_kt"])))

    assert not is_settled(verdict)
    assert any(line.startswith("open: feet or metres") for line in so_far(verdict))


@pytest.mark.parametrize(("seconds", "enough"), [(55, False), (120, True)])
def test_it_goes_on_until_it_came_down_again(*, seconds: int, enough: bool) -> None:
    """In the climb all that a pilot needs is sure, but not the temperature, which a descent would show."""
    t = {name: values[: seconds * 60] for name, values in flight(1).items()}
    ground = np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS
    place = (t["latitude_deg"], t["longitude_deg"], t["altitude_ft"], t["vertical_speed_fps"] * 60.0)
    verdict = identify(timed(t, rows_of(*place, ground, t["heading_true_deg"], t["indicated_airspeed_kt"])))
    sure = {claim.field for claim in verdict.claims if claim.certainty is Certainty.SURE}

    assert {"latitude_deg", "vertical_speed_fpm", "indicated_airspeed_kt", "heading_true_deg"} <= sure
    assert enough == is_settled(verdict)
    assert enough != any("climb and descend, 200 ft or more" in line for line in so_far(verdict))


def test_what_may_yet_be_flown_is_not_said_to_be_missing() -> None:
    """While it listens an altitude that was not found may come with the climb; at the end the stream has none."""
    t = flight(4)
    ground = np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS
    verdict = identify(timed(t, rows_of(t["latitude_deg"], t["longitude_deg"], ground, t["heading_true_deg"])))

    assert "If that was flown the stream has no altitude" in words(verdict)
    assert "climb and descend steadily for half a minute each" in "\n".join(so_far(verdict))
    assert "If that was flown" not in "\n".join(so_far(verdict))


def test_what_is_only_likely_is_not_called_known() -> None:
    """Of a position whose longitude is sure and whose latitude is not, and of an altitude, it says so far.

    So it does of everything that a single study found.
    """
    t = flight(4)
    ground = np.hypot(t["north_fps"], t["east_fps"]) * KT_PER_FPS
    place = (t["latitude_deg"], t["longitude_deg"], t["altitude_ft"], t["pitch_deg"])
    verdict = identify(timed(t, rows_of(*place, ground, t["heading_true_deg"], t["indicated_airspeed_kt"])))
    sure = so_far(verdict, fingerprint(verdict))[0]
    verdict.claims = [
        replace(claim, certainty=Certainty.LIKELY) if claim.field == "latitude_deg" else claim
        for claim in verdict.claims
    ]
    unsure = so_far(verdict, fingerprint(verdict))[0]
    once = so_far(verdict)[0]

    assert sure.startswith("known: position, ")
    assert "altitude" in sure.partition("; likely so far: ")[2]
    assert "position" in unsure.partition("; likely so far: ")[2]
    assert "position" not in unsure.partition("; likely so far: ")[0]
    assert once.startswith("known: nothing yet; likely so far: position, ")
