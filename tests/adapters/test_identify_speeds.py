"""Groundspeed, true and indicated airspeed in calm air, where they are alike, and what is taken for calm air."""

import numpy as np
import pytest

from otherseat.adapters.identify import Certainty, Claim, Verdict, identify
from otherseat.adapters.identify.ground import level
from otherseat.adapters.identify.report import layout_text, words
from tests.adapters.flown import Table, calm_flight, flight
from tests.adapters.steady import CLIMB_AND_DESCENT, FASTER, TURNS, Step, objects, steady
from tests.adapters.test_identify import rows_of, timed

KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)
GROUND, TRUE, INDICATED = "groundspeed_kt", "true_airspeed_kt", "indicated_airspeed_kt"
FIRST = 5
"""The column of the first speed."""


def speeds(table: Table) -> dict[str, np.ndarray]:
    """Return the three speeds of a flight in knots."""
    return {
        GROUND: np.hypot(table["north_fps"], table["east_fps"]) * KT_PER_FPS,
        TRUE: table["true_airspeed_fps"] * KT_PER_FPS,
        INDICATED: table["indicated_airspeed_kt"],
    }


def study(table: Table, *names: str) -> Verdict:
    """Return the verdict on a stream with position, height, heading and these speeds."""
    sent = (table["latitude_deg"], table["longitude_deg"], table["altitude_ft"], table["vertical_speed_fps"] * 60.0)
    return identify(timed(table, rows_of(*sent, table["heading_true_deg"], *(speeds(table)[name] for name in names))))


def claimed(verdict: Verdict) -> dict[str, str]:
    """Return what a layout would rely on of the speeds: field by column."""
    return {c.column.label(): c.field for c in verdict.written() if c.field in {GROUND, TRUE, INDICATED}}


CALM = pytest.mark.parametrize(("seed", "at_ft"), [(0, 100.0), (1, 300.0), (2, 100.0)])


@CALM
@pytest.mark.parametrize("name", [GROUND, TRUE, INDICATED])
def test_one_speed_alone_is_known_by_its_climb(seed: int, at_ft: float, name: str) -> None:
    """In calm air near the sea, where all three are within 2%, climb and density say which one it is."""
    assert {f"column {FIRST}": name} == claimed(study(calm_flight(seed, at_ft), name))


@CALM
def test_of_two_the_nearer_one_is_the_groundspeed(seed: int, at_ft: float) -> None:
    """With an airspeed before it in the stream the groundspeed is still the column that goes with the movement."""
    verdict = study(calm_flight(seed, at_ft), INDICATED, GROUND)

    assert {f"column {FIRST}": INDICATED, f"column {FIRST + 1}": GROUND} == claimed(verdict)
    assert f"which is the groundspeed: column {FIRST + 1} goes with the movement" in words(verdict)


def levelled(table: Table) -> Table:
    """Return the flight without its climbs: what tells the speeds apart in calm air is gone."""
    still = {**table, "altitude_ft": np.full(len(table["time_s"]), 50.0)}
    ground = np.hypot(table["north_fps"], table["east_fps"])
    return {**still, "vertical_speed_fps": np.zeros(len(ground)), "indicated_airspeed_kt": ground * KT_PER_FPS * 0.999}


def open_speed(verdict: Verdict) -> Claim:
    """Return the open claim of a speed."""
    (claim,) = (claim for claim in verdict.open() if claim.field in {GROUND, INDICATED})
    return claim


@pytest.mark.parametrize("name", [GROUND, INDICATED])
def test_what_can_not_be_told_is_left_out(name: str) -> None:
    """Level near the sea in calm air one speed may be either: neither is written, and what to fly is said."""
    verdict = study(levelled(calm_flight(0, 100.0)), name)
    claim = open_speed(verdict)
    text = layout_text(verdict, name="found")

    assert {} == claimed(verdict)
    assert {GROUND, INDICATED} <= {claim.field, *(other.field for other in claim.others)}
    assert f"# {GROUND} = " in text
    assert f"# {INDICATED} = " in text
    assert "fly a turn in a steady wind" in words(verdict)


@pytest.mark.parametrize("seed", [0, 3, 4])
def test_in_a_wind_there_is_no_doubt(seed: int) -> None:
    """With heading, airspeed and a wind the groundspeed is sure, and nothing is open."""
    verdict = study(flight(seed), INDICATED, GROUND)
    claim = verdict.claim(GROUND)

    assert claim is not None
    assert (Certainty.SURE, FIRST + 1) == (claim.certainty, claim.column.place["column"])
    assert [] == verdict.open()


def test_an_airspeed_whose_unit_hangs_on_the_altitude_is_open() -> None:
    """Without a vertical speed no altitude is found: knots at 5,000 ft and miles an hour higher up are alike."""
    table = flight(3)
    ground, indicated = speeds(table)[GROUND], speeds(table)[INDICATED]
    place = (table["latitude_deg"], table["longitude_deg"], table["heading_true_deg"])
    claim = identify(timed(table, rows_of(*place, ground, indicated))).claim(INDICATED)

    assert claim is not None
    assert Certainty.OPEN is claim.certainty
    assert {"kt", "mph"} <= {claim.unit, *(other.unit for other in claim.others)}


KMH_PER_KT = 1.852


