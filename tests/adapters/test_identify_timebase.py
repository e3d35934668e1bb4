"""Which column is a clock: a counter is none, and its evenness in words."""

import struct
from dataclasses import replace

import numpy as np
import pytest

from otherseat.adapters.identify import identify
from otherseat.adapters.identify.bytes import cut_bytes
from otherseat.adapters.identify.columns import Column, onto
from otherseat.adapters.identify.timebase import lasting, other_paces, real_time
from tests.adapters.flown import level_flight


@pytest.mark.parametrize(("late_s", "expected"), [(0.0, "1 ms"), (0.0004, "1 ms"), (0.0033, "3 ms")])
def test_no_clock_is_better_than_the_reading_of_it(late_s: float, expected: str) -> None:
    """Words never promise "within 0 ms": a clock that runs with the receipt to the last bit gets a millisecond."""
    received_s = np.arange(600) / 10.0
    swinging = np.where(np.arange(600) % 2 == 0, late_s, -late_s)
    clock = real_time([Column({"key": "t"}, 0, 50.0 + received_s + swinging, whole=False)], received_s).clock

    assert clock is not None
    assert f"runs with the time of receipt, within {expected}" == clock.why


@pytest.mark.parametrize(("order", "at"), [("<", 2), (">", 2)])
@pytest.mark.parametrize("seconds", [25.0, 50.0])
def test_a_clock_has_bytes_for_a_day(order: str, at: int, seconds: float) -> None:
    """Milliseconds since a start, in four bytes of which two are zero yet: in two it would end after 65 s."""
    times_s = np.arange(seconds * 10.0) / 10.0
    noise = np.random.default_rng(1).normal(0.0, 1.0, len(times_s))
    rows = [
        struct.pack(f"{order}HIf", 0xA55A, round(time_s * 1e3), value)
        for time_s, value in zip(times_s.tolist(), noise.tolist(), strict=True)
    ]
    cut = cut_bytes(list(zip(times_s.tolist(), rows, strict=True)))
    assert cut is not None
    clock = real_time([onto(raw, times_s) for raw in cut.columns], times_s).clock

    assert clock is not None
    assert {"at": at, "type": "u32", "unit": "ms"} == clock.place()


@pytest.mark.parametrize(("per_s", "kind"), [(1e3, "u32"), (0.5, "u16"), (1e6, "u64")])
def test_as_many_bytes_as_a_day_takes(per_s: float, kind: str) -> None:
    """No more than that: what is zero behind a short one may be another number."""
    places = tuple({"at": 0, "type": each} for each in ("u16", "u32", "u64"))
    column = Column({"at": 0, "type": "i16"}, 0, np.arange(9.0), whole=True, unsigned=places)

    assert kind == lasting(column, per_s).place["type"]
    assert column.place == lasting(replace(column, unsigned=()), per_s).place


def counted(seed: int) -> list[tuple[float, bytes]]:
    """Return a flight straight on in a structure with a counter, twenty datagrams a second."""
    t = {name: values[::3] for name, values in level_flight(seed).items()}
    whole = {
        "airspeed": np.round(t["indicated_airspeed_kt"] * 51.4444),
        "heading": np.round(t["heading_true_deg"] / 360.0 * 65_536.0) % 65_536,
        "climb": np.round(t["vertical_speed_fps"] * 30.48),
    }
    place = (np.radians(t["latitude_deg"]), np.radians(t["longitude_deg"]), t["altitude_ft"] * 0.3048)
    ground = np.hypot(t["north_fps"], t["east_fps"]) * 0.3048
    more = (np.radians(t["pitch_deg"]), np.radians(t["bank_deg"]), t["engine_rpm"], t["fuel_lb"])
    numbers = {name: values.astype(int).tolist() for name, values in whole.items()}
    columns = (*place, numbers["airspeed"], numbers["heading"], ground, numbers["climb"], *more)
    rows = (
        struct.pack("<4sIddfhHfhffff", b"\x9a\x5c\x10\x01", n, *row) for n, row in enumerate(zip(*columns, strict=True))
    )
    return list(zip((1e9 + t["time_s"]).tolist(), rows, strict=True))


def test_a_counter_of_datagrams_is_no_clock() -> None:
    """Straight on nothing is known, and by a clock twenty times too fast nothing is either."""
    verdict = identify(counted(10))

    assert 1.0 == verdict.pace
    assert [] == verdict.claims
    assert any("fly a turn of 90 deg or more" in text for text in verdict.cannot_tell)


@pytest.mark.parametrize(("counts", "clocks"), [(True, 0), (False, 1)])
def test_only_a_column_that_is_no_counter_tells_another_pace(*, counts: bool, clocks: int) -> None:
    """One that goes on by fifty at twenty a second may be milliseconds; one that goes on by one counts."""
    received_s = np.arange(600) / 20.0
    column = Column({"key": "n"}, 0, np.arange(600) * 1.0, whole=True, counts=counts)

    assert clocks == len(other_paces([column], received_s))
