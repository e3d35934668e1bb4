"""Approach speed: when fast is meant, and by which airspeed. Limits and levels stand in the timelines' rows."""

import pytest

from otherseat.advisories import gates
from otherseat.advisories.approach_speed import ADVISORY, ApproachSpeed, ApproachSpeedParams
from otherseat.advisories.engine import Engine
from tests.advisories.rows import ARRIVAL, FINAL, PLAN, TABLE
from tests.scripted import final


@pytest.mark.parametrize(
    ("speed_kt", "rate_fpm", "expected"),
    [
        pytest.param(80.0, -400.0, ["too-fast"], id="fast-on-the-way-down"),
        pytest.param(80.0, 500.0, [], id="fast-in-a-go-around"),
        pytest.param(59.0, 500.0, ["too-slow"], id="slow-in-a-go-around"),
    ],
)
def test_a_go_around_is_flown_faster(speed_kt: float, rate_fpm: float, expected: list[str]) -> None:
    """Who climbs is not too fast for an approach, but may well be too slow. Common practice, no source."""
    needs = ("phase", "height_above_threshold_ft", "plan", "profile")
    given = {name: FINAL[name] for name in needs} | {"indicated_airspeed_kt": speed_kt, "vertical_speed_fpm": rate_fpm}
    found = ApproachSpeed(ApproachSpeedParams()).look(**given)  # type: ignore[arg-type]  # a test's table

    assert expected == [finding.alert for finding in found if finding.amount >= 1.0]


@pytest.mark.parametrize(
    ("true_kt", "temperature_c", "expected"),
    [
        pytest.param(62.0, 34.0, {"too-slow", "gate-500-unsettled"}, id="slow-in-warm-air"),
        pytest.param(68.0, 34.0, {"gate-500"}, id="as-it-should-be-in-warm-air"),
        pytest.param(62.0, -6.0, {"gate-500"}, id="as-it-should-be-in-cold-air"),
        pytest.param(74.0, -6.0, {"too-fast", "gate-500-unsettled"}, id="fast-in-cold-air"),
        pytest.param(50.0, None, {"gate-500"}, id="not-judged-without-a-temperature"),
    ],
)
def test_a_true_airspeed_is_enough(true_kt: float, temperature_c: float | None, expected: set[str]) -> None:
    """Where no indicated airspeed is sent the calibrated one is judged, if a temperature is; 60 to 75 kt are in order.

    At 800 ft and some 20 C over the standard 62 kt true are 59, at 20 C below it 74 are 76: by the root of the density
    ratio, which is 0.955 and 1.024 by the gas law (FAA-H-8083-25 ch. 4, from memory).
    """
    engine = Engine(aircraft="own", runways=TABLE, plan=PLAN, advisories=[ADVISORY, gates.ADVISORY])
    found = set()
    told = {"true_airspeed_kt": true_kt, "outside_air_temperature_c": temperature_c}
    for state in final(end=ARRIVAL, distance_nm=2.2, groundspeed_kt=66.0, seconds=50.0, **told):
        outcome = engine.step(state)
        found |= {alert.alert for alert in outcome.alerts} | {call.phrase for call in outcome.calls}

    assert expected == found
