"""Radius, rate and bank against handbooks, PANS-OPS and a turn flown by jsbsim."""

from otherseat.advisories import rules_of_thumb, turns
from otherseat.advisories.units import FT_PER_NM
from tests.standards.topic import Answers, Case, Topic

TOPIC = Topic(
    name="turns",
    left_out={
        "phak_11_26": "the handbook's rounded constant, 0.3 % off; the exact rows stand beside it",
        "trn-013": "with g = 10 m/s^2, which is not the earth's",
        "trn-031": "airspeed by the incompressible formula of procedure design",
        "trn-032": "airspeed by the incompressible formula of procedure design",
    },
)


@TOPIC.answer
def by_bank(*, tas_kt: float, bank_deg: float) -> Answers:
    """Answer rate, radius and time."""
    rate = turns.rate_deg_per_s(true_airspeed_kt=tas_kt, bank_deg=bank_deg)
    radius_nm = turns.radius_nm(true_airspeed_kt=tas_kt, bank_deg=bank_deg)
    return {
        "turn_rate_deg_per_s": rate,
        "turn_radius_nm": radius_nm,
        "turn_radius_ft": radius_nm * FT_PER_NM,
        "time_360_s": 360.0 / rate,
    }


def by_bank_as_pans_ops(*, tas_kt: float, bank_deg: float) -> Answers:
    """Answer with the rate capped at 3 deg/s."""
    rate = min(3.0, turns.rate_deg_per_s(true_airspeed_kt=tas_kt, bank_deg=bank_deg))
    bank_deg = turns.bank_for_rate_deg(true_airspeed_kt=tas_kt, rate_deg_per_s=rate)
    return {
        "turn_rate_deg_per_s": rate,
        "turn_radius_nm": turns.radius_nm(true_airspeed_kt=tas_kt, bank_deg=bank_deg),
    }


TOPIC.answer_by_method(pans_ops=by_bank_as_pans_ops)


def by_rate(*, tas_kt: float, turn_rate_deg_per_s: float) -> Answers:
    """Answer bank and radius of a rate."""
    bank_deg = turns.bank_for_rate_deg(true_airspeed_kt=tas_kt, rate_deg_per_s=turn_rate_deg_per_s)
    radius_nm = turns.radius_nm(true_airspeed_kt=tas_kt, bank_deg=bank_deg)
    return {"bank_deg": bank_deg, "turn_radius_nm": radius_nm, "turn_radius_ft": radius_nm * FT_PER_NM}


def by_rate_rule(*, tas_kt: float, turn_rate_deg_per_s: float) -> Answers:
    """Answer the bank by rule."""
    assert turn_rate_deg_per_s == turns.STANDARD_RATE_DEG_PER_S
    return {"bank_deg": rules_of_thumb.standard_rate_bank_deg(true_airspeed_kt=tas_kt)}


TOPIC.answer_by_method(rule_tas10_plus_7=by_rate_rule)
TOPIC.answer(by_rate)


@TOPIC.answer
def by_radius_and_rate(*, turn_radius_nm: float, turn_rate_deg_per_s: float) -> Answers:
    """Answer the speed whose bank for the rate is its bank for the radius."""
    low_kt, high_kt = 1.0, 2_000.0
    for _ in range(60):
        middle_kt = (low_kt + high_kt) / 2.0
        by_radius_deg = turns.bank_for_radius_deg(true_airspeed_kt=middle_kt, radius_nm=turn_radius_nm)
        by_rate_deg = turns.bank_for_rate_deg(true_airspeed_kt=middle_kt, rate_deg_per_s=turn_rate_deg_per_s)
        low_kt, high_kt = (low_kt, middle_kt) if by_radius_deg > by_rate_deg else (middle_kt, high_kt)
    return {"tas_kt": low_kt}


@TOPIC.answer
def by_bank_and_rate(*, bank_deg: float, turn_rate_deg_per_s: float) -> Answers:
    """Answer the speed at which a bank turns at a rate: rate x speed is one number for a bank."""
    return {"tas_kt": turns.rate_deg_per_s(true_airspeed_kt=1.0, bank_deg=bank_deg) / turn_rate_deg_per_s}


@TOPIC.answer
def time(*, heading_change_deg: float, turn_rate_deg_per_s: float) -> Answers:
    """Answer the time of a turn."""
    bank_deg = turns.bank_for_rate_deg(true_airspeed_kt=100.0, rate_deg_per_s=turn_rate_deg_per_s)
    return {"time_s": heading_change_deg / turns.rate_deg_per_s(true_airspeed_kt=100.0, bank_deg=bank_deg)}


@TOPIC.answer
def load(*, bank_deg: float) -> Answers:
    """Answer load and stalling speed."""
    return {
        "load_factor_g": turns.load_factor(bank_deg=bank_deg),
        "stall_speed_factor": turns.stall_speed_factor(bank_deg=bank_deg),
    }


@TOPIC.answer
def pivot(*, groundspeed_kt: float) -> Answers:
    """Answer the pivotal altitude."""
    return {"pivotal_altitude_ft": turns.pivotal_altitude_ft(groundspeed_kt=groundspeed_kt)}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Turns are as published."""
    assert [] == TOPIC.misses(case)
