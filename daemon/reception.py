"""Reception: what the desk's verbs do to the aircraft on the roster."""

from collections.abc import Callable, Mapping
from typing import Any

from otherseat.advisories.plan import Plan, PlanError
from otherseat.config.plan_line import parse_plan
from otherseat.config.plan_words import PlanLineError
from otherseat.config.plans import resolve_plan
from otherseat.daemon.bus import Feed, RefusedError
from otherseat.daemon.messages import PlanMessage
from otherseat.daemon.roster import Roster
from otherseat.daemon.seat import Seat
from otherseat.daemon.verbs import (
    AcknowledgeReply,
    AcknowledgeRequest,
    AircraftRequest,
    AskReply,
    AskRequest,
    MuteRequest,
    PlanLineRequest,
    PlanSetRequest,
    RunwaysNearReply,
    RunwaysNearRequest,
    SayRequest,
    TuneRequest,
    WeatherSetRequest,
)

MOST_NEAR_ENDS = 40


class Reception:
    """Answers questions and carries out orders; refuses with RefusedError."""

    def __init__(self, *, roster: Roster, feed: Feed) -> None:
        self._roster = roster
        self._feed = feed

    def handlers(self) -> Mapping[str, Callable[[Any], Any]]:
        """Return what answers each verb."""
        return {
            "snapshot": self._feed.snapshot,
            "plan.get": self._plan_get,
            "plan.set": self._plan_set,
            "plan.line": self._plan_line,
            "weather.set": self._weather_set,
            "acknowledge": self._acknowledge,
            "mute": self._mute,
            "say": self._say,
            "ask": self._ask,
            "tune": self._tune,
            "runways.near": self._runways_near,
        }

    def _plan_get(self, request: AircraftRequest) -> PlanMessage:
        seat = self._roster.find(request.aircraft)
        plan = self._roster.knowledge.plan if seat is None else seat.engine.plan
        return PlanMessage.of(aircraft=request.aircraft, resolved=plan)

    def _plan_set(self, request: PlanSetRequest) -> PlanMessage:
        return self._take_over(request.aircraft, request.plan)

    def _plan_line(self, request: PlanLineRequest) -> PlanMessage:
        """Take over a plan in one line, or a change of the one in force."""
        now = self._plan_get(AircraftRequest(aircraft=request.aircraft)).plan
        try:
            plan = parse_plan(request.line, runways=self._roster.knowledge.runways, plan=now)
        except PlanLineError as error:
            raise RefusedError(str(error)) from error
        return self._take_over(request.aircraft, plan)

    def _weather_set(self, request: WeatherSetRequest) -> None:
        now = self._plan_get(AircraftRequest(aircraft=request.aircraft)).plan
        self._take_over(request.aircraft, now.model_copy(update={"weather": request.report}))

    def _take_over(self, aircraft: str, plan: Plan) -> PlanMessage:
        knowledge = self._roster.knowledge
        try:
            resolved = resolve_plan(plan=plan, runways=knowledge.runways, profile=knowledge.settings.aircraft.profile)
        except PlanError as error:
            raise RefusedError(f"plan: {error}") from error
        self._roster.set_plan(aircraft=aircraft, plan=resolved)
        return PlanMessage.of(aircraft=aircraft, resolved=resolved)

    def _acknowledge(self, request: AcknowledgeRequest) -> AcknowledgeReply:
        ids = self._seat(request.aircraft).acknowledge(request.id)
        if request.id is not None and not ids:
            raise RefusedError(f"no alert {request.id} stands")
        return AcknowledgeReply(acknowledged=ids)

    def _mute(self, request: MuteRequest) -> None:
        seats = self._roster if request.aircraft is None else [self._seat(request.aircraft)]
        for seat in seats:
            seat.mute(muted=request.muted)

    def _say(self, request: SayRequest) -> None:
        self._seat(request.aircraft).say(request.text)

    def _ask(self, request: AskRequest) -> AskReply:
        seat = self._seat(request.aircraft)
        text = seat.answer(request.about)
        if text is None:
            raise RefusedError(f"{request.about}: {seat.no_answer(request.about)}")
        return AskReply(text=text)

    def _tune(self, request: TuneRequest) -> None:
        """Change how much is said, or switch a check on or off."""
        seat = self._seat(request.aircraft)
        if request.verbosity is not None:
            seat.set_verbosity(request.verbosity)
        for name, on in request.advisories.items():
            if not seat.switch(name, on=on):
                raise RefusedError(f"no advisory is called {name}; there are: {', '.join(sorted(seat.engine.live()))}")

    def _runways_near(self, request: RunwaysNearRequest) -> RunwaysNearReply:
        near = self._roster.knowledge.runways.near(
            latitude_deg=request.latitude_deg, longitude_deg=request.longitude_deg, within_nm=request.within_nm
        )
        return RunwaysNearReply(ends=tuple(near[:MOST_NEAR_ENDS]))

    def _seat(self, aircraft: str) -> Seat:
        seat = self._roster.find(aircraft)
        if seat is None:
            known = ", ".join(self._roster.aircraft) or "none yet"
            raise RefusedError(f"no aircraft is called {aircraft}; heard of: {known}")
        return seat
