"""Destination passed: when it is seen, and how serious it is. Common practice, no source."""

import pytest

from otherseat.advisories.destination import Destination, DestinationParams
from otherseat.advisories.picture import Phase


def look(**changes: object) -> list[tuple[str, str, float]]:
    """Return (level, phrase, bearing) of what is seen 2 NM past in the cruise, with changes."""
    values: dict[str, object] = {
        "phase": Phase.CRUISE,
        "destination": "ZZBB",
        "distance_to_destination_nm": 2.5,
        "bearing_to_destination_deg": 270.0,
        "closing_speed_kt": -110.0,
        "past_destination_nm": 2.0,
    }
    findings = Destination(DestinationParams()).look(**{**values, **changes})  # type: ignore[arg-type]  # a test's table
    return [(f.level.word, f.phrase, float(f.values["bearing_deg"])) for f in findings]


@pytest.mark.parametrize(
    ("past_nm", "expected"),
    [
        (1.2, [("advice", "destination-passed", 270.0)]),
        (2.5, [("caution", "destination-passed-caution", 270.0)]),
        (4.0, [("warning", "destination-passed-warning", 270.0)]),
        (40.0, [("warning", "destination-passed-warning", 270.0)]),
    ],
)
def test_it_escalates(past_nm: float, expected: list[tuple[str, str, float]]) -> None:
    """The farther past, the more serious."""
    assert expected == look(past_destination_nm=past_nm, distance_to_destination_nm=past_nm + 0.5)


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"phase": Phase.APPROACH}, id="downwind"),
        pytest.param({"phase": Phase.FINAL}, id="final"),
        pytest.param({"phase": Phase.TAXI}, id="on-the-ground"),
        pytest.param({"closing_speed_kt": 80.0}, id="on-the-way-back"),
        pytest.param({"closing_speed_kt": -10.0}, id="in-the-turn"),
        pytest.param({"past_destination_nm": None}, id="still-before-it"),
        pytest.param({"distance_to_destination_nm": 30.0}, id="a-leg-that-led-elsewhere"),
    ],
)
def test_silent(changes: dict[str, object]) -> None:
    """Arrivals, turns and legs that were never meant to reach it are not passing it."""
    assert [] == look(**changes)


def test_a_descent_past_abeam_has_slack() -> None:
    """Arrivals are led past their field on downwind: in the descent 6 NM is not yet a finding at its limit."""
    findings = list(
        Destination(DestinationParams()).look(
            phase=Phase.DESCENT,
            destination="ZZBB",
            distance_to_destination_nm=10.0,
            bearing_to_destination_deg=270.0,
            closing_speed_kt=-150.0,
            past_destination_nm=6.0,
        )
    )

    assert [0.75] == [finding.amount for finding in findings]


def test_the_bearing_is_magnetic_when_the_variation_is_known() -> None:
    """With 11 deg west a true bearing of 270 is 281 magnetic (variation west, magnetic best)."""
    assert [("advice", "destination-passed", 281.0)] == look(magnetic_variation_deg=-11.0)
