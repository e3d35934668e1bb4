"""Gates and the sink limit against the Flight Safety Foundation's elements.

The cases are judged by the same function as the live check, with a profile of the foundation's limits. Its dots are
ours in degrees: 0.35 of the path, 1.25 of the localiser (ICAO Annex 10, vol. I, from memory). "Wings level" is no
number there; 5 degrees of bank are (common practice, no source).
"""

from otherseat.advisories import arrival, path
from otherseat.advisories.gates import BANK, CENTRELINE, FLAPS, GEAR, PATH, SINK, SPEED, Gates, GatesParams, unsettled
from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.config.profiles import read_profile
from tests.standards.topic import Answers, Case, Topic

CIRCLING = "nobody tells the check that an approach circles"
PILOTAGE = "a tolerance of a pilot's test, not of an approach"
TOPIC = Topic(
    name="stabilised_approach",
    left_out={
        "stb-004": "the gate at 500 ft judges it; the height alone is no value of ours",
        "stb-023": "nobody tells the check of checklists",
        "stb-026": CIRCLING,
        "stb-027": CIRCLING,
        "stb-038": "wind shear, which is not worked out here",
        "stb-039": PILOTAGE,
    },
)
VREF_KT = 100.0
PATH_DOT_DEG, LOCALISER_DOT_DEG = 0.35, 1.25
AIRLINER = read_profile("airliner")
FOUNDATION = AIRLINER.model_copy(
    update={
        "approach_faster_kt": 20.0,
        "approach_slower_kt": 0.0,
        "most_sink_fpm": 1_000.0,
        "path_deviation_deg": PATH_DOT_DEG,
        "offset_deg": LOCALISER_DOT_DEG,
        "most_bank_deg": 5.0,
    }
)
WORDS = {
    PATH: "glideslope",
    CENTRELINE: "localizer",
    SINK: "sink rate",
    SPEED: "airspeed",
    BANK: "wings level",
    GEAR: "landing configuration",
    FLAPS: "landing configuration",
}


@TOPIC.answer
def ils(*, approach: str) -> Answers:
    """Answer with the packaged airliner's limits, in dots."""
    assert approach == "ils"
    return {
        "max_glideslope_dots": AIRLINER.path_deviation_deg / PATH_DOT_DEG,
        "max_localizer_dots": AIRLINER.offset_deg / LOCALISER_DOT_DEG,
    }


@TOPIC.answer
def evaluate(
    *,
    height_ft: float,
    conditions: str,
    approach: str,
    speed_over_vref_kt: float,
    sink_rate_fpm: float,
    glideslope_dots: float,
    localizer_dots: float,
    landing_configuration: bool,
    checklists_complete: bool,
    bank_deg: float,
    special_briefing: bool,
) -> Answers:
    """Answer with what is outside the limits; a briefed rate is the profile's."""
    assert (approach, conditions) in {("ils", "imc"), ("visual", "vmc")}
    assert height_ft <= max(arrival.GATES_FT)
    assert checklists_complete
    reasons = unsettled(
        profile=FOUNDATION.model_copy(update={"most_sink_fpm": sink_rate_fpm}) if special_briefing else FOUNDATION,
        approach_speed_kt=VREF_KT,
        path_deviation_deg=glideslope_dots * PATH_DOT_DEG,
        offset_deg=localizer_dots * LOCALISER_DOT_DEG,
        vertical_speed_fpm=-sink_rate_fpm,
        indicated_airspeed_kt=VREF_KT + speed_over_vref_kt,
        bank_deg=bank_deg,
        gear_down=landing_configuration,
        flaps_ratio=1.0 if landing_configuration else 0.0,
    )
    return {"stabilised": not reasons, "failing": sorted(WORDS[reason] for reason in reasons)}


@TOPIC.answer
def go_around(*, height_ft: float, conditions: str, stabilised: bool) -> Answers:
    """Answer by flying down to that height, too fast: the gate that is in force has spoken, or not yet."""
    assert not stabilised
    check = Gates(GatesParams(say_for_s=10.0))
    found = set()
    for second, flown_ft in enumerate(range(1_100, round(height_ft) - 1, -1)):
        found |= {
            finding.alert
            for finding in check.look(
                time_s=second / 10.0,
                phase=Phase.FINAL,
                height_above_threshold_ft=float(flown_ft),
                plan=ResolvedPlan(plan=Plan(approach_speed_kt=VREF_KT)),
                profile=FOUNDATION,
                indicated_airspeed_kt=VREF_KT + 21.0,
            )
        }
    in_force = "gate-1000-unsettled" if conditions == "imc" else "gate-500-unsettled"
    return {"go_around_due": in_force in found}


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