def with_airspeed(table: Table, airspeed: np.ndarray, *, higher_ft: float = 0.0) -> Verdict:
    """Return the verdict on a stream with groundspeed and one airspeed, in whatever unit."""
    sent = (table["latitude_deg"], table["longitude_deg"], table["altitude_ft"] + higher_ft)
    rate_fpm = table["vertical_speed_fps"] * 60.0
    ground = speeds(table)[GROUND]
    return identify(timed(table, rows_of(*sent, rate_fpm, table["heading_true_deg"], ground, airspeed)))


@pytest.mark.parametrize(("name", "per_kt"), [(INDICATED, KMH_PER_KT), (TRUE, 1.0 / KT_PER_FPS)])
def test_kilometres_an_hour_indicated_are_feet_a_second_true(name: str, per_kt: float) -> None:
    """At some 6,000 ft the two are alike: both are offered, neither is written, and what tells them is said."""
    table = flight(5)
    verdict = with_airspeed(table, speeds(table)[name] * per_kt)
    (claim,) = verdict.open()

    assert {(INDICATED, "km/h"), (TRUE, "ft/s")} == {(each.field, each.unit) for each in (claim, *claim.others)}
    assert "indicated airspeed in km/h or true airspeed in ft/s: at this height the two are alike" in words(verdict)
    assert "listen again 3,000 ft lower" in words(verdict)


def test_of_two_units_the_usual_one() -> None:
    """At 9,500 ft true knots are as many as indicated miles an hour: it is likely to be in knots."""
    table = flight(5)
    claim = with_airspeed(table, speeds(table)[TRUE], higher_ft=3_300.0).claim(TRUE)

    assert claim is not None
    assert ("kt", Certainty.LIKELY) == (claim.unit, claim.certainty)


@pytest.mark.parametrize("seconds", [40, 50, 120])
def test_fuel_is_no_temperature(seconds: int) -> None:
    """In a climb alone it falls as the air's temperature does; a real one is found once it came down again."""
    count = seconds * 60
    table = {name: values[:count] for name, values in flight(28).items()}
    sent = (table["latitude_deg"], table["longitude_deg"], table["altitude_ft"], table["vertical_speed_fps"] * 60.0)
    way = (table["heading_true_deg"], speeds(table)[GROUND], speeds(table)[INDICATED])
    fuel = 270.0 - np.arange(count) / count * np.ptp(table["altitude_ft"]) * 0.3048 * 0.006
    verdict = identify(timed(table, rows_of(*sent, *way, fuel, table["temperature_r"])))
    claim = verdict.claim("outside_air_temperature_c")

    assert ("column 8" if seconds == 120 else None) == (claim and claim.column.label())


@pytest.mark.parametrize("steps", [CLIMB_AND_DESCENT + TURNS, CLIMB_AND_DESCENT + TURNS + FASTER])
@pytest.mark.parametrize("true_kt", [105.0, 155.0, 165.0, 170.0])
def test_a_temperature_is_no_airspeed(true_kt: float, steps: tuple[Step, ...]) -> None:
    """At a steady speed every number fits that hardly varies: it is said to be a constant, and is no speed."""
    table = steady(steps, true_kt=true_kt)
    climb = {"height": table["altitude_ft"], "up": table["vertical_speed_fps"]}
    without = identify(objects(table, ("pitch_deg", "temperature_k"), **climb))
    verdict = identify(objects(table, ("pitch_deg", "temperature_k", "indicated_airspeed_kt"), **climb))
    heading = verdict.claim("heading_true_deg")

    assert [] == [claim.field for claim in without.claims if claim.field.endswith("airspeed_kt")]
    assert "If that was flown the stream has no airspeed" in words(without) or steps[-1] == FASTER[-1]
    assert {"key indicated_airspeed_kt"} >= {c.column.label() for c in verdict.claims if c.field.endswith("speed_kt")}
    assert heading is not None
    assert Certainty.SURE is heading.certainty
    assert "temperature" not in heading.why
    assert ("with a steady airspeed" in heading.why) is (steps[-1] != FASTER[-1])


def test_the_part_of_an_airspeed_along_the_ground() -> None:
    """A triangle of sides 3, 4 and 5."""
    assert pytest.approx([4.0]) == level(np.array([5.0]), np.array([3.0]))


@pytest.mark.parametrize("more_kt", [-36.0, -45.0])
def test_a_track_is_no_heading_in_a_wind_at_one_airspeed(more_kt: float) -> None:
    """A number that runs with the groundspeed fits along the track without a wind, the heading fits better in one."""
    times_s = np.arange(1_600) / 20.0
    heading = 300.0 + 100.0 * (np.clip((times_s - 9.0) / 20.0, 0.0, 1.0) - np.clip((times_s - 42.0) / 20.0, 0.0, 1.0))
    moved = 111.7 * np.exp(1j * np.radians(heading)) - 19.0 * np.exp(1j * np.radians(160.0))
    metres = np.cumsum(moved) * (1852.0 / 3600.0) / 20.0
    place = (5.6 + metres.real / 110_580.0, 151.2 + metres.imag / (111_320.0 * np.cos(np.radians(5.6))))
    track, ground = np.degrees(np.angle(moved)) % 360.0, np.abs(moved)
    rows = rows_of(*place, track, ground, ground + more_kt, heading % 360.0)
    verdict = identify(list(zip(times_s.tolist(), rows, strict=True)))
    columns = {claim.field: claim.column.place["column"] for claim in verdict.written()}

    assert {"track_true_deg": 2, "heading_true_deg": 5, "groundspeed_kt": 3}.items() <= columns.items()
    assert not any("hardly any wind" in text for text in verdict.cannot_tell)
