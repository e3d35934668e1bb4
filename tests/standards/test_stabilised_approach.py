"""Gates and the sink limit against the Flight Safety Foundation's elements."""

from otherseat.advisories import arrival, path
from tests.standards.topic import Answers, Case, Topic

CHECK = "what a check of a gate finds, tested with the check"
PILOTAGE = "a tolerance of a pilot's test, not of an approach"
INSTRUMENT = "given in dots of an instrument; ours are degrees"
TOPIC = Topic(
    name="stabilised_approach",
    left_out={
        "stb-004": CHECK,
        "Evaluate": CHECK,
        "stb-007": INSTRUMENT,
        "stb-038": "wind shear, which is not worked out here",
        "stb-039": PILOTAGE,
    },
)


@TOPIC.answer
def imc_gate(*, conditions: str, stabilised: bool) -> Answers:
    """Answer the gate in cloud."""
    assert (conditions, stabilised) == ("imc", False)
    return {"go_around_below_ft": max(arrival.GATES_FT)}


@TOPIC.answer
def sink_limit(*, region: str) -> Answers:
    """Answer the sink limit."""
    assert f"{path.SINK_LIMIT_BELOW_FT:.0f} ft" in region
    return {"max_sink_rate_fpm": path.SINK_LIMIT_FPM}


@TOPIC.answer
def faa_gates(*, source: str) -> Answers:
    """Answer both gates."""
    assert source == "faa"
    return {"imc_straight_in_gate_ft": max(arrival.GATES_FT), "visual_gate_ft": min(arrival.GATES_FT)}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Gates are as published."""
    assert [] == TOPIC.misses(case)


def test_no_rate_beyond_the_limit_is_given_below_the_gate() -> None:
    """A regain that needs 1,001 fpm down to 500 ft can't be saved; one that needs 999 can (FSF ALAR 7.1, element 6)."""

    def rate(height_ft: float) -> float | None:
        return path.sink_rate_to_regain_fpm(
            height_ft=height_ft,
            distance_nm=path.gate_distance_nm(gate_height_ft=500.0, angle_deg=3.0, threshold_crossing_height_ft=50.0)
            + 1.0,
            gate_height_ft=500.0,
            groundspeed_kt=60.0,
            angle_deg=3.0,
            threshold_crossing_height_ft=50.0,
        )

    assert rate(1_499.0) is not None
    assert rate(1_501.0) is None
