"""The plan in one line: what it means, and the exact message of every error a person can make."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from otherseat.advisories.plan import Fix, Hold, Plan
from otherseat.advisories.runway import Airfield, Place, RunwayTable
from otherseat.config.plan_line import parse_plan, write_plan
from otherseat.config.plan_words import PlanLineError
from tests.advisories.places import make_runway, parallels

KESTREL = Airfield(
    ident="ZZKN",
    name="Kestrel North",
    latitude_deg=-40.5,
    longitude_deg=-120.0,
    elevation_ft=38.0,
    runways=(make_runway(airfield="ZZKN", names=("13", "31"), at=(-40.5, -120.0), course_true_deg=130.0),),
)
RUNWAYS = RunwayTable([parallels(), KESTREL], fixes=[Place("FIX1", -40.1, -120.1), Place("FIX2", -40.2, -120.2)])
LINE = "ZZKN/13 > FIX1 > FIX2 at 3000 > ZZPS/27L alt 7500 app 70 hold ZZPS inbound 210 right"
PLAN = Plan(
    departure="ZZKN/13",
    route=(
        Fix(name="FIX1", latitude_deg=-40.1, longitude_deg=-120.1),
        Fix(name="FIX2", latitude_deg=-40.2, longitude_deg=-120.2, altitude_ft=3_000),
    ),
    destination="ZZPS/27L",
    cruise_altitude_ft=7_500,
    approach_speed_kt=70,
    hold=Hold(at="ZZPS", inbound_magnetic_deg=210, turns="right"),
)
NO_FIX = "no fix or airfield is called"
EXAMPLE = "hold ZZPS inbound 210 right"
WORDS = "alt, app, cruise, path, min, da, hold, aircraft, runway, direct, drop, weather"


def test_whole() -> None:
    """A line gives the whole plan."""
    assert PLAN == parse_plan(LINE, runways=RUNWAYS)


@pytest.mark.parametrize(
    ("line", "expected"),
    [
        pytest.param("zzps/27l", {"destination": "ZZPS/27L"}, id="small-letters"),
        pytest.param("ZZPS", {"destination": "ZZPS"}, id="airfield-alone"),
        pytest.param("> ZZPS", {"destination": "ZZPS"}, id="no-departure"),
        pytest.param("ZZKN > ZZPS", {"departure": "ZZKN", "destination": "ZZPS"}, id="departure-without-runway"),
        pytest.param("ZZKN>ZZPS", {"departure": "ZZKN", "destination": "ZZPS"}, id="no-blanks"),
        pytest.param("ZZPS alt FL95", {"destination": "ZZPS", "cruise_altitude_ft": 9_500.0}, id="flight-level"),
        pytest.param("ZZPS alt 7,500ft", {"destination": "ZZPS", "cruise_altitude_ft": 7_500.0}, id="comma-and-unit"),
        pytest.param("ZZPS app 70 kts", {"destination": "ZZPS", "approach_speed_kt": 70.0}, id="unit-apart"),
        pytest.param("ZZPS path 3.5 deg", {"destination": "ZZPS", "path_angle_deg": 3.5}, id="degrees"),
        pytest.param(
            "ZZPS alt 9000 min 3500 da 420",
            {
                "destination": "ZZPS",
                "cruise_altitude_ft": 9_000.0,
                "minimum_altitude_ft": 3_500.0,
                "decision_altitude_ft": 420.0,
            },
            id="minima",
        ),
        pytest.param(
            "ZZPS hold ZZPS inbound 210 left for 1.5 min min 3500",
            {
                "destination": "ZZPS",
                "minimum_altitude_ft": 3_500.0,
                "hold": Hold(at="ZZPS", inbound_magnetic_deg=210, turns="left", leg_min=1.5),
            },
            id="minutes-and-minimum",
        ),
        pytest.param(
            "ZZPS cruise 110 aircraft Light-Twin",
            {"destination": "ZZPS", "cruise_speed_kt": 110.0, "aircraft": "light-twin"},
            id="aircraft",
        ),
        pytest.param(
            "ZZPS weather METAR ZZPS 121755Z 21016KT 9999 Q1013",
            {"destination": "ZZPS", "weather": "METAR ZZPS 121755Z 21016KT 9999 Q1013"},
            id="weather",
        ),
        pytest.param(
            "> P@-40.25,-120 > ZZPS",
            {"destination": "ZZPS", "route": (Fix(name="P", latitude_deg=-40.25, longitude_deg=-120),)},
            id="placed",
        ),
        pytest.param(
            "> ZZKN > ZZPS",
            {"destination": "ZZPS", "route": (Fix(name="ZZKN", latitude_deg=-40.5, longitude_deg=-120),)},
            id="over-a-field",
        ),
    ],
)
def test_meaning(line: str, expected: dict[str, object]) -> None:
    """Each form of the grammar means what its page says."""
    assert Plan(**expected) == parse_plan(line, runways=RUNWAYS)  # type: ignore[arg-type] # a table of any keys


@pytest.mark.parametrize(
    ("line", "changed"),
    [
        pytest.param("runway 27R", {"destination": "ZZPS/27R"}, id="runway"),
        pytest.param("alt 3000 app 65", {"cruise_altitude_ft": 3_000.0, "approach_speed_kt": 65.0}, id="numbers"),
        pytest.param("direct FIX2", {"route": PLAN.route[1:]}, id="direct"),
        pytest.param("drop hold", {"hold": None}, id="drop"),
        pytest.param("drop route drop alt", {"route": (), "cruise_altitude_ft": None}, id="drop-two"),
        pytest.param("hold FIX1 inbound 90", {"hold": Hold(at="FIX1", inbound_magnetic_deg=90)}, id="hold"),
    ],
)
def test_change(line: str, changed: dict[str, object]) -> None:
    """A line that begins with a clause changes the plan and leaves the rest alone."""
    assert PLAN.model_copy(update=changed) == parse_plan(line, runways=RUNWAYS, plan=PLAN)


def test_new_route_is_a_new_plan() -> None:
    """A line that begins with a place takes nothing over."""
    assert Plan(destination="ZZKN") == parse_plan("ZZKN", runways=RUNWAYS, plan=PLAN)


@pytest.mark.parametrize(
    ("line", "problem", "pointed_at"),
    [
        ("ZZPX/27L", "no airfield is called ZZPX; did you mean ZZPS or ZZKN?", "ZZPX"),
        ("QQQQ", "no airfield is called QQQQ", "QQQQ"),
        ("ZZPS/27", "ZZPS has no runway 27; it has 09L, 09R, 18, 27L, 27R, 36", "27"),
        ("ZZPS/", "a runway is missing after ZZPS/; it has 09L, 09R, 18, 27L, 27R, 36", "ZZPS/"),
        (
            "ZZKN > FIX3 > ZZPS",
            f"{NO_FIX} FIX3; did you mean FIX2 or FIX1? Or give its place, as FIX3@48.10,-4.25",
            "FIX3",
        ),
        ("ZZKN > QQQQ > ZZPS", "no fix or airfield is called QQQQ; give its place, as QQQQ@48.10,-4.25", "QQQQ"),
        ("ZZKN > P@48,x > ZZPS", "a place is NAME@LATITUDE,LONGITUDE in degrees, such as FIX1@48.10,-4.25", "P@48,x"),
        ("ZZKN > P@48 > ZZPS", "a place is NAME@LATITUDE,LONGITUDE in degrees, such as FIX1@48.10,-4.25", "P@48"),
        ("ZZKN > P@nan,4 > ZZPS", "a latitude is from -90 to 90 and a longitude from -180 to 180", "P@nan,4"),
        ("ZZKN > P@98,0 > ZZPS", "a latitude is from -90 to 90 and a longitude from -180 to 180", "P@98,0"),
        ("P@48,4 > ZZPS", "a plan begins and ends at airfields; a place in degrees is for the way", "P@48,4"),
        ("ZZKN > FIX1/27 > ZZPS", "a runway belongs to the first and the last place only", "FIX1/27"),
        ("ZZPS at 3000 > ZZKN", "an altitude to cross at is for places on the way", "ZZPS"),
        ("ZZKN > FIX1 at > ZZPS", "at needs a number of feet, such as at 3000", "at"),
        ("ZZKN >", "a place is missing after >", ">"),
        ("ZZKN > > ZZPS", "a place is missing between two >", "#2"),
        ("ZZKN ZZPS", "put > between two places, before ZZPS", "ZZPS"),
        ("ZZPS aproach 70", f"I don't know aproach; choose from: {WORDS}", "aproach"),
        ("rnway 27R", "I don't know rnway; did you mean runway?", "rnway"),
        ("RUNWY 27R", "I don't know RUNWY; did you mean runway?", "RUNWY"),
        ("ZZKN ZZPS alt 5000", "put > between two places, before ZZPS", "ZZPS"),
        ("fly me to the moon", f"fly is no airfield, no fix and no word of a plan; choose from: {WORDS}", "fly"),
        ("go to 27R", f"go is no airfield, no fix and no word of a plan; choose from: {WORDS}", "go"),
        ("ZZPS runwy 27R", "I don't know runwy; did you mean runway?", "runwy"),
        ("ZZPS alt 5000 rnway 27R", "I don't know rnway; did you mean runway?", "rnway"),
        ("ZZPS alt", "alt needs a number of feet, such as alt 7500", "alt"),
        ("ZZPS alt high", "alt needs a number of feet, not high", "high"),
        ("ZZPS alt 75oo", "alt needs a number of feet, not 75oo", "75oo"),
        ("ZZPS app", "app needs a number of knots, such as app 70", "app"),
        ("ZZPS app 70mph", "app is in kt, not in mph", "70mph"),
        ("ZZPS app 70 mph", "app is in kt, not in mph", "mph"),
        ("ZZPS alt 2000 m", "alt is in ft, not in m", "m"),
        ("ZZPS app 700", "app must be at most 250, was 700", "700"),
        ("ZZPS app 5", "app must be more than 20, was 5", "5"),
        ("ZZPS alt 99999", "alt must be at most 60000, was 99999", "99999"),
        ("ZZPS path 12", "path must be at most 7.5, was 12", "12"),
        ("ZZPS alt 5000 alt 6000", "alt is given twice", "#2"),
        ("ZZPS hold", f"hold needs a place, such as {EXAMPLE}", "hold"),
        ("ZZPS hold QQQQ inbound 210", f"{NO_FIX} QQQQ: hold at one of the route or a known one", "QQQQ"),
        ("ZZPS hold ZZKN", f"hold needs its inbound course, such as {EXAMPLE}", "ZZKN"),
        ("ZZPS hold ZZKN 210", f"hold needs the word inbound here, such as {EXAMPLE}", "210"),
        ("ZZPS hold ZZKN inbound", "inbound needs a number of degrees, such as inbound 210", "inbound"),
        ("ZZPS hold ZZKN inbound 400", "hold must be at most 360, was 400", "400"),
        ("ZZPS hold ZZKN inbound 210 for", "for needs a number of minutes, such as for 1.5", "for"),
        ("ZZPS aircraft", "aircraft needs the name of a profile, such as aircraft light-single", "aircraft"),
        ("ZZPS aircraft glidr", "no aircraft profile is called glidr; did you mean glider?", "glidr"),
        ("ZZPS runway", "runway needs its designator, such as runway 27R", "runway"),
        ("ZZPS runway 28", "ZZPS has no runway 28; it has 09L, 09R, 18, 27L, 27R, 36", "28"),
        ("ZZPS drop", "drop needs what to drop, such as drop hold", "drop"),
        ("ZZPS drop hld", "hld can't be dropped; did you mean hold?", "hld"),
        ("ZZPS direct", "direct needs a fix of the route, such as direct FIX2", "direct"),
        ("ZZPS direct FIX1", "FIX1 is not on the route; the route has no fixes", "FIX1"),
        ("> FIX2 > ZZPS direct FIX1", "FIX1 is not on the route; the route has FIX2", "FIX1"),
        ("ZZPS weather", "weather needs a report, such as weather METAR ZZPS 121755Z 21016KT 9999 Q1013", "weather"),
        (
            "ZZPS weather sunny",
            "a report begins with its station's four letters, such as ZZPS, not with SUNNY",
            "sunny",
        ),
        ("alt 5000", "there is no plan to change yet: begin with a destination, such as ZZPS/27L", "alt"),
    ],
)
def test_errors(line: str, problem: str, pointed_at: str) -> None:
    """The message says what is wrong and what would be right, and the caret stands under the word."""
    start = line.index(pointed_at) if pointed_at != "#2" else _second(line)
    size = len(pointed_at) if pointed_at != "#2" else len(line[start:].split(maxsplit=1)[0])

    with pytest.raises(PlanLineError) as caught:
        parse_plan(line, runways=RUNWAYS)

    assert f"{problem}\n  {line}\n  {' ' * start}{'^' * size}" == str(caught.value)


def _second(line: str) -> int:
    """Return where the first repeated word stands for the second time."""
    words = line.split()
    word = next(word for word in words if words.count(word) > 1)
    return line.index(word, line.index(word) + 1)


def test_runway_of_no_destination() -> None:
    """A runway can be changed only where there is a destination."""
    with pytest.raises(PlanLineError) as caught:
        parse_plan("runway 27", runways=RUNWAYS, plan=Plan())

    assert "there is no destination whose runway could be changed\n  runway 27\n  ^^^^^^" == str(caught.value)


@pytest.mark.parametrize("line", ["", "  \n "])
def test_empty(line: str) -> None:
    """An empty line has nothing to point at."""
    with pytest.raises(PlanLineError) as caught:
        parse_plan(line, runways=RUNWAYS)

    assert str(caught.value) == "a plan needs at least a destination, such as ZZPS/27L"


def test_too_long() -> None:
    """A line has a limit."""
    with pytest.raises(PlanLineError, match="a plan has at most 2000 letters, this has 2004"):
        parse_plan("ZZPS" * 501, runways=RUNWAYS)


ALTITUDES = st.none() | st.integers(-1_000, 60_000).map(float)
FIXES = st.builds(
    Fix,
    name=st.text(st.sampled_from("ABCXYZ019"), min_size=1, max_size=12),
    latitude_deg=st.integers(-90_000, 90_000).map(lambda n: n / 1_000),
    longitude_deg=st.integers(-180_000, 180_000).map(lambda n: n / 1_000),
    altitude_ft=ALTITUDES,
)
PLANS = st.builds(
    Plan,
    departure=st.sampled_from([None, "ZZKN", "ZZKN/13"]),
    route=st.lists(FIXES, max_size=4).map(tuple),
    destination=st.sampled_from(["ZZPS", "ZZPS/27L"]),
    cruise_altitude_ft=ALTITUDES,
    minimum_altitude_ft=ALTITUDES,
    path_angle_deg=st.none() | st.integers(20, 75).map(lambda n: n / 10),
    approach_speed_kt=st.none() | st.integers(21, 250).map(float),
    hold=st.none()
    | st.builds(
        Hold,
        at=st.just("ZZKN"),
        inbound_magnetic_deg=st.integers(0, 360).map(float),
        turns=st.sampled_from(["left", "right"]),
        leg_min=st.none() | st.integers(1, 10).map(float),
    ),
    aircraft=st.sampled_from([None, "glider"]),
    weather=st.sampled_from([None, "ZZPS 00000KT 9999 Q1013"]),
)


@given(PLANS)
def test_there_and_back(plan: Plan) -> None:
    """Every plan with a destination can be written as a line that means the same."""
    assert plan == parse_plan(write_plan(plan), runways=RUNWAYS)


@given(st.text(st.sampled_from("ZPSKN/>@ altpholdinbd0123.,-"), max_size=60))
def test_whatever_is_typed(line: str) -> None:
    """A plan or a PlanLineError, nothing else."""
    try:
        plan = parse_plan(f"ZZPS {line}", runways=RUNWAYS)
    except PlanLineError:
        return

    assert plan.destination is not None
