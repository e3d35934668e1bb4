"""An altitude without a vertical speed: found by a law, or left open; what is no altitude is not taken for one."""

import json
from collections.abc import Callable
from dataclasses import replace

import numpy as np
import pytest

from otherseat.adapters.identify import Helped, Verdict, identify
from otherseat.adapters.identify.report import layout_text, missing, words
from otherseat.adapters.identify.settled import is_settled
from tests.adapters.flown import Table, flight
from tests.adapters.test_identify_heights import KT_PER_FPS, UNITS, states

EVERY = 6
"""Of the model's sixty rows a second one in so many is sent."""
EITHER = pytest.mark.parametrize("unit", ["m", "ft"])
SEEDS = pytest.mark.parametrize("seed", [0, 2, 3, 4, 12])
Datagrams = list[tuple[float, bytes]]
Array = np.ndarray


def stream(table: Table, **more: Array) -> Datagrams:
    """Return objects with time, place, groundspeed, heading and what is given, and no vertical speed."""
    ground = np.hypot(table["north_fps"], table["east_fps"]) * KT_PER_FPS
    sent = {"t": table["time_s"], "lat": table["latitude_deg"], "lon": table["longitude_deg"], "ground": ground}
    sent |= {"heading": table["heading_true_deg"], **more}
    picked = {name: values[::EVERY].tolist() for name, values in sent.items()}
    rows = (dict(zip(picked, row, strict=True)) for row in zip(*picked.values(), strict=True))
    return [(row["t"], json.dumps(row).encode()) for row in rows]


def altitudes(verdict: Verdict) -> dict[str, str]:
    """Return key and unit of the altitudes that a layout would rely on."""
    return {c.column.place["key"]: c.unit for c in verdict.written() if c.field == "altitude_ft"}


def offered(verdict: Verdict) -> list[tuple[str, str]]:
    """Return key and unit of every altitude that waits for a person."""
    waiting = [claim for claim in verdict.open() if claim.field == "altitude_ft"]
    return [(each.column.place["key"], each.unit) for claim in waiting for each in (claim, *claim.others)]


def altitude_units(verdict: Verdict) -> list[str]:
    """Return the units of the altitudes that a layout would rely on."""
    return [claim.unit for claim in verdict.written() if claim.field == "altitude_ft"]


def offered_units(verdict: Verdict) -> list[str]:
    """Return the unit of every altitude that waits for a person."""
    waiting = [claim for claim in verdict.open() if claim.field == "altitude_ft"]
    return [each.unit for claim in waiting for each in (claim, *claim.others)]


def test_a_stream_without_a_vertical_speed_is_settled() -> None:
    """Once the altitude is found nothing more is to be flown for; until then there is. Either airspeed is enough."""
    table = flight(4)
    air = {"height": table["altitude_ft"], "nose": table["pitch_deg"], "speed": table["indicated_airspeed_kt"]}
    datagrams = stream(table, **air)
    early = identify([item for item in datagrams if item[0] < datagrams[0][0] + 50.0])

    whole = identify(datagrams)

    assert is_settled(whole)
    assert not is_settled(early)
    for other, expected in (("true_airspeed_kt", True), ("mach", False)):
        claims = [replace(c, field=other) if c.field == "indicated_airspeed_kt" else c for c in whole.claims]
        assert expected is is_settled(replace(whole, claims=claims))


def engine(table: Table) -> Array:
    """Return a slow engine temperature that follows the throttle; its size is made up."""
    slow = np.ones(601) / 601.0
    return 1200.0 + 300.0 * np.convolve(table["throttle"], slow, mode="same")


@EITHER
@SEEDS
def test_the_pitch_settles_it(unit: str, seed: int) -> None:
    """By the pitch the altitude is found in its unit; the vertical speed is worked out from it by whoever reads it."""
    table = flight(seed)
    datagrams = stream(table, height=table["altitude_ft"] * UNITS[unit], nose=table["pitch_deg"])
    verdict = identify(datagrams)
    last = states(verdict, datagrams)[-1]
    climbed_fpm = (table["altitude_ft"][-1] - table["altitude_ft"][-121]) * 30.0

    assert {"height": unit} == altitudes(verdict)
    assert not any("altitude_ft is" in line or "altitude_ft may" in line for line in missing(verdict))
    assert pytest.approx(table["altitude_ft"][-1], abs=2.0) == last.altitude_ft
    assert pytest.approx(climbed_fpm, abs=30.0) == last.vertical_speed_fpm
    assert "works it out from the altitudes" in words(verdict)


@EITHER
@SEEDS
def test_without_pitch_both_are_offered(unit: str, seed: int) -> None:
    """No law tells: none is written, both are in the layout as comments; told, it is the one that was said."""
    table = flight(seed)
    datagrams = stream(table, height=table["altitude_ft"] * UNITS[unit])
    verdict = identify(datagrams)
    text = layout_text(verdict, name="found")
    told = identify(datagrams, helped=Helped(units={"altitude_ft": unit}))

    assert {} == altitudes(verdict)
    assert [("height", "ft"), ("height", "m")] == offered(verdict)
    assert all(f'# altitude_ft = {{ key = "height", unit = "{each}" }}' in text for each in UNITS)
    assert states(verdict, datagrams)[-1].altitude_ft is None
    assert "altitude_ft is in ft or m" in missing(verdict)
    assert {"height": unit} == altitudes(told)
    assert [] == offered(told)


