"""PlanMemory: the plan of a flight survives a restart of the daemon, and no longer than the flight.

Written when a plan is taken over and every KEEP_EVERY_S while states come; a few hundred bytes, in one stroke.
"""

import time
from pathlib import Path

import structlog

from otherseat.advisories.plan import Plan, PlanError, ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.state import State
from otherseat.config.plan_memory import Sighting, drop_old_plans, keep_plan, recall_plan
from otherseat.config.plans import resolve_plan

KEEP_EVERY_S = 15.0
NO_PLAN = Plan()

log = structlog.get_logger(__name__)


class PlanMemory:
    """What was planned, on disk."""

    def __init__(self, *, folder: Path, runways: RunwayTable, profile: str) -> None:
        """Remember in this folder, from which the plans of flights that are over are removed."""
        drop_old_plans(folder, wall_s=time.time())
        self._folder = folder
        self._runways = runways
        self._profile = profile
        self._kept_s: dict[str, float] = {}
        self._trouble = False

    def recall(self, state: State) -> ResolvedPlan | None:
        """Return the plan of the flight that this state belongs to, or None."""
        seen = _sighting(state)
        plan = None if seen is None else recall_plan(folder=self._folder, now=seen)
        if plan is None:
            return None
        try:
            return resolve_plan(plan=plan, runways=self._runways, profile=self._profile)
        except PlanError as error:
            log.warning("plan_not_restored", reason=str(error))
            return None

    def keep(self, *, state: State, plan: Plan, now_s: float) -> None:
        """Write the plan if it is time to; trouble is said once."""
        if now_s - self._kept_s.get(state.aircraft, float("-inf")) < KEEP_EVERY_S:
            return
        self._kept_s[state.aircraft] = now_s
        seen = _sighting(state)
        if seen is None or self._trouble or plan == NO_PLAN:
            return
        try:
            keep_plan(folder=self._folder, plan=plan, seen=seen)
        except OSError as error:
            self._trouble = True
            log.warning("plan_not_kept", reason=str(error))

    def at_once(self, aircraft: str) -> None:
        """Have the next state write it: the plan has changed."""
        self._kept_s.pop(aircraft, None)


def _sighting(state: State) -> Sighting | None:
    if state.latitude_deg is None or state.longitude_deg is None:
        return None
    longitude_deg = (state.longitude_deg + 180.0) % 360.0 - 180.0
    return Sighting(
        aircraft=state.aircraft,
        wall_s=time.time(),
        time_s=state.time_s,
        latitude_deg=state.latitude_deg,
        longitude_deg=longitude_deg,
    )
