"""Altitude kept, left and strayed from. Common practice, no source."""

import pytest

from otherseat.advisories.altitude import Altitude, AltitudeParams
from otherseat.advisories.picture import Phase
from tests.advisories.rows import PLAN

TARGET_FT = 6_000.0


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


@pytest.mark.parametrize(
    ("altitudes_ft", "expected"),
    [
        pytest.param((7_100.0, 6_990.0, 6_900.0), [False, True, True], id="from-above"),
        pytest.param((4_000.0, 5_010.0, 5_100.0), [False, True, True], id="from-below"),
        pytest.param((6_320.0, 6_310.0), [False, False], id="first-seen-near-it"),
        pytest.param((7_100.0, 6_400.0, 6_400.0, 6_350.0), [False, True, False, False], id="level-on-the-way"),
    ],
)
def test_a_thousand_to_go_is_a_thousand(altitudes_ft: tuple[float, ...], expected: list[bool]) -> None:
    """The call has a number in it: who is first seen nearer, or goes on after levelling off there, does not hear it."""
    check, heard, before_ft = Altitude(AltitudeParams()), [], altitudes_ft[0]
    for altitude_ft in altitudes_ft:
        rate_fpm = 500.0 * ((altitude_ft > before_ft) - (altitude_ft < before_ft))
        if altitude_ft == altitudes_ft[0]:
            rate_fpm = 500.0 if altitude_ft < TARGET_FT else -500.0
        found_now = check.look(
            phase=Phase.DESCENT,
            altitude_ft=altitude_ft,
            vertical_speed_fpm=rate_fpm,
            plan=PLAN,
            selected_altitude_ft=TARGET_FT,
        )
        heard.append(any(finding.alert == "altitude-approaching" for finding in found_now))
        before_ft = altitude_ft

    assert expected == heard
