"""Engine: states in; pictures, alerts and calls out. One engine an aircraft, no clock, no socket, no log.

Each step: notice a jump, work out the picture, ask every advisory whose needs are met, let attention judge. The
same states, plan and settings give the same alerts, byte for byte.

Pace  a state less than THINK_EVERY_S of its own time after the last one thought about is passed over: what a pilot
      would be told changes no faster, and of 60 states a second two in three would only bring the same thought again.
      It follows the states' own times, never a clock, so that a replay passes over the same ones. Whoever looks after
      a crowd may set `think_every_s`, and has to set the same in a replay.
"""

import math
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from operator import attrgetter
from typing import Any

from pydantic import ValidationError

from otherseat.advisories.advisory import Advisory, Looker, Needs, Params
from otherseat.advisories.attention import Attention, AttentionSettings, Said
from otherseat.advisories.earth import earth_centred_m
from otherseat.advisories.levels import Alert, Call, Finding, Level
from otherseat.advisories.phase import ON_THE_GROUND
from otherseat.advisories.picture import PICTURE_FIELDS, REFERENCE_FIELDS, Phase, Picture, Reference
from otherseat.advisories.plan import ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.advisories.sight import Sight
from otherseat.advisories.speaking import Situation
from otherseat.advisories.state import STATE_FIELDS, State
from otherseat.advisories.units import M_PER_NM

SILENCE = "silence"
UNREADABLE = "silence-unreadable"
BENCHED = "plugin-benched"
THINK_EVERY_S = 0.045
"""Every third of 60 states a second, every one of 20: somewhat under a twentieth, as no sender keeps time exactly."""
FAULTS_BEFORE_BENCH = 3
FORGIVEN_PER_ANSWER = 0.25
"""Four good answers make up for one fault, so that what fails at every other state is benched too."""
GAP_S = 30.0
BACKWARDS_S = 0.5
JUMP_NM = 0.5
JUMP_SPEED_KT = 1_500.0


@dataclass(frozen=True, slots=True)
class Fault:
    """An advisory that raised; the daemon logs it."""

    advisory: str
    error: Exception
    benched: bool


@dataclass(frozen=True, slots=True)
class Outcome:
    """What came of one state."""

    picture: Picture
    reference: Reference
    alerts: tuple[Alert, ...] = ()
    calls: tuple[Call, ...] = ()
    faults: tuple[Fault, ...] = ()
    jumped: bool = False
    thought: bool = True
    """False: the state came so soon after the last that nothing was worked out, and the picture is the last one."""


@dataclass(slots=True)
class _Seat:
    """One advisory at work for one aircraft."""

    advisory: Advisory
    params: Params
    needs: Needs
    looker: Looker
    faults: float = 0.0
    benched: bool = False
    off: bool = False
    names: tuple[str, ...] = ()
    """What there is now of what it needs or uses."""
    lacks: tuple[str, ...] = ("data",)


class EngineError(ValueError):
    """Settings that don't fit the advisories."""