def test_so_high_up_it_can_only_be_feet_but_is_not_written() -> None:
    """At 38,000 ft metres are impossible; that it is an altitude at all is still for a person to say."""
    table = flight(4)
    datagrams = stream(table, height=table["altitude_ft"] + 32_000.0)
    verdict = identify(datagrams)

    assert {} == altitudes(verdict)
    assert [("height", "ft")] == offered(verdict)
    assert {"height": "ft"} == altitudes(identify(datagrams, helped=Helped(units={"altitude_ft": "ft"})))


@SEEDS
def test_several_are_all_offered(seed: int) -> None:
    """Two columns could be the altitude: neither is written, even told the unit, and each is named."""
    table = flight(seed)
    lower = (table["altitude_ft"] - 700.0) * 0.9
    datagrams = stream(table, height=table["altitude_ft"], other=lower)
    verdict = identify(datagrams)
    told = identify(datagrams, helped=Helped(units={"altitude_ft": "ft"}))

    assert {} == altitudes(verdict) == altitudes(told)
    assert [(key, unit) for key in ("height", "other") for unit in ("ft", "m")] == offered(verdict)
    assert [("height", "ft"), ("other", "ft")] == offered(told)
    assert "altitude_ft may be key other, in ft or m" in missing(verdict)
    assert any("key height" in line and "key other" in line for line in verdict.cannot_tell)


@SEEDS
def test_two_scales_by_the_pitch_are_both_offered(seed: int) -> None:
    """The pitch goes with both, but in one they are feet, in the other metres: a cabin's altitude is such a column."""
    table = flight(seed)
    more = {"height": table["altitude_ft"], "cabin": table["altitude_ft"] * 0.3, "nose": table["pitch_deg"]}
    verdict = identify(stream(table, **more))

    assert {} == altitudes(verdict)
    assert [("height", "ft"), ("cabin", "m")] == offered(verdict)


NOT_ALTITUDES: dict[str, Callable[[Table], Array]] = {
    "fuel": lambda table: 9_000.0 - np.cumsum(table["throttle"]) * 4.0 / 60.0,
    "flown_m": lambda table: np.cumsum(np.hypot(table["north_fps"], table["east_fps"])) * 0.3048 / 60.0,
    "magnetic": lambda table: (table["heading_true_deg"] - 7.0) % 360.0,
    "degrees": lambda table: table["temperature_r"],
    "through_air": lambda table: table["true_airspeed_fps"] * 1.09728,
    "northward_m": lambda table: (table["latitude_deg"] - table["latitude_deg"][0]) * 111_000.0,
    "revolutions": lambda table: table["engine_rpm"],
}


@pytest.mark.parametrize("seed", [0, 12])
@pytest.mark.parametrize("name", NOT_ALTITUDES)
@pytest.mark.parametrize("nose", [True, False])
def test_what_is_no_altitude_is_not_taken_for_one(name: str, seed: int, *, nose: bool) -> None:
    """Fuel, distance, direction, temperature, speed, revolutions: not even offered in a stream without an altitude."""
    table = flight(seed)
    more = {"nose": table["pitch_deg"]} if nose else {}
    verdict = identify(stream(table, other=NOT_ALTITUDES[name](table), airspeed=table["indicated_airspeed_kt"], **more))

    assert verdict.found()
    assert {} == altitudes(verdict)
    assert [] == offered(verdict)


@SEEDS
def test_what_drives_the_climb_is_not_offered(seed: int) -> None:
    """Beside an altitude a slow engine temperature is none: the altitude climbs as it rises."""
    table = flight(seed)
    datagrams = stream(table, height=table["altitude_ft"], hot=engine(table))

    assert {"height"} == {key for key, _ in offered(identify(datagrams))}


@EITHER
@SEEDS
def test_the_pitch_chooses_among_many(unit: str, seed: int) -> None:
    """With everything else in the stream it is the altitude that goes with the pitch."""
    table = flight(seed)
    more = {name: values(table) for name, values in NOT_ALTITUDES.items()} | {"hot": engine(table)}
    datagrams = stream(table, height=table["altitude_ft"] * UNITS[unit], nose=table["pitch_deg"], **more)

    assert {"height": unit} == altitudes(identify(datagrams))


def test_a_small_climb_leaves_both_units() -> None:
    """A climb that is large enough for an altitude only in metres does not make it one in metres: both are offered."""
    table = flight(0)
    small = 2_500.0 + (table["altitude_ft"] - table["altitude_ft"].min()) / np.ptp(table["altitude_ft"]) * 120.0
    verdict = identify(stream(table, height=small))

    assert {} == altitudes(verdict)
    assert {("height", "ft"), ("height", "m")} == set(offered(verdict))
