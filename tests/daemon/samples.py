"""One body of each kind, on the islands that don't exist."""

from collections.abc import Mapping
from typing import Any

from otherseat.advisories.levels import Alert, Call, Change, Level
from otherseat.advisories.picture import Phase, Picture, Source
from otherseat.advisories.plan import Fix, Plan
from otherseat.advisories.runway import Airfield, Runway, RunwayEnd
from otherseat.advisories.state import State
from otherseat.daemon.messages import (
    AlertMessage,
    CallMessage,
    HealthMessage,
    Kind,
    PlanMessage,
    SourceHealth,
    StandingMessage,
    alert_message,
    call_message,
)


def alert(
    number: int = 3, *, aircraft: str = "own", change: Change = Change.RAISED, level: Level = Level.CAUTION
) -> AlertMessage:
    """Return an alert of a path that is too high."""
    return alert_message(
        Alert(
            id=f"glidepath-high.{number}",
            alert="glidepath-high",
            aircraft=aircraft,
            change=change,
            level=level,
            phrase="glidepath-high",
            values={"height_ft": 200.0, "sink_fpm": 650.0},
            raised_s=640.0,
            time_s=640.5,
        ),
        text="High, 200 ft. Sink 650.",
        speech="High, two hundred. Sink six fifty.",
    )


def call(*, aircraft: str = "own") -> CallMessage:
    """Return the call that goes with the alert."""
    return call_message(
        Call(
            time_s=640.5,
            aircraft=aircraft,
            level=Level.CAUTION,
            phrase="glidepath-high",
            values={"height_ft": 200.0},
            alert_id="glidepath-high.3",
        ),
        text="High, 200 ft.",
        speech="High, two hundred.",
    )


def _end(runway: str, opposite: str, *, latitude_deg: float, course_true_deg: float) -> RunwayEnd:
    return RunwayEnd(
        airfield="ZZPS",
        runway=runway,
        opposite=opposite,
        latitude_deg=latitude_deg,
        longitude_deg=-150.25,
        elevation_ft=31.0,
        course_true_deg=course_true_deg,
        length_ft=5_200.0,
        width_ft=100.0,
    )


ENDS = (
    _end("07", "25", latitude_deg=-41.5, course_true_deg=70.0),
    _end("25", "07", latitude_deg=-41.49, course_true_deg=250.0),
)
AIRFIELD = Airfield(
    ident="ZZPS",
    name="Pelican Sound",
    latitude_deg=-41.495,
    longitude_deg=-150.25,
    elevation_ft=31.0,
    runways=(Runway(ends=ENDS),),
)

BODIES: Mapping[Kind, Any] = {
    Kind.STATE: State(
        time_s=640.5,
        latitude_deg=-41.55,
        longitude_deg=-150.5,
        altitude_ft=1_500.0,
        groundspeed_kt=92.25,
        track_true_deg=70.5,
        on_ground=False,
    ),
    Kind.PICTURE: Picture(
        time_s=640.5,
        aircraft="own",
        phase=Phase.FINAL,
        altitude_ft=1_500.0,
        altitude_source=Source.REPORTED,
        true_airspeed_kt=94.5,
        true_airspeed_source=Source.RULE_OF_THUMB,
        runway="ZZPS/07",
        runway_source="plan",
        distance_to_threshold_nm=4.0,
        height_above_path_ft=200.0,
    ),
    Kind.ALERT: alert(),
    Kind.CALL: call(),
    Kind.PLAN: PlanMessage(
        aircraft="own",
        plan=Plan(
            destination="ZZPS/07",
            route=(Fix(name="GULLS", latitude_deg=-41.75, longitude_deg=-150.75),),
            path_angle_deg=3.0,
        ),
        arrival=ENDS[0],
        destination=AIRFIELD,
    ),
    Kind.STANDING: StandingMessage(
        aircraft="own", alerts=(alert(),), live={"glidepath": "live", "weather": "lacks altimeter_hpa"}, age_s=0.125
    ),
    Kind.HEALTH: HealthMessage(
        seat="bench",
        version="0.1.0",
        uptime_s=12.5,
        aircraft=("own",),
        sources=(
            SourceHealth(
                name="sim",
                adapter="layout",
                address="127.0.0.1:49000",
                datagrams=600,
                states=599,
                refused={"wrong length": 1},
                refused_fields={"pitch_deg": 3},
            ),
        ),
        voice="espeak-ng",
    ),
}
