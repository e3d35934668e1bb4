"""For every alert of every built-in advisory: what it is shown when it should speak, and when it should not.

Limits and levels are common practice, no source, unless the advisory's own docstring names one; the numbers that they
are compared with are checked against published values in tests/standards.
"""

from collections.abc import Mapping
from dataclasses import dataclass, field

from otherseat.advisories.picture import Phase
from otherseat.advisories.plan import Fix, Plan
from otherseat.advisories.weather_report import Weather
from otherseat.config.plans import resolve_plan
from otherseat.config.profiles import read_profile
from tests.scripted import make_table

TABLE = make_table()
PROFILE = read_profile("light-single")
GEAR_PROFILE = read_profile("light-twin")
PLAN = resolve_plan(
    plan=Plan.model_validate(
        {
            "departure": "ZZAA/09",
            "destination": "ZZBB/09L",
            "cruise_altitude_ft": 6_000,
            "hold": {"at": "ZZBB", "inbound_magnetic_deg": 90},
        }
    ),
    runways=TABLE,
)
ARRIVAL = TABLE.end("ZZBB/09L")
WEATHER = Weather(text="", station="ZZBB", wind_from_true_deg=180.0, wind_speed_kt=24.0, altimeter_hpa=1_013.0)

Values = Mapping[str, object]


@dataclass(frozen=True)
class Row:
    """One alert: what is seen when all is well, and what is different when it is not."""

    advisory: str
    alert: str
    well: Values
    wrong: Values
    level: str
    before: tuple[Values, ...] = field(default=())
    """Looks that come first, half a second apart, laid over `well`."""
    silent: Values = field(default_factory=lambda: {"phase": Phase.PARKED})
    """Laid over `wrong`: then nothing is seen."""
    moment: bool = False
    """Seen for a moment only, such as a gate's verdict: it does not stay while things stay wrong."""


FINAL: Values = {
    "phase": Phase.FINAL,
    "plan": PLAN,
    "profile": PROFILE,
    "arrival_end": ARRIVAL,
    "runway_source": "plan",
    "altitude_ft": ARRIVAL.elevation_ft + 700.0,
    "height_above_threshold_ft": 700.0,
    "distance_to_threshold_nm": 2.2,
    "distance_to_destination_nm": 2.2,
    "offset_ft": 0.0,
    "course_difference_deg": 0.0,
    "path_deviation_deg": 0.0,
    "height_above_path_ft": 0.0,
    "sink_to_hold_fpm": 350.0,
    "sink_to_regain_fpm": 400.0,
    "next_gate_ft": 500.0,
    "indicated_airspeed_kt": 65.0,
    "groundspeed_kt": 65.0,
    "vertical_speed_fpm": -350.0,
    "bank_deg": 0.0,
    "tracked_end": ARRIVAL,
    "tracked_distance_nm": 2.2,
    "altimeter_hpa": 1_013.0,
    "weather": WEATHER,
}
CRUISE: Values = {
    "phase": Phase.CRUISE,
    "plan": PLAN,
    "profile": PROFILE,
    "altitude_ft": 6_000.0,
    "indicated_altitude_ft": 6_000.0,
    "pressure_altitude_ft": 6_050.0,
    "groundspeed_kt": 110.0,
    "true_airspeed_kt": 112.0,
    "track_true_deg": 90.0,
    "heading_true_deg": 90.0,
    "vertical_speed_fpm": 0.0,
    "closing_speed_kt": 110.0,
    "destination": "ZZBB",
    "distance_to_destination_nm": 30.0,
    "bearing_to_destination_deg": 90.0,
    "distance_to_go_nm": 30.0,
    "top_of_descent_nm": 10.0,
    "descent_angle_needed_deg": 2.0,
    "last_fix": "ZZONE",
    "past_fix_nm": 0.5,
    "bearing_to_next_point_deg": 95.0,
    "latitude_deg": 10.0,
    "longitude_deg": 20.0,
    "fuel_kg": 120.0,
    "fuel_flow_kg_per_h": 25.0,
}
LINED_UP: Values = {
    "phase": Phase.PARKED,
    "heading_true_deg": 90.0,
    "plan": PLAN,
    "profile": PROFILE,
    "groundspeed_kt": 0.0,
    "latitude_deg": 10.0,
    "longitude_deg": 20.0,
    "runways": TABLE,
    "departure_end": TABLE.end("ZZAA/09"),
    "surface_end": TABLE.end("ZZAA/09"),
    "surface_runway": "ZZAA/09",
    "runway_ahead_ft": 5_800.0,
    "heading_bug_deg": 90.0,
    "magnetic_variation_deg": 0.0,
}
JOINING: Values = {
    **FINAL,
    "phase": Phase.APPROACH,
    "height_above_threshold_ft": 1_900.0,
    "distance_to_threshold_nm": 7.0,
    "offset_ft": 9_000.0,
    "course_difference_deg": -30.0,
    "groundspeed_kt": 90.0,
}
AIRBORNE = {"phase": Phase.CLIMB}

