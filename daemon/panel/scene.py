"""Scene: what the page shows of one aircraft. Messages of the bus in; parts of the page out, each ready to send.

A part is one key of a frame: `now`, `sheet`, `trace`, `alerts`, `standing`, `plan`, `log`. Every part says how
things are, so that the newest one makes up for all before it.
"""

import json
import math
from collections.abc import Callable, Iterable
from dataclasses import fields
from typing import Any

from otherseat.advisories.glidepath import LEAST_SINK_FPM
from otherseat.advisories.levels import Change
from otherseat.advisories.picture import Picture
from otherseat.advisories.runway import RunwayEnd
from otherseat.daemon.age import Age
from otherseat.daemon.final_approach import how_far_beside, is_on_path, without_far_runway
from otherseat.daemon.messages import AlertMessage, CallMessage, Kind, Message, PlanMessage, StandingMessage
from otherseat.daemon.panel.log import Log
from otherseat.daemon.panel.sheet import Anchor, choose_anchor, known_ends, sheet
from otherseat.daemon.panel.trace import Point, Trace
from otherseat.daemon.teaching import rules

PARTS = ("sheet", "trace", "now", "alerts", "standing", "plan", "log")
PICTURE_NAMES = tuple(field.name for field in fields(Picture))


class Scene:
    """One aircraft on the page."""

    def __init__(self, aircraft: str, *, clock: Callable[[], float]) -> None:
        self.aircraft = aircraft
        self._clock = clock
        self._picture: Picture | None = None
        self._age = Age()
        self._standing: StandingMessage | None = None
        self._alerts: dict[tuple[str, str], AlertMessage] = {}
        self._log = Log()
        self._trace = Trace()
        self._plan: PlanMessage | None = None
        self._near: tuple[RunwayEnd, ...] = ()
        self._ends: dict[str, RunwayEnd] = {}
        self._anchor: Anchor | None = None
        self._packed: dict[str, str] = {}

    @property
    def position(self) -> Point | None:
        """Where the aircraft is."""
        return self._trace.points[-1] if self._trace.points else None

    @property
    def plan(self) -> PlanMessage | None:
        """The plan as the bus last told it."""
        return self._plan

    def age_s(self) -> float | None:
        """Return how old the newest picture is; None before the first."""
        return self._age.seconds(now_s=self._clock())

    def take(self, message: Message) -> set[str]:
        """Take in one message about this aircraft, and return the parts that changed."""
        self._age.take(message, now_s=self._clock())
        changed = self._changed_by(message)
        for part in changed:
            self._packed.pop(part, None)
        return changed

    def set_near(self, ends: Iterable[RunwayEnd]) -> set[str]:
        """Take in the runway ends that are near, and return the parts that changed."""
        self._near = tuple(ends)
        return self._redrawn()

    def packed(self, part: str) -> str:
        """Return a part as JSON."""
        text = self._packed.get(part)
        if text is None:
            text = self._packed[part] = json.dumps(self._part(part), separators=(",", ":"), allow_nan=False)
        return text

    def _changed_by(self, message: Message) -> set[str]:
        body, session = message.body, message.session
        match message.kind:
            case Kind.PICTURE:
                return self._see(body)
            case Kind.ALERT:
                return self._note(body, session=session)
            case Kind.CALL:
                return self._hear(body, session=session)
            case Kind.PLAN:
                self._plan = body
                return {"plan"} | self._redrawn()
            case Kind.STANDING:
                return self._stand(body, session=session)
        return set()

    def _see(self, picture: Picture) -> set[str]:
        self._picture = without_far_runway(picture)
        changed = {"now"}
        if self._follow_trace(picture):
            changed.add("trace")
        wanted = self._wanted_anchor()
        if wanted is not None and (self._anchor is None or wanted.name != self._anchor.name):
            changed |= self._redrawn()
        return changed

    def _follow_trace(self, picture: Picture) -> bool:
        if picture.latitude_deg is None or picture.longitude_deg is None:
            return False
        return self._trace.add(
            Point(
                time_s=picture.time_s,
                latitude_deg=picture.latitude_deg,
                longitude_deg=picture.longitude_deg,
                altitude_ft=picture.altitude_ft,
            )
        )

    def _note(self, alert: AlertMessage, *, session: str) -> set[str]:
        if alert.change is Change.CLEARED:
            self._alerts.pop((session, alert.id), None)
        else:
            self._alerts[session, alert.id] = alert
        self._log.note(alert, session=session)
        return {"alerts", "log"}

    def _stand(self, standing: StandingMessage, *, session: str) -> set[str]:
        """Take over what stands, worded with the numbers of now; the log keeps what was said."""
        self._standing = standing
        for alert in standing.alerts:
            if (session, alert.id) in self._alerts:
                self._alerts[session, alert.id] = alert
        return {"standing", "alerts"}

    def _hear(self, call: CallMessage, *, session: str) -> set[str]:
        self._log.hear(call, session=session)
        return {"log"}

    def _wanted_anchor(self) -> Anchor | None:
        picture = self._picture
        end = None
        if picture is not None:
            end = choose_anchor(
                phase=picture.phase,
                runway=picture.runway,
                surface_runway=picture.surface_runway,
                plan=self._plan,
                ends=self._ends,
                here=self.position,
            )
        if end is not None:
            return Anchor.at_end(end)
        if self._anchor is None and self.position is not None:
            return Anchor.at_point(self.position)
        return self._anchor

    def _redrawn(self) -> set[str]:
        self._ends = known_ends(plan=self._plan, near=self._near)
        self._anchor = self._wanted_anchor()
        for part in ("sheet", "trace", "now"):
            self._packed.pop(part, None)
        return {"sheet", "trace", "now"}

    def _part(self, part: str) -> Any:
        maker: Callable[[], Any] = getattr(self, f"_{part}_part")
        return maker()

    def _now_part(self) -> dict[str, Any] | None:
        picture = self._picture
        if picture is None:
            return None
        now = {name: tidy(getattr(picture, name)) for name in PICTURE_NAMES if getattr(picture, name) is not None}
        now["rules"] = {name: tidy(value) for name, value in rules(picture=picture).items()}
        beside = how_far_beside(picture)
        if beside is not None:
            now["beside"] = beside
        if is_on_path(picture):
            now["on_path"] = True
        if picture.sink_to_regain_fpm is not None and picture.sink_to_regain_fpm < LEAST_SINK_FPM:
            now["level_off"] = True  # until the path is met: a climb would be thousands near the gate
        place = self._place_ft()
        if place is not None:
            now["place_ft"] = place
        return now

    def _place_ft(self) -> tuple[float, float] | None:
        picture, anchor = self._picture, self._anchor
        if anchor is None or picture is None or picture.latitude_deg is None or picture.longitude_deg is None:
            return None
        return anchor.place_ft(latitude_deg=picture.latitude_deg, longitude_deg=picture.longitude_deg)

    def _sheet_part(self) -> dict[str, Any] | None:
        return None if self._anchor is None else sheet(anchor=self._anchor, ends=self._ends, plan=self._plan)

    def _trace_part(self) -> list[tuple[float, float, float | None]]:
        anchor = self._anchor
        if anchor is None:
            return []
        return [
            (
                *anchor.place_ft(latitude_deg=point.latitude_deg, longitude_deg=point.longitude_deg),
                None if point.altitude_ft is None else round(point.altitude_ft),
            )
            for point in self._trace.points
        ]

    def _alerts_part(self) -> list[dict[str, Any]]:
        standing = sorted(self._alerts.values(), key=lambda alert: (-alert.level, alert.raised_s))
        return [
            {
                "id": alert.id,
                "alert": alert.alert,
                "level": alert.level.word,
                "text": alert.text,
                "raised_s": alert.raised_s,
                "acknowledged": alert.acknowledged,
            }
            for alert in standing
        ]

    def _standing_part(self) -> dict[str, Any]:
        standing = self._standing
        if standing is None:
            return {"live": {}, "silent": False, "retired": False, "verbosity": None}
        return {
            "live": dict(standing.live),
            "silent": standing.silent,
            "retired": standing.retired,
            "verbosity": standing.verbosity.value,
        }

    def _plan_part(self) -> dict[str, Any] | None:
        return None if self._plan is None else self._plan.plan.model_dump(mode="json", exclude_none=True)

    def _log_part(self) -> list[dict[str, Any]]:
        return self._log.entries()


def tidy(value: Any) -> Any:
    """Return a number with no more figures than a page can show; what is not finite counts as missing."""
    if not isinstance(value, float):
        return value
    return round(value, 3) if math.isfinite(value) else None
