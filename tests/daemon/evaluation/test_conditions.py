"""The dice, and the unsteady hand."""

import math
import random
import statistics

import pytest

from otherseat.daemon.evaluation.conditions import RATES_HZ, SKILLS, UnsteadyHand, draw_conditions, dropouts
from otherseat.daemon.evaluation.flown import CONTROLS_HZ, MODEL_HZ
from otherseat.daemon.flight_model.loops import JET, LIGHT_SINGLE, Demand, Handling
from tests.daemon.flight_model.test_legs import VIEW


def test_same_seed_same_conditions() -> None:
    """The same dice give the same conditions."""
    first, second = (
        draw_conditions(dice=random.Random(5), course_true_deg=259.0, handling=LIGHT_SINGLE) for _ in range(2)
    )

    assert first == second


@pytest.mark.parametrize("handling", [LIGHT_SINGLE, JET], ids=["light", "jet"])
def test_wind_is_within_what_the_aircraft_takes(handling: Handling) -> None:
    """No drawn wind has more across or behind the runway than the aircraft takes."""
    for seed in range(200):
        weather = draw_conditions(dice=random.Random(seed), course_true_deg=30.0, handling=handling).weather
        off = math.radians(weather.wind_from_true_deg - 30.0)

        assert abs(weather.wind_kt * math.sin(off)) <= handling.most_crosswind_kt + 1e-9
        assert -weather.wind_kt * math.cos(off) <= handling.most_tailwind_kt + 1e-9


def test_every_rate_can_be_flown() -> None:
    """For every rate of reports there is a control rate that it divides, and the model's rate divides by that."""
    assert all(any(control % rate == 0 for control in CONTROLS_HZ) for rate in RATES_HZ)
    assert all(MODEL_HZ % control == 0 for control in CONTROLS_HZ)


@pytest.mark.parametrize("skill", SKILLS, ids=lambda skill: skill.name)
def test_the_hand_wanders_as_far_as_its_skill(skill) -> None:  # type: ignore[no-untyped-def]  # noqa: ANN001 - a parameter
    """Over a long time the bank wanders with the skill's standard deviation, around what is right."""
    hand = UnsteadyHand(skill=skill, dice=random.Random(2))
    banks = [hand(Demand(), VIEW, 1.0).bank_deg for _ in range(20_000)]

    assert 0.0 == pytest.approx(statistics.fmean(banks), abs=0.15 * skill.bank_deg)
    assert skill.bank_deg == pytest.approx(statistics.pstdev(banks), rel=0.15)


def test_the_hand_rests_on_the_ground() -> None:
    """On the ground nothing is added."""
    demand = Demand(heading_true_deg=59.0, throttle=1.0)

    assert demand is UnsteadyHand(skill=SKILLS[2], dice=random.Random(2))(demand, VIEW, 1.0)


def test_dropouts_follow_each_other() -> None:
    """Spans come in order, do not touch, and last half a second to three."""
    source = dropouts(dice=random.Random(3))
    spans = [next(source) for _ in range(50)]

    assert all(0.5 <= end - start <= 3.0 for start, end in spans)
    assert spans == sorted(spans)
