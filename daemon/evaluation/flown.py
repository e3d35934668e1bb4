"""Fly one sortie with the engine in the same process: no sockets, no clock, so that hundreds fit into minutes."""

import contextlib
import random
import zlib
from collections.abc import Generator, Iterator, Sequence
from dataclasses import dataclass, field, replace

from otherseat.advisories import cold
from otherseat.advisories.advisory import Advisory
from otherseat.advisories.engine import Engine
from otherseat.advisories.levels import Alert, Call, Level
from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.state import State
from otherseat.config.plans import resolve_plan
from otherseat.config.settings import Settings
from otherseat.daemon.evaluation.catalogue import AIRCRAFT, SCENARIOS
from otherseat.daemon.evaluation.conditions import (
    Conditions,
    UnsteadyHand,
    blown_from_behind,
    calmed,
    draw_conditions,
    dropouts,
    gust_kt,
)
from otherseat.daemon.evaluation.setting import set_wrong
from otherseat.daemon.evaluation.sortie import Sortie
from otherseat.daemon.evaluation.truth import SEEN_FROM
from otherseat.daemon.flight_model.flight import Moment, Scene, fly
from otherseat.daemon.flight_model.guidance import spot
from otherseat.daemon.flight_model.loops import Handling
from otherseat.daemon.flight_model.model import FlightModel, View
from otherseat.daemon.flight_model.observe import observe
from otherseat.daemon.flight_model.world import World

SETTLE_S = 25.0
"""An aircraft put down in the air needs so long until its pilot has it in hand; nobody listens before."""
TRACK_EVERY_S = 1.0
MODEL_HZ = 60
"""Half of what the demo flies at: the gear of both models still rolls smoothly, and a flight costs much less."""
SIZE_EVERY_S = 0.5
LATE_S = 20.0
"""So long after it was too late a faulty flight goes on: what is said by then was said late, not missed."""
CONTROLS_HZ = (20, 30, 60)
"""How often the loops may run: the first that the reports divide is taken."""


@dataclass(frozen=True, slots=True)
class Order:
    """One flight to fly: with its seed it is the same flight every time and everywhere."""

    scenario: str
    aircraft: str
    size: float
    seed: int


@dataclass(frozen=True, slots=True)
class TrackPoint:
    """One second of a flight, for its picture."""

    time_s: float
    to_go_nm: float
    offset_ft: float
    height_ft: float
    phase: str


@dataclass(slots=True)
class Flown:
    """What became of one order."""

    order: Order
    conditions: str
    runway: str = ""
    fault_alerts: frozenset[str] = frozenset()
    """Any of these says what is wrong; none in a normal flight."""
    fault_level: Level = Level.ADVICE
    """The least level that says it."""
    useful: str = ""
    """Until when an alert is of use, in words."""
    sizes: list[tuple[float, float]] = field(default_factory=list)
    """When and how big the fault really was, in thresholds."""
    kept_s: float | None = None
    """For so long a big fault must have kept its size; None when it was not for the flight to decide."""
    reason: str | None = None
    """Of a small fault, only an alert with this reason is a nuisance."""
    alerts: list[Alert] = field(default_factory=list)
    heard: list[tuple[float, str, Level]] = field(default_factory=list)
    """When which alert was spoken of, and how seriously."""
    track: list[TrackPoint] = field(default_factory=list)
    began_s: float | None = None
    too_late_s: float | None = None
    """None: the flight ended before it was too late."""
    ended_s: float = 0.0
    error: str | None = None


@dataclass(frozen=True, slots=True)
class Crew:
    """What every flight is judged by."""

    advisories: Sequence[Advisory]
    settings: Settings


