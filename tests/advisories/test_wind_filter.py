"""The wind filter over time. The wind of every case is set; nothing else is known to the filter."""

import math
from collections.abc import Iterator

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories.angles import difference_deg
from otherseat.advisories.wind import track_and_groundspeed, wind_from_triangle
from otherseat.advisories.wind_filter import WindFilter

FROM_DEG, WIND_KT = 240.0, 25.0
LIGHT, JET = (120.0, 3.0), (450.0, 0.65)
"""True airspeed and rate of turn: a standard-rate turn, and 15 degrees of bank high up."""
SPEED_KT = LIGHT[0]
LAG_S = 1.5
"""How much later track and groundspeed arrive than the heading, as those of a satellite receiver do."""


def heading_at(time_s: float, rate_deg_per_s: float) -> float:
    """Return a heading that is steady for a minute, turns for a minute and a half, and is steady again."""
    return 90.0 + rate_deg_per_s * min(max(time_s - 60.0, 0.0), 90.0)


def moments(*, rate_hz: float, until_s: float, flown: tuple[float, float] = LIGHT) -> Iterator[dict[str, float]]:
    """Yield what the filter is told."""
    speed_kt, turn_rate = flown
    for count in range(int(until_s * rate_hz)):
        time_s = count / rate_hz
        track_deg, groundspeed_kt = track_and_groundspeed(
            heading_deg=heading_at(time_s - LAG_S, turn_rate),
            true_airspeed_kt=speed_kt,
            wind_from_deg=FROM_DEG,
            wind_speed_kt=WIND_KT,
        )
        yield {
            "time_s": time_s,
            "true_airspeed_kt": speed_kt,
            "heading_true_deg": heading_at(time_s, turn_rate) % 360.0,
            "groundspeed_kt": groundspeed_kt,
            "track_true_deg": track_deg,
        }


def off_kt(found: tuple[float, float]) -> float:
    """Return the length of the difference between a wind and the true one."""
    angle = math.radians(difference_deg(found[0], FROM_DEG))
    return math.hypot(found[1] * math.cos(angle) - WIND_KT, found[1] * math.sin(angle))


@pytest.mark.parametrize("rate_hz", [1.0, 10.0, 60.0])
@pytest.mark.parametrize("flown", [pytest.param(LIGHT, id="light"), pytest.param(JET, id="jet")])
def test_a_turn_does_not_corrupt_it(rate_hz: float, flown: tuple[float, float]) -> None:
    """While late tracks put 7 kt of error and more into single triangles of a turn, the filter stays within a knot."""
    told, seen, raw = WindFilter(), [], []
    for moment in moments(rate_hz=rate_hz, until_s=200.0, flown=flown):
        found = told.step(**moment)
        seen += [] if found is None else [off_kt(found)]
        raw.append(off_kt(wind_from_triangle(**{name: moment[name] for name in moment if name != "time_s"})))

    assert max(raw) > 7.0
    assert max(seen) < 1.0
    assert seen[-1] < 0.1


def test_nothing_is_said_before_the_first_steady_moment() -> None:
    """In a turn from the start there is no wind; a while after the roll-out there is."""
    told = WindFilter()
    found = [
        (told.step(**moment), moment["time_s"])
        for moment in moments(rate_hz=10.0, until_s=200.0)
        if moment["time_s"] > 65.0
    ]
    first_s = next(time_s for seen, time_s in found if seen is not None)

    assert 150.0 < first_s < 165.0


def test_gusts_are_averaged() -> None:
    """A wind that swings by 10 kt every second is seen within 2 kt of its mean."""
    told = WindFilter()
    for moment in moments(rate_hz=10.0, until_s=60.0):
        gust_kt = 10.0 if int(moment["time_s"]) % 2 else -10.0
        track_deg, groundspeed_kt = track_and_groundspeed(
            heading_deg=90.0, true_airspeed_kt=SPEED_KT, wind_from_deg=FROM_DEG, wind_speed_kt=WIND_KT + gust_kt
        )
        told.step(**moment | {"track_true_deg": track_deg, "groundspeed_kt": groundspeed_kt})

    assert told.wind is not None
    assert off_kt(told.wind) < 2.0


@pytest.mark.parametrize("whole_deg", [0.1, 1.0])
def test_a_heading_in_whole_degrees_is_no_turn(whole_deg: float) -> None:
    """A heading that jumps between two whole degrees at 60 Hz does not stop the learning."""
    told = WindFilter()
    for moment in moments(rate_hz=60.0, until_s=20.0):
        jitter_deg = whole_deg if int(moment["time_s"] * 4.0) % 2 else 0.0
        told.step(**moment | {"heading_true_deg": moment["heading_true_deg"] + jitter_deg})

    assert told.wind is not None


def test_a_long_silence_keeps_the_wind_and_settles_anew() -> None:
    """After a silence the wind stays, and nothing is learnt until the heading has been steady again."""
    told = WindFilter()
    for moment in moments(rate_hz=10.0, until_s=30.0):
        told.step(**moment)
    kept = told.wind
    wrong = {"true_airspeed_kt": 120.0, "heading_true_deg": 0.0, "groundspeed_kt": 300.0, "track_true_deg": 0.0}

    assert kept == told.step(time_s=100.0, **wrong)
    assert kept == told.step(time_s=102.0, **wrong)
    assert kept != told.step(time_s=105.0, **wrong)


def test_time_that_runs_back_forgets() -> None:
    """A replay or a restart begins without a wind."""
    told = WindFilter()
    for moment in moments(rate_hz=10.0, until_s=30.0):
        told.step(**moment)

    assert told.wind is not None
    assert told.step(**next(moments(rate_hz=10.0, until_s=1.0)) | {"time_s": 2.0}) is None


def test_a_moment_told_twice_counts_once() -> None:
    """The same time again changes nothing."""
    told = WindFilter()
    for moment in moments(rate_hz=10.0, until_s=30.0):
        told.step(**moment)

    assert told.wind == told.step(**moment | {"groundspeed_kt": 10.0})


@given(heading_deg=st.floats(0.0, 360.0), from_deg=st.floats(0.0, 360.0), wind_kt=st.floats(1.0, 60.0))
def test_a_steady_wind_is_found(heading_deg: float, from_deg: float, wind_kt: float) -> None:
    """Whatever the heading and the wind, in steady flight the filter has it."""
    track_deg, groundspeed_kt = track_and_groundspeed(
        heading_deg=heading_deg, true_airspeed_kt=SPEED_KT, wind_from_deg=from_deg, wind_speed_kt=wind_kt
    )
    told = WindFilter()
    for time_s in range(20):
        found = told.step(
            time_s=time_s,
            true_airspeed_kt=SPEED_KT,
            heading_true_deg=heading_deg,
            groundspeed_kt=groundspeed_kt,
            track_true_deg=track_deg,
        )

    assert found is not None
    assert wind_kt == pytest.approx(found[1], abs=1e-6)
    assert 0.0 == pytest.approx(difference_deg(found[0], from_deg), abs=1e-5)
