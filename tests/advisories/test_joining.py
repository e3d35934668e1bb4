"""Joining: what is said of a steep or late join, and of whom not. The geometry is checked in test_joins.py."""

import pytest

from otherseat.advisories.joining import Joining, JoiningParams
from otherseat.advisories.plan import Plan
from otherseat.config.plans import resolve_plan
from tests.advisories.rows import JOINING, TABLE

INSTRUMENTS = resolve_plan(plan=Plan(destination="ZZBB/09L", decision_altitude_ft=600.0), runways=TABLE)
CONVERGING, LATE = {"joining-converging"}, {"joining-steep", "joining-inside-gate"}


def raised(*looks: dict[str, object]) -> set[str]:
    """Return what is at its limit at the last of several looks: changes of a join at 30 degrees, 7 NM out."""
    check = Joining(JoiningParams())
    for changes in ({"offset_ft": 15_000.0}, *looks):
        values = {**JOINING, **changes}
        needs = {name: value for name, value in values.items() if name in NEEDS}
        found = list(check.look(**needs))  # type: ignore[arg-type]  # a test's table
    return {finding.alert for finding in found if finding.amount >= 1.0} & (CONVERGING | LATE)


NEEDS = Joining.look.__kwdefaults__.keys() | {
    "phase",
    "distance_to_threshold_nm",
    "offset_ft",
    "course_difference_deg",
    "groundspeed_kt",
    "height_above_threshold_ft",
    "arrival_end",
    "runway_source",
    "plan",
    "profile",
}
NEAR: dict[str, object] = {"offset_ft": 3_000.0, "distance_to_threshold_nm": 2.5}
SQUARE: dict[str, object] = {"offset_ft": 2_500.0, "course_difference_deg": -90.0}


def test_a_vector_that_is_square_to_the_course_is_steep() -> None:
    """More than 50 degrees as the turn comes near, seven miles out."""
    assert CONVERGING | {"joining-steep"} == raised(SQUARE)


def test_a_base_leg_is_square_to_the_course() -> None:
    """In visual flight, low and near, that is a circuit: neither steep nor late, also once it has turned in."""
    base = {**SQUARE, "distance_to_threshold_nm": 2.0}
    after = {**NEAR, "offset_ft": 1_500.0, "distance_to_threshold_nm": 1.8}

    assert CONVERGING == raised(base)
    assert CONVERGING == raised(base, after)
    assert CONVERGING | {"joining-inside-gate"} == raised(after)
    assert CONVERGING | LATE == raised({**base, "plan": INSTRUMENTS})


def test_a_turn_under_way_takes_care_of_it() -> None:
    """Banked to the right, towards a course that lies to the right, the angle is not what it will be."""
    assert CONVERGING == raised({**SQUARE, "bank_deg": 20.0})
    assert CONVERGING | {"joining-steep"} == raised({**SQUARE, "bank_deg": -20.0})


@pytest.mark.parametrize(("plan", "expected"), [("eye", set()), ("instruments", {"joining-inside-gate"})])
def test_the_gate_is_500_ft_by_eye_and_1000_by_instruments(plan: str, expected: set[str]) -> None:
    """FSF ALAR 7.1: stable by 1,000 ft on instruments (3.1 NM), by 500 ft in visual conditions (1.6 NM)."""
    changes = NEAR if plan == "eye" else {**NEAR, "plan": INSTRUMENTS}

    assert CONVERGING | expected == raised({**changes, "distance_to_threshold_nm": 3.4})