def fly_order(order: Order, *, crew: Crew, world: World) -> Flown:
    """Fly one order and return what was said."""
    dice = random.Random(zlib.crc32(f"{order.scenario} {order.aircraft} {order.seed}".encode()))
    handling = AIRCRAFT[order.aircraft]
    sortie = SCENARIOS[order.scenario].build(dice, world, handling, order.size)
    conditions = draw_conditions(dice=dice, course_true_deg=sortie.end.course_true_deg, handling=handling)
    if sortie.fault is not None and order.size < SEEN_FROM:
        conditions = calmed(conditions)
    if sortie.true_altitude:
        conditions = replace(conditions, altimeter_error_ft=None)
    if sortie.tailwind_kt is not None:
        conditions = blown_from_behind(conditions, end=sortie.end, tailwind_kt=sortie.tailwind_kt)
    if sortie.setting_off_hpa is not None:
        sortie, conditions = set_wrong(sortie, conditions, off_hpa=sortie.setting_off_hpa)
    flown = Flown(
        order=order,
        conditions=describe(conditions),
        runway=sortie.end.name,
    )
    engine = Engine(
        aircraft="own",
        runways=world.runways,
        plan=as_told(sortie.plan, handling=handling, world=world),
        advisories=crew.advisories,
        params=crew.settings.advisories,
        attention=crew.settings.attention,
    )
    if (fault := sortie.fault) is not None:
        flown.fault_alerts, flown.fault_level = fault.alerts, fault.level
        flown.useful, flown.reason = fault.useful.words, fault.reason
        flown.kept_s = None if fault.size is None else fault.kept_s
    listen(engine=engine, sortie=sortie, conditions=conditions, flown=flown, world=world, dice=dice)
    return flown


def listen(
    *, engine: Engine, sortie: Sortie, conditions: Conditions, flown: Flown, world: World, dice: random.Random
) -> None:
    """Fly, let the engine hear what the simulator tells, and note what it says and when the fault matters."""
    placed_s = SETTLE_S if sortie.placement.airspeed_kt > 0.0 else 0.0
    leg, tracked_s = -1, float("-inf")
    moments = told(sortie=sortie, conditions=conditions, world=world, dice=dice)
    with contextlib.closing(moments):
        for moment, state in moments:
            view = moment.view
            if moment.leg != leg:
                leg = moment.leg
                if leg in sortie.replans:
                    engine.set_plan(as_told(sortie.replans[leg], handling=sortie.handling, world=world))
            if view.time_s < placed_s:
                continue
            note_fault(flown=flown, sortie=sortie, moment=moment, conditions=conditions)
            if is_over(flown, time_s=view.time_s):
                break
            if state is None:
                continue
            outcome = engine.step(state)
            flown.alerts.extend(outcome.alerts)
            flown.heard.extend(spoken for call in outcome.calls for spoken in spoken_of(call))
            if view.time_s - tracked_s >= TRACK_EVERY_S:
                tracked_s = view.time_s
                flown.track.append(track_point(view=view, sortie=sortie, phase=outcome.picture.phase.value))
            flown.ended_s = view.time_s


def spoken_of(call: Call) -> Iterator[tuple[float, str, Level]]:
    """Yield every alert that a call speaks of, by its name."""
    for alert_id in (call.alert_id, *(part.alert_id for part in call.also)):
        if alert_id is not None:
            yield call.time_s, alert_id.rpartition(".")[0], call.level


def is_over(flown: Flown, *, time_s: float) -> bool:
    """Say whether there is no more to learn from a flight: its fault is big, and it has long been too late."""
    return flown.order.size >= SEEN_FROM and flown.too_late_s is not None and time_s > flown.too_late_s + LATE_S


def as_told(plan: Plan, *, handling: Handling, world: World) -> ResolvedPlan:
    """Return the plan as a pilot of this aircraft tells it, with its places looked up."""
    told_plan = plan.model_copy(update={"aircraft": handling.profile, "approach_speed_kt": handling.reference_kt})
    return resolve_plan(plan=told_plan, runways=world.runways)


