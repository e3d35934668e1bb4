"""Destination passed: when it is seen, and how serious it is. Common practice, no source."""

import pytest

from otherseat.advisories.destination import Destination, DestinationParams
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import Plan, ResolvedPlan
from tests.advisories.rows import PLAN

PAST: dict[str, object] = {
    "phase": Phase.CRUISE,
    "plan": PLAN,
    "groundspeed_kt": 120.0,
    "track_true_deg": 90.0,
    "destination": "ZZBB",
    "distance_to_destination_nm": 2.5,
    "bearing_to_destination_deg": 270.0,
    "closing_speed_kt": -110.0,
    "past_destination_nm": 2.0,
}
"""2 NM past in the cruise at 120 kt."""


def look(*, before_ft: float | None = None, **changes: object) -> list[tuple[str, str, float]]:
    """Return (level, phrase, bearing) of what is seen at PAST with changes, after before_ft."""
    check = Destination(DestinationParams())
    if before_ft is not None:
        list(check.look(**{**PAST, "altitude_ft": before_ft}))  # type: ignore[arg-type]  # a test's table
    findings = check.look(**{**PAST, **changes})  # type: ignore[arg-type]  # likewise
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
        pytest.param({"plan": ResolvedPlan(plan=Plan())}, id="nowhere-to-go"),
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


def amount(**changes: object) -> float:
    """Return how far the limit is used up by a jet 16 NM past its destination at 250 kt, with changes."""
    values: dict[str, object] = {
        "phase": Phase.DESCENT,
        "plan": PLAN,
        "destination": "ZZBB",
        "distance_to_destination_nm": 20.0,
        "bearing_to_destination_deg": 270.0,
        "closing_speed_kt": -240.0,
        "groundspeed_kt": 250.0,
        "track_true_deg": 90.0,
        "altitude_ft": 5_000.0,
        "past_destination_nm": 16.0,
    }
    check = Destination(DestinationParams())
    list(check.look(**{**values, "altitude_ft": 11_000.0}))  # type: ignore[arg-type]  # a test's table
    (finding,) = check.look(**{**values, **changes})  # type: ignore[arg-type]  # likewise
    return finding.amount


@pytest.mark.parametrize("phase", [Phase.DESCENT, Phase.CRUISE, Phase.CLIMB])
def test_a_downwind_may_be_long(phase: Phase) -> None:
    """16 NM past at 250 kt is less than 270 s: no finding, level stretches and a go-around too.

    Source: 41 of 96 recorded arrivals flew 5 to 16 NM past (tests/real_traffic shows some of them).
    """
    assert 16.0 / (250.0 * 270.0 / 3_600.0) == pytest.approx(amount(phase=phase))


def test_a_level_cruise_past_is_no_downwind() -> None:
    """Who has not come down has passed it, however fast."""
    assert 16.0 == pytest.approx(amount(phase=Phase.CRUISE, altitude_ft=11_000.0))


def test_the_bearing_is_magnetic_when_the_variation_is_known() -> None:
    """With 11 deg west a true bearing of 270 is 281 magnetic (variation west, magnetic best)."""
    assert [("advice", "destination-passed", 281.0)] == look(magnetic_variation_deg=-11.0)


@pytest.mark.parametrize(
    ("distance_nm", "past_nm", "closing_kt", "expected"),
    [
        # 1.5 NM abeam: 1.1 NM on, the distance is 1.86 NM, 0.36 NM more than the nearest; 1.1 / 1.86 of 120 kt away
        pytest.param(1.86, 0.36, -71.0, 1.0, id="beside"),
        pytest.param(1.0, 1.0, -120.0, 1.0, id="overhead"),
        pytest.param(5.1, 0.1, -24.0, 0.1, id="far-abeam-it-may-be-a-downwind"),
    ],
)
def test_behind(distance_nm: float, past_nm: float, closing_kt: float, expected: float) -> None:
    """Beside the airfield what counts is how far it lies behind along the track. Plane trigonometry."""
    (finding,) = Destination(DestinationParams()).look(
        phase=Phase.CRUISE,
        plan=PLAN,
        destination="ZZBB",
        distance_to_destination_nm=distance_nm,
        bearing_to_destination_deg=270.0,
        closing_speed_kt=closing_kt,
        groundspeed_kt=120.0,
        track_true_deg=90.0,
        past_destination_nm=past_nm,
    )

    assert expected == pytest.approx(finding.amount, abs=0.11)


BEHIND = 2.5 * 110.0 / 120.0
"""Along the track, in NM."""
AWAY: dict[str, object] = {"bearing_to_destination_deg": 0.0}


def test_who_turned_away_is_at_work() -> None:
    """A hold's outbound leg, a downwind after a turn: not a cruise that nobody minds."""
    before = {"bearing_to_destination_deg": 90.0, "closing_speed_kt": 110.0, "past_destination_nm": None}

    assert 2.0 / (120.0 * 270.0 / 3_600.0) == pytest.approx(seen(before, {**AWAY, "track_true_deg": 270.0}))
    assert BEHIND == pytest.approx(seen(before, {**AWAY, "track_true_deg": 130.0}))


def test_who_was_on_final_is_at_work() -> None:
    """A missed approach climbs away level and passes it, as it must."""
    assert 2.0 / (120.0 * 270.0 / 3_600.0) == pytest.approx(seen({"phase": Phase.FINAL}, {}))


def test_a_local_flight_stays_near() -> None:
    """Who took off there and has not gone farther than 12 NM flies circuits; after 20 NM it is a destination again."""
    took_off = {"phase": Phase.TAKE_OFF, "distance_to_destination_nm": 0.5}

    assert 2.0 / (120.0 * 270.0 / 3_600.0) == pytest.approx(seen(took_off, {}))
    assert BEHIND == pytest.approx(seen(took_off, {"distance_to_destination_nm": 20.0}, {}))


def seen(*looks: dict[str, object]) -> float:
    """Return the amount of the last of several looks at PAST with changes."""
    check = Destination(DestinationParams())
    found = [list(check.look(**{**PAST, **changes})) for changes in looks]  # type: ignore[arg-type]  # a test's table
    return found[-1][0].amount