ROWS = (
    Row("glidepath", "glidepath-high", FINAL, {"path_deviation_deg": 0.6, "height_above_path_ft": 150.0}, "advice"),
    Row("glidepath", "glidepath-low", FINAL, {"path_deviation_deg": -0.5, "height_above_path_ft": -120.0}, "caution"),
    Row("approach-speed", "too-fast", FINAL, {"indicated_airspeed_kt": 80.0}, "advice"),
    Row("approach-speed", "too-slow", FINAL, {"indicated_airspeed_kt": 59.0}, "caution"),
    Row("centreline", "offset-left", FINAL, {"offset_ft": -1_100.0}, "advice"),
    Row("centreline", "offset-right", FINAL, {"offset_ft": 1_100.0}, "advice"),
    Row(
        "arrival-runway",
        "wrong-runway-arrival",
        FINAL,
        {"tracked_end": TABLE.end("ZZBB/09R")},
        "caution",
    ),
    Row("arrival-runway", "wrong-airfield", FINAL, {"tracked_end": TABLE.end("ZZAA/09")}, "caution"),
    Row(
        "no-runway",
        "no-runway-ahead",
        FINAL,
        {"tracked_end": None, "altitude_ft": ARRIVAL.elevation_ft + 300.0},
        "caution",
    ),
    Row("altimeter", "altimeter", FINAL, {"altimeter_hpa": 1_016.0}, "advice"),
    Row(
        "wind-limits",
        "wind-crosswind",
        {**FINAL, "weather": None},
        {"weather": Weather(text="", station="ZZBB", wind_from_true_deg=180.0, wind_speed_kt=18.0)},
        "advice",
    ),
    Row(
        "wind-limits",
        "tailwind",
        {**FINAL, "weather": None},
        {"weather": Weather(text="", station="ZZBB", wind_from_true_deg=270.0, wind_speed_kt=6.0)},
        "advice",
    ),
    Row(
        "next-gate",
        "next-gate",
        {**FINAL, "height_above_threshold_ft": 450.0},
        {"height_above_threshold_ft": 700.0},
        "call",
    ),
    Row(
        "gates",
        "gate-1000",
        {**FINAL, "height_above_threshold_ft": 1_010.0},
        {"height_above_threshold_ft": 995.0},
        "call",
        before=({},),
        moment=True,
    ),
    Row(
        "gates",
        "gate-500",
        {**FINAL, "height_above_threshold_ft": 510.0},
        {"height_above_threshold_ft": 495.0},
        "call",
        before=({},),
        moment=True,
    ),
    Row(
        "gates",
        "gate-1000-unsettled",
        {**FINAL, "height_above_threshold_ft": 1_010.0, "vertical_speed_fpm": -1_300.0},
        {"height_above_threshold_ft": 995.0},
        "advice",
        before=({},),
        moment=True,
    ),
    Row(
        "gates",
        "gate-500-unsettled",
        {**FINAL, "height_above_threshold_ft": 510.0, "indicated_airspeed_kt": 90.0},
        {"height_above_threshold_ft": 495.0},
        "caution",
        before=({},),
        moment=True,
    ),
    Row(
        "joining",
        "joining-converging",
        {**JOINING, "offset_ft": 15_000.0},
        {"offset_ft": 4_000.0},
        "call",
        before=({},),
    ),
    Row("joining", "joining-lead", {**JOINING, "offset_ft": 15_000.0}, {"offset_ft": 700.0}, "call", before=({},)),
    Row(
        "joining",
        "joining-through",
        {**JOINING, "offset_ft": 40_000.0, "course_difference_deg": -80.0, "groundspeed_kt": 130.0},
        {"offset_ft": 300.0},
        "caution",
        before=({},),
    ),
    Row(
        "joining",
        "joining-crossed",
        {**JOINING, "offset_ft": 4_000.0},
        {"offset_ft": -3_500.0},
        "caution",
        before=({},),
    ),
    Row(
        "joining",
        "joining-inside-gate",
        {**JOINING, "offset_ft": 15_000.0},
        {"offset_ft": 3_500.0, "distance_to_threshold_nm": 2.4},
        "advice",
        before=({},),
    ),
    Row(
        "joining",
        "joining-steep",
        {**JOINING, "offset_ft": 15_000.0},
        {"offset_ft": 3_200.0, "course_difference_deg": -70.0},
        "advice",
        before=({},),
    ),
    Row(
        "destination",
        "destination-passed",
        CRUISE,
        {"past_destination_nm": 1.5, "closing_speed_kt": -110.0, "distance_to_destination_nm": 1.6},
        "advice",
    ),
    Row("fix-passed", "fix-passed", CRUISE, {"past_fix_nm": 3.0, "bearing_to_next_point_deg": 180.0}, "advice"),
    Row("top-of-descent", "top-of-descent", CRUISE, {"top_of_descent_nm": 1.0}, "call"),
    Row(
        "top-of-descent",
        "top-of-descent-passed",
        CRUISE,
        {
            "top_of_descent_nm": -3.0,
            "descent_angle_needed_deg": 3.5,
            "distance_to_threshold_nm": 30.0,
            "offset_ft": 0.0,
        },
        "advice",
    ),
    Row("hold-advice", "hold-advice", CRUISE, {"longitude_deg": ARRIVAL.longitude_deg - 0.03}, "call"),
    Row("hold-advice", "hold-endurance", CRUISE, {"longitude_deg": ARRIVAL.longitude_deg - 0.03}, "call"),
    Row("fuel", "fuel-low", CRUISE, {"fuel_kg": 23.0}, "advice"),
    Row("fuel", "fuel-short", CRUISE, {"fuel_kg": 4.0}, "warning"),
    Row(
        "altitude",
        "altitude-approaching",
        {**CRUISE, "phase": Phase.CLIMB, "indicated_altitude_ft": 3_000.0, "vertical_speed_fpm": 700.0},
        {"indicated_altitude_ft": 5_300.0},
        "call",
        before=({},),
    ),
    Row(
        "altitude",
        "altitude-leaving",
        CRUISE,
        {"indicated_altitude_ft": 5_850.0, "vertical_speed_fpm": -600.0},
        "call",
        before=({}, {}),
    ),
    Row("altitude", "altitude-above", CRUISE, {"indicated_altitude_ft": 6_300.0}, "advice", before=({},)),
    Row("altitude", "altitude-below", CRUISE, {"indicated_altitude_ft": 5_700.0}, "advice", before=({},)),
    Row("implausible", "data-airspeed", CRUISE, {"groundspeed_kt": 250.0}, "advice"),
    Row("implausible", "data-altitude", CRUISE, {"pressure_altitude_ft": 12_000.0}, "advice"),
    Row(
        "departure-runway",
        "wrong-runway-departure",
        LINED_UP,
        {"surface_end": TABLE.end("ZZAA/18"), "surface_runway": "ZZAA/18"},
        "caution",
        silent=AIRBORNE,
    ),
    Row(
        "departure-runway",
        "wrong-end-departure",
        LINED_UP,
        {"surface_end": TABLE.end("ZZAA/27"), "surface_runway": "ZZAA/27"},
        "caution",
        silent=AIRBORNE,
    ),
    Row(
        "departure-runway",
        "not-a-runway",
        {**LINED_UP, "phase": Phase.TAXI},
        {"surface_end": None, "surface_runway": None, "groundspeed_kt": 28.0},
        "warning",
        before=({},),
        silent=AIRBORNE,
    ),
    Row("runway-ahead", "runway-ahead", LINED_UP, {"runway_ahead_ft": 1_900.0}, "caution", silent=AIRBORNE),
    Row("heading-bug", "heading-bug", LINED_UP, {"heading_bug_deg": 180.0}, "advice", silent=AIRBORNE),
)

__all__ = ["GEAR_PROFILE", "PLAN", "PROFILE", "ROWS", "TABLE", "Fix", "Row"]
