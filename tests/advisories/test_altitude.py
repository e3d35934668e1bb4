"""Altitude kept, left and strayed from. Common practice, no source."""

import pytest

from otherseat.advisories.altitude import Altitude, AltitudeParams
from otherseat.advisories.picture import Phase
from tests.advisories.rows import PLAN


def found(*, selected_altitude_ft: float | None, phase: Phase) -> list[str]:
    """Return what is raised 300 ft below 6,000 ft, kept before, sinking at 600 fpm."""
    check = Altitude(AltitudeParams())
    for altitude_ft, now in ((6_000.0, Phase.CRUISE), (5_900.0, Phase.CRUISE), (5_700.0, phase)):
        findings = list(
            check.look(
                phase=now,
                altitude_ft=altitude_ft,
                vertical_speed_fpm=-600.0,
                plan=PLAN,
                selected_altitude_ft=selected_altitude_ft,
            )
        )
    return [finding.alert for finding in findings if finding.amount >= 1.0]


@pytest.mark.parametrize(
    ("selected_altitude_ft", "phase", "expected"),
    [
        pytest.param(None, Phase.DESCENT, [], id="the-cruise-is-left"),
        pytest.param(None, Phase.CRUISE, ["altitude-below"], id="the-cruise-is-strayed-from"),
        pytest.param(6_000.0, Phase.DESCENT, ["altitude-below"], id="a-selected-altitude-is-left"),
    ],
)
def test_leaving_the_planned_cruise(selected_altitude_ft: float | None, phase: Phase, expected: list[str]) -> None:
    """A steady descent from the planned cruise is the descent; from a selected altitude it is a deviation."""
    assert expected == found(selected_altitude_ft=selected_altitude_ft, phase=phase)
