"""Makes the library of flights: `python -m tests.flights.make`.

Flights that are there keep their states; their alerts and calls are recorded anew, as the engine gives them now.
Missing ones are flown first: by script, or by the flight model. The commit that changes a recording says why its alerts
changed.
"""

import sys
from collections.abc import Callable, Iterator
from pathlib import Path

from otherseat.advisories import geodesic
from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.airfields import demo_airfields
from otherseat.config.plans import read_plan, resolve_plan
from otherseat.daemon.flight_file import FlightFile
from otherseat.daemon.messages import PlanMessage
from tests.daemon.flights import recorded
from tests.scripted import final, make_plan, make_table, straight

HERE = Path(__file__).parent
Flight = tuple[Iterator[State], ResolvedPlan, RunwayTable]


def on_final(**values: float) -> Callable[[], Flight]:
    """Return what makes a scripted final to the planned end."""

    def make() -> Flight:
        runways = make_table()
        plan = make_plan(runways)
        assert plan.arrival is not None
        given: dict[str, float] = {"distance_nm": 5.0, "seconds": 150.0, **values}
        return final(end=plan.arrival, **given), plan, runways  # type: ignore[arg-type]  # names checked by use

    return make


def wrong_parallel() -> Flight:
    """Return a final to the runway beside the planned one."""
    runways = make_table()
    return final(end=runways.end("ZZBB/09R"), distance_nm=6.0, seconds=180.0), make_plan(runways), runways


def lined_up_wrong() -> Flight:
    """Return standing, then rolling on the other end of the planned runway."""
    runways = make_table()
    end = runways.end("ZZAA/27")
    place = {"latitude_deg": end.latitude_deg, "longitude_deg": end.longitude_deg, "altitude_ft": end.elevation_ft}
    still = straight(**place, track_true_deg=270.0, groundspeed_kt=0.0, seconds=20.0, on_ground=True)
    roll = straight(**place, track_true_deg=270.0, groundspeed_kt=35.0, seconds=10.0, from_s=20.25, on_ground=True)
    return iter([*still, *roll]), make_plan(runways), runways


def flown_past() -> Flight:
    """Return a flight level over the destination and on, for nine miles."""
    runways = make_table()
    start = geodesic.destination_point(latitude_deg=10.0, longitude_deg=20.5, course_true_deg=300.0, distance_nm=8.0)
    states = straight(
        latitude_deg=start[0],
        longitude_deg=start[1],
        track_true_deg=118.0,
        groundspeed_kt=140.0,
        altitude_ft=6_000.0,
        seconds=440.0,
        rate_hz=1.0,
    )
    return states, make_plan(runways), runways


def demo_flight() -> Flight:
    """Return the demo's flight by the flight model, mistakes and landing included, two states a second."""
    from otherseat.daemon.flight_model.states import demo_states  # noqa: PLC0415 - needs the flight model
    from otherseat.daemon.flight_model.world import demo_plan  # noqa: PLC0415 - likewise

    runways = RunwayTable(demo_airfields())
    plan = resolve_plan(plan=read_plan(Path(str(demo_plan()))), runways=runways)
    return (state for _, state in demo_states(rate_hz=2)), plan, runways


FLIGHTS: dict[str, Callable[[], Flight]] = {
    "normal-final": on_final(),
    "high-final": on_final(above_path_ft=300.0),
    "low-final": on_final(above_path_ft=-200.0, distance_nm=4.0),
    "offset-final": on_final(offset_ft=700.0),
    "wrong-parallel": wrong_parallel,
    "lined-up-wrong": lined_up_wrong,
    "flown-past": flown_past,
    "demo": demo_flight,
}


def again(path: Path) -> Flight:
    """Return the states, plan and runways of a flight that is there."""
    flight = FlightFile.open(path)
    plans = [event for event in flight.events() if isinstance(event, PlanMessage)]
    states = [event for event in flight.events() if isinstance(event, State)]
    plan = plans[0].resolved() if plans else ResolvedPlan(plan=Plan())
    return iter(states), plan, flight.runways


def main() -> None:
    """Make every flight of the library."""
    for name, make in FLIGHTS.items():
        path = HERE / f"{name}.mcap"
        states, plan, runways = again(path) if path.exists() else make()
        path.unlink(missing_ok=True)
        recorded(path, states=states, plan=plan, runways=runways)
        sys.stdout.write(f"{path.name}: {path.stat().st_size} bytes\n")


if __name__ == "__main__":
    main()