class Engine:
    """The colleague for one aircraft."""

    def __init__(
        self,
        *,
        aircraft: str,
        runways: RunwayTable,
        plan: ResolvedPlan,
        advisories: Iterable[Advisory],
        params: Mapping[str, Mapping[str, Any]] | None = None,
        attention: AttentionSettings | None = None,
    ) -> None:
        self.aircraft = aircraft
        self.plan = plan
        self.attention = Attention(aircraft=aircraft, settings=attention or AttentionSettings())
        self.think_every_s = THINK_EVERY_S
        """The pace; slower where one machine looks after a crowd."""
        self._runways = runways
        self._seats = _seats(advisories=advisories, params=params or {})
        self._watched = [*(alert for seat in self._seats for alert in seat.advisory.alerts), BENCHED, SILENCE]
        self._sight = Sight(runways=runways, plan=plan)
        self._known_names: tuple[str, ...] | None = None
        self._last: State | None = None
        self._between: Outcome | None = None
        """What a state is answered with that comes too soon to be thought about."""

    @property
    def phase(self) -> Phase | None:
        """The latest phase of flight."""
        return self._sight.phase

    @property
    def moving(self) -> bool:
        """Whether silence from the simulator would matter now: in the air, or rolling."""
        return self.phase is not None and (self.phase not in ON_THE_GROUND or self.phase is Phase.TAKE_OFF)

    def set_plan(self, plan: ResolvedPlan) -> None:
        """Go on with another plan."""
        self.plan = plan
        self._sight.set_plan(plan)
        self._between = None

    def live(self) -> dict[str, str]:
        """Return, for every advisory, `live`, or what it lacks, or that it was benched."""
        return {seat.advisory.name: _standing(seat) for seat in self._seats}

    def switch(self, advisory: str, *, on: bool) -> bool:
        """Switch a check on or off, a benched one on again; False when there is none of that name."""
        for seat in self._seats:
            if seat.advisory.name == advisory:
                seat.off = not on
                seat.benched, seat.faults = seat.benched and not on, 0.0
                return True
        return False

    def step(self, state: State) -> Outcome:
        """Take in one state."""
        if self._between is not None and 0.0 < state.time_s - self._between.picture.time_s < self.think_every_s:
            return self._between
        jumped = self._last is not None and is_jump(before=self._last, after=state)
        forgotten = self._start_again(state.time_s) if jumped else ()
        self._last, self._between = state, None
        picture, reference = self._sight.look(state)
        findings, faults = self._ask(state=state, picture=picture, reference=reference)
        said = self.attention.step(
            time_s=state.time_s, situation=_situation(picture), findings=findings, watched=self._watched
        )
        self._between = Outcome(picture=picture, reference=reference, thought=False)
        return Outcome(
            picture=picture,
            reference=reference,
            alerts=forgotten + said.alerts,
            calls=said.calls,
            faults=faults,
            jumped=jumped,
        )

    def blind(self, *, time_s: float, silent_s: float, unreadable: bool = False) -> Said:
        """Say that nothing usable has come from the simulator for so long. Other alerts stay as they are.

        unreadable: something does come, and can't be used.
        """
        phrase = UNREADABLE if unreadable else SILENCE
        finding = Finding(alert=SILENCE, level=Level.CAUTION, amount=2.0, phrase=phrase, values={"silent_s": silent_s})
        situation = Situation(phase=self.phase or Phase.CRUISE, height_ft=None, groundspeed_kt=None)
        return self.attention.step(time_s=time_s, situation=situation, findings=[finding], watched=[SILENCE])

    def _ask(self, *, state: State, picture: Picture, reference: Reference) -> tuple[list[Finding], tuple[Fault, ...]]:
        findings: list[Finding] = []
        faults: list[Fault] = []
        known = _known(state=state, picture=picture, reference=reference)
        self._share_out(tuple(known))
        for seat in self._seats:
            if seat.benched:
                findings.append(_benched(seat))
                continue
            if seat.off or seat.lacks:
                continue
            try:
                findings.extend(seat.looker.look(**{name: known[name] for name in seat.names}))
                seat.faults = max(seat.faults - FORGIVEN_PER_ANSWER, 0.0)
            except Exception as error:  # noqa: BLE001 - the one place where a plug-in's fault is caught and benched
                seat.faults += 1
                seat.benched = seat.faults >= FAULTS_BEFORE_BENCH
                faults.append(Fault(advisory=seat.advisory.name, error=error, benched=seat.benched))
        return findings, tuple(faults)

    def _share_out(self, names: tuple[str, ...]) -> None:
        """Note what each advisory gets of the values that there are, and what it lacks; seldom does that change."""
        if names == self._known_names:
            return
        self._known_names = names
        known = frozenset(names)
        for seat in self._seats:
            seat.names = tuple(name for name in seat.needs.required + seat.needs.optional if name in known)
            seat.lacks = tuple(name for name in seat.needs.required if name not in known)

    def _start_again(self, time_s: float) -> tuple[Alert, ...]:
        """Forget what was remembered before a jump."""
        self._sight = Sight(runways=self._runways, plan=self.plan)
        for seat in self._seats:
            seat.looker = seat.advisory.make(seat.params)
        return self.attention.forget(time_s=time_s)


