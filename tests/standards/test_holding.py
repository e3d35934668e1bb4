"""Holding entries, speeds and timing against FAA AIM 5-3-8."""

from otherseat.advisories import holding, rules_of_thumb, turns
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(
    name="holding",
    left_out={
        "Maximum holding airspeed, exceptions": "charted or military exceptions, which a plan would have to name",
        "Minimum holding airspeed, copter procedures": "no helicopter procedures here",
        "DME at the end of the outbound leg, inbound toward the NAVAID": "legs by distance: a sum, not a function",
        "DME at the end of the outbound leg, inbound away from the NAVAID": "legs by distance: a sum, not a function",
    },
)


@TOPIC.answer
def entry(*, inbound_course_deg: float, heading_at_fix_deg: float, turns: str, relative_deg: float = 0.0) -> Answers:
    """Answer the entry, its headings, and the entries that will do."""
    assert 0.0 <= relative_deg < 360.0
    right_turns = turns == "right"
    teardrop_deg, outbound_deg = (
        holding.entry_heading_deg(way=way, inbound_course_deg=inbound_course_deg, right_turns=right_turns)
        for way in (holding.Entry.TEARDROP, holding.Entry.PARALLEL)
    )
    fix = {
        "inbound_course_deg": inbound_course_deg,
        "heading_deg": heading_at_fix_deg,
        "right_turns": right_turns,
    }
    return {
        "entry": holding.entry(**fix),
        "entry_any_of": holding.acceptable_entries(**fix),
        "outbound_heading_deg": outbound_deg,
        "teardrop_heading_deg": teardrop_deg,
    }


@TOPIC.answer
def by_altitude(*, altitude_msl_ft: float) -> Answers:
    """Answer speed and leg time."""
    return {
        "max_ias_kt": holding.maximum_airspeed_kt(altitude_ft=altitude_msl_ft),
        "leg_time_s": holding.leg_s(altitude_ft=altitude_msl_ft),
    }


@TOPIC.answer
def entry_leg(*, entry: str) -> Answers:
    """Answer the outbound leg of an entry."""
    assert entry in {holding.Entry.PARALLEL, holding.Entry.TEARDROP}
    return {"outbound_time_s": holding.ENTRY_LEG_S, "offset_deg": holding.TEARDROP_OFFSET_DEG}


@TOPIC.answer
def turn_limits(*, flight_director: bool) -> Answers:
    """Answer the limits of a turn in the hold: fast, the bank limits; slow, the rate does."""
    fast = holding.turn_rate_deg_per_s(true_airspeed_kt=300.0, flight_director=flight_director)
    slow = holding.turn_rate_deg_per_s(true_airspeed_kt=80.0, flight_director=flight_director)
    return {"turn_rate_deg_per_s": slow, "bank_limit_deg": bank_deg(300.0, fast)}


def bank_deg(true_airspeed_kt: float, rate: float) -> float:
    """Return the bank of a rate, in whole millionths of a degree."""
    return round(turns.bank_for_rate_deg(true_airspeed_kt=true_airspeed_kt, rate_deg_per_s=rate), 6)


@TOPIC.answer
def triple(*, inbound_correction_left_deg: float) -> Answers:
    """Answer the outbound correction by rule."""
    return {
        "outbound_correction_right_deg": rules_of_thumb.outbound_correction_deg(
            inbound_correction_deg=-inbound_correction_left_deg
        )
    }


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Holds are as published."""
    assert [] == TOPIC.misses(case)