def note_fault(*, flown: Flown, sortie: Sortie, moment: Moment, conditions: Conditions) -> None:
    """Note how big the fault really is, when it begins, and when an alert would come too late."""
    fault, view = sortie.fault, moment.view
    if fault is None or moment.leg < fault.begins:
        return
    size = None
    if fault.size is not None:
        size = fault.size(view, view.altitude_ft + (conditions.altimeter_error_ft or 0.0))
        if size is not None and (not flown.sizes or view.time_s - flown.sizes[-1][0] >= SIZE_EVERY_S):
            flown.sizes.append((view.time_s, size))
    if flown.began_s is None and (fault.size is None or (size is not None and size >= fault.from_size)):
        flown.began_s = view.time_s
    if flown.began_s is not None and flown.too_late_s is None and fault.useful.over(view, view.time_s - flown.began_s):
        flown.too_late_s = view.time_s


def told(
    *, sortie: Sortie, conditions: Conditions, world: World, dice: random.Random
) -> Generator[tuple[Moment, State | None]]:
    """Yield every moment, with the state when the simulator reports one."""
    scene = Scene(name="", told="", placement=sortie.placement, legs=sortie.legs)
    silent = dropouts(dice=random.Random(dice.random()))
    gap = next(silent) if conditions.dropouts else (float("inf"), float("inf"))
    control_hz = next(hz for hz in CONTROLS_HZ if hz % conditions.rate_hz == 0)
    every = control_hz // conditions.rate_hz
    hand = UnsteadyHand(
        skill=conditions.skill,
        dice=random.Random(dice.random()),
        faster_kt=0.0 if sortie.fault else gust_kt(conditions.weather),
    )
    with FlightModel(aircraft=sortie.handling.aircraft, weather=conditions.weather, model_hz=MODEL_HZ) as model:
        moments = fly(
            model=model,
            handling=sortie.handling,
            scenes=[scene],
            terrain=world.terrain_ft,
            hand=hand,
            control_hz=control_hz,
        )
        for count, moment in enumerate(moments):
            time_s = moment.view.time_s
            while time_s > gap[1]:
                gap = next(silent)
            reported = count % every == 0 and not gap[0] <= time_s <= gap[1]
            yield moment, _reported(model, moment.view, conditions, sortie) if reported else None


def _reported(model: FlightModel, view: View, conditions: Conditions, sortie: Sortie) -> State:
    """Return what the simulator tells; with an altimeter's error no true altitude, but what it shows in this air."""
    state, station_ft = observe(model=model, view=view), sortie.end.elevation_ft
    error_ft, air_c = conditions.altimeter_error_ft, state.outside_air_temperature_c
    if error_ft is not None and air_c is not None:
        shown_ft = cold.indicated_altitude_ft(
            true_altitude_ft=view.altitude_ft,
            station_temperature_c=air_c + cold.LAPSE_C_PER_FT * (view.altitude_ft - station_ft),
            station_elevation_ft=station_ft,
        )
        state = replace(state, altitude_ft=None, indicated_altitude_ft=shown_ft + error_ft)
    if not sortie.told:
        return state
    return replace(state, **sortie.told)  # type: ignore[arg-type]  # numbers only, by name


def track_point(*, view: View, sortie: Sortie, phase: str) -> TrackPoint:
    """Return where the aircraft is as the sortie's runway end sees it."""
    place = spot(view=view, end=sortie.end)
    return TrackPoint(
        time_s=view.time_s,
        to_go_nm=place.to_go_nm,
        offset_ft=place.offset_ft,
        height_ft=place.height_ft,
        phase=phase,
    )


def describe(conditions: Conditions) -> str:
    """Return the conditions in one line."""
    weather = conditions.weather
    altimeter = conditions.altimeter_error_ft
    parts = [
        f"wind {weather.wind_from_true_deg:03.0f}/{weather.wind_kt:.0f}",
        f"turbulence {weather.turbulence_severity}",
        f"{weather.warmer_c:+.0f} C",
        f"{weather.sea_level_hpa:.0f} hPa",
        f"{conditions.skill.name} pilot",
        f"{conditions.rate_hz} Hz",
    ]
    parts += ["dropouts"] if conditions.dropouts else []
    parts += [f"altimeter {altimeter:+.0f} ft"] if altimeter is not None else []
    return ", ".join(parts)