def is_jump(*, before: State, after: State) -> bool:
    """Say whether time or place changed as no flight does: a restart, a reposition, a long gap."""
    elapsed_s = after.time_s - before.time_s
    if elapsed_s < -BACKWARDS_S or elapsed_s > GAP_S:
        return True
    if before.latitude_deg is None or before.longitude_deg is None:
        return False
    if after.latitude_deg is None or after.longitude_deg is None:
        return False
    moved_m = math.dist(
        earth_centred_m(latitude_deg=before.latitude_deg, longitude_deg=before.longitude_deg, height_m=0.0),
        earth_centred_m(latitude_deg=after.latitude_deg, longitude_deg=after.longitude_deg, height_m=0.0),
    )
    return moved_m / M_PER_NM > JUMP_NM + max(elapsed_s, 0.0) * JUMP_SPEED_KT / 3_600.0


def _seats(*, advisories: Iterable[Advisory], params: Mapping[str, Mapping[str, Any]]) -> list[_Seat]:
    seats = []
    by_name = {advisory.name: advisory for advisory in advisories}
    for name in params:
        if name not in by_name:
            raise EngineError(f"no advisory is called {name}; there are: {', '.join(sorted(by_name))}")
    for name, advisory in by_name.items():
        try:
            own = advisory.params.model_validate(params.get(name, {}))
        except ValidationError as error:
            first = error.errors()[0]
            raise EngineError(f"advisories.{name}.{'.'.join(map(str, first['loc']))}: {first['msg']}") from error
        looker = advisory.make(own)
        needs = Needs.of(name=name, look=looker.look)
        seats.append(_Seat(advisory=advisory, params=own, needs=needs, looker=looker))
    return seats


def _known(*, state: State, picture: Picture, reference: Reference) -> dict[str, Any]:
    """Return every value that there is, by name; done once a state, because twenty advisories pick from it."""
    values = (*_READ_STATE(state), *_READ_REFERENCE(reference), *_READ_PICTURE(picture))
    return {name: value for name, value in zip(_NAMES, values, strict=True) if value is not None}


_PICTURE_NAMES = tuple(sorted(PICTURE_FIELDS))
_REFERENCE_NAMES = tuple(sorted(REFERENCE_FIELDS - PICTURE_FIELDS))
_STATE_NAMES = tuple(sorted(STATE_FIELDS - PICTURE_FIELDS - REFERENCE_FIELDS))
_NAMES = _STATE_NAMES + _REFERENCE_NAMES + _PICTURE_NAMES
_READ_STATE, _READ_REFERENCE, _READ_PICTURE = (
    attrgetter(*_STATE_NAMES),
    attrgetter(*_REFERENCE_NAMES),
    attrgetter(*_PICTURE_NAMES),
)


def _situation(picture: Picture) -> Situation:
    return Situation(
        phase=picture.phase,
        height_ft=picture.height_above_threshold_ft,
        groundspeed_kt=picture.groundspeed_kt,
    )


def _benched(seat: _Seat) -> Finding:
    return Finding(
        alert=BENCHED,
        level=Level.CAUTION,
        amount=2.0,
        phrase=BENCHED,
        values={"advisory": seat.advisory.name},
    )


def _standing(seat: _Seat) -> str:
    if seat.benched:
        return "benched after faults"
    if seat.off:
        return "switched off"
    return "live" if not seat.lacks else f"lacks {', '.join(seat.lacks)}"
