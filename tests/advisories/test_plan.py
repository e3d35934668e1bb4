"""Plans: what follows from one."""

import pytest

from otherseat.advisories.plan import Plan, ResolvedPlan, on_instruments
from otherseat.advisories.weather_report import CloudLayer, Weather

MILE_M = 1_609.344


@pytest.mark.parametrize(
    ("decision_ft", "ceiling_ft", "visibility_m", "expected"),
    [
        pytest.param(None, None, None, False, id="nothing-known"),
        pytest.param(600.0, None, None, True, id="a-decision-altitude"),
        pytest.param(None, 900.0, 9_999.0, True, id="low-cloud"),
        pytest.param(None, 1_000.0, 3.0 * MILE_M, False, id="just-visual"),
        pytest.param(None, 3_000.0, 2.9 * MILE_M, True, id="mist"),
    ],
)
def test_on_instruments(
    decision_ft: float | None,
    ceiling_ft: float | None,
    visibility_m: float | None,
    expected: bool,  # noqa: FBT001 - a parameter
) -> None:
    """A decision altitude says so, or a ceiling below 1,000 ft, or less than 3 miles (14 CFR 91.155 c, d)."""
    clouds = () if ceiling_ft is None else (CloudLayer(cover="BKN", base_ft=ceiling_ft, kind=None),)
    weather = Weather(text="", station="ZZBB", clouds=clouds, visibility_m=visibility_m)

    assert expected is on_instruments(ResolvedPlan(plan=Plan(decision_altitude_ft=decision_ft), weather=weather))
