"""Messages: what leaves on the feed, kind by kind. `daemon/bus.md` is the contract, `packing.py` packs them.

Frames     topic, then one msgpack map {schema, session, seq, time_s, body}
Topic      <kind>.<aircraft>; health alone has no aircraft
Body       the fields of the classes below under their own names; a value that is missing is left out
Numbers    plain integers and floats; what is not finite counts as missing and never travels
Levels     as words; every other closed set by its value

State, Picture, Alert and Call are not described a second time here: their own fields are what travels.
"""

import math
from collections.abc import Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from functools import cache
from operator import attrgetter
from typing import Annotated, Any

import msgpack
from pydantic import BaseModel, BeforeValidator, ConfigDict, Field, PlainSerializer, TypeAdapter, WithJsonSchema
from pydantic import ValidationError as PydanticError

from otherseat.advisories.levels import Alert, Call, Level, Values
from otherseat.advisories.picture import Picture
from otherseat.advisories.plan import Plan, ResolvedHold, ResolvedPlan
from otherseat.advisories.profile import AircraftProfile
from otherseat.advisories.runway import Airfield, RunwayEnd
from otherseat.advisories.speaking import Verbosity
from otherseat.advisories.state import State
from otherseat.advisories.weather_report import Weather

SCHEMA = 1
"""Version of the contract: raised when something is removed or means something else, never for an addition."""


class MessageError(ValueError):
    """They erred: these frames are no message of ours."""


class Kind(StrEnum):
    """What a message is about; the first part of its topic."""

    STATE = "state"
    PICTURE = "picture"
    ALERT = "alert"
    CALL = "call"
    PLAN = "plan"
    STANDING = "standing"
    HEALTH = "health"


def level_of(value: object) -> Level:
    """Return the level that a word names, or raise ValueError."""
    if isinstance(value, Level):
        return value
    if isinstance(value, str) and value == value.lower() and value.upper() in Level.__members__:
        return Level[value.upper()]
    raise ValueError(f"no such level: {value}")


LevelWord = Annotated[
    Level,
    BeforeValidator(level_of),
    PlainSerializer(lambda level: level.word, return_type=str),
    WithJsonSchema({"enum": [level.word for level in Level], "type": "string"}),
]
"""A Level that travels as its word."""


@dataclass(frozen=True, slots=True, kw_only=True)
class AlertMessage(Alert):
    """An alert at its latest change, with its words."""

    level: LevelWord
    """How serious it is now."""
    text: str
    """As read on a screen."""
    speech: str
    """As spoken: numbers in words."""


@dataclass(frozen=True, slots=True, kw_only=True)
class CallMessage(Call):
    """One thing that is being said, with its words."""

    level: LevelWord
    """How urgent it was; call for a routine number."""
    text: str
    """As read on a screen."""
    speech: str
    """As spoken: numbers in words."""


class Body(BaseModel):
    """Base of the bodies that exist only on the bus: frozen; a reader ignores what it does not know."""

    model_config = ConfigDict(frozen=True, allow_inf_nan=False, defer_build=True)


class PlanMessage(Body):
    """A plan that was taken over, with the places that it names. Sent on change."""

    aircraft: str
    """Whose plan it is."""
    plan: Plan
    """As given."""
    departure: RunwayEnd | None = None
    """The runway end that it begins at; left out when it names none."""
    arrival: RunwayEnd | None = None
    """The runway end that it leads to; left out when it names none."""
    destination: Airfield | None = None
    """The airfield that it leads to; left out when it names none."""
    hold: ResolvedHold | None = None
    """The hold with its place found; left out without one."""
    weather: Weather | None = None
    """The destination's report, decoded."""
    profile: AircraftProfile | None = None
    """What is known of the kind of aircraft."""

    @classmethod
    def of(cls, *, aircraft: str, resolved: ResolvedPlan) -> "PlanMessage":
        """Make the message of a plan whose places were found."""
        return cls(
            aircraft=aircraft,
            plan=resolved.plan,
            departure=resolved.departure,
            arrival=resolved.arrival,
            destination=resolved.destination,
            hold=resolved.hold,
            weather=resolved.weather,
            profile=resolved.profile,
        )

    def resolved(self) -> ResolvedPlan:
        """Return the plan with its places, as it was taken over."""
        return ResolvedPlan(
            plan=self.plan,
            departure=self.departure,
            arrival=self.arrival,
            destination=self.destination,
            hold=self.hold,
            weather=self.weather,
            profile=self.profile,
        )


class StandingMessage(Body):
    """How things stand with one aircraft. Sent once a second, so that whoever missed something is put right."""

    aircraft: str
    """Whom it is about."""
    alerts: tuple[AlertMessage, ...] = ()
    """Every alert that stands, at its latest change, with the numbers of now: `text` may differ from what was said."""
    live: dict[str, str] = {}
    """Advisory -> "live", or "lacks x, y" naming what has not arrived."""
    silent: bool = False
    """Nothing has arrived for this aircraft for longer than the settings allow: the daemon is blind."""
    age_s: float | None = Field(default=None, ge=0)
    """Since the newest state arrived."""
    verbosity: Verbosity = Verbosity.NORMAL
    """How much of it the pilot wants to hear."""
    retired: bool = False
    """The daemon has let go of this aircraft: the last message about it."""


class SourceHealth(Body):
    """One source of datagrams."""

    name: str
    """What the source is called: its layout, or its adapter."""
    adapter: str
    """What reads it."""
    address: str
    """Where it listens, as host:port."""
    datagrams: int = 0
    """How many have come."""
    states: int = 0
    """How many states they gave."""
    refused: dict[str, int] = {}
    """Reason -> how many, in the words of the adapter contract."""
    refused_fields: dict[str, int] = {}
    """Field -> how often its value was left out as out of range; of the commonest few."""
    age_s: float | None = Field(default=None, ge=0)
    """Since the newest usable datagram; left out before the first."""


class HealthMessage(Body):
    """How the daemon is. Sent once a second: the heartbeat of the feed."""

    seat: str
    """The daemon's own name, which tells seats apart on a board."""
    version: str
    """Of the program."""
    uptime_s: float = Field(ge=0)
    """Since it was started."""
    aircraft: tuple[str, ...] = ()
    """Every aircraft that is heard of."""
    sources: tuple[SourceHealth, ...] = ()
    """Each stream of datagrams."""
    silent: bool = False
    """Aircraft were heard of, and now none is."""
    voice: str = "off"
    """off, or what speaks, or why it can't."""
    muted: bool = False
    """Whether the voice is quiet by order."""
    recorder: str = "off"
    """on, off, or why not everything is recorded."""
    benched: dict[str, str] = {}
    """Plug-in -> why it was switched off."""
    counters: dict[str, int] = {}
    """Whatever else is counted, such as desk errors."""


BODIES: Mapping[Kind, type] = {
    Kind.STATE: State,
    Kind.PICTURE: Picture,
    Kind.ALERT: AlertMessage,
    Kind.CALL: CallMessage,
    Kind.PLAN: PlanMessage,
    Kind.STANDING: StandingMessage,
    Kind.HEALTH: HealthMessage,
}

_PLAIN = (float, str)
_ALERT_NAMES = tuple(field.name for field in fields(Alert))
_CALL_NAMES = tuple(field.name for field in fields(Call))
_READ_ALERT, _READ_CALL = attrgetter(*_ALERT_NAMES), attrgetter(*_CALL_NAMES)


@cache
def adapter_of(kind: Kind) -> TypeAdapter[Any]:
    """Return what reads and describes the bodies of a kind. Made when first asked for: a daemon reads none."""
    return TypeAdapter(BODIES[kind])


def alert_message(alert: Alert, *, text: str, speech: str) -> AlertMessage:
    """Return the alert with its words; values that are not finite are left out."""
    told = dict(zip(_ALERT_NAMES, _READ_ALERT(alert), strict=True))
    told["values"] = plain_values(alert.values)
    return AlertMessage(**told, text=text, speech=speech)


def call_message(call: Call, *, text: str, speech: str) -> CallMessage:
    """Return the call with its words; values that are not finite are left out."""
    told = dict(zip(_CALL_NAMES, _READ_CALL(call), strict=True))
    told["values"] = plain_values(call.values)
    told["also"] = tuple(replace(part, values=plain_values(part.values)) for part in call.also)
    return CallMessage(**told, text=text, speech=speech)


def cleared(alert: AlertMessage, *, time_s: float) -> AlertMessage:
    """Return the same alert as it is once it no longer stands."""
    return replace(alert, change=type(alert.change).CLEARED, time_s=time_s)


def plain_values(values: Values) -> dict[str, float | str]:
    """Return the values as plain numbers and strings, without those that are not finite."""
    plain = {}
    for name, value in values.items():
        own = value if type(value) in _PLAIN else plain_value(value)
        if isinstance(own, str) or math.isfinite(own):
            plain[name] = own
    return plain


def plain_value(value: Any) -> Any:
    """Turn a number of an array library into python's own; also what msgpack asks for kinds that it can't pack."""
    if isinstance(value, str):
        return str(value)
    if isinstance(value, int) and not isinstance(value, bool):
        return int(value)
    return float(value)


def topic_of(kind: Kind, aircraft: str | None = None) -> bytes:
    """Return a message's first frame."""
    return (kind.value if aircraft is None else f"{kind.value}.{aircraft}").encode()


@dataclass(frozen=True, slots=True)
class Message:
    """One message as a display gets it."""

    kind: Kind
    aircraft: str | None
    session: str
    """Drawn when the daemon starts: a new one means a new daemon, whose sequence starts again."""
    seq: int
    """Counts up by one within a session and a topic; 0 for what was put right from a standing message."""
    time_s: float
    body: Any
    """A State, Picture, AlertMessage, CallMessage, PlanMessage, StandingMessage or HealthMessage."""
    past: bool = False
    """A call from before the subscription, which asked for such: to be shown, and not to be said again."""

    @property
    def topic(self) -> str:
        """The topic as text."""
        return topic_of(self.kind, self.aircraft).decode()


class Envelope(BaseModel):
    """What stands around every body."""

    model_config = ConfigDict(strict=True, allow_inf_nan=False)

    schema_version: int = Field(alias="schema", ge=1)
    session: str = Field(min_length=1, max_length=32)
    seq: int = Field(ge=0)
    time_s: float
    body: dict[str, Any]


def decode(topic: bytes, packed: bytes) -> Message:
    """Unpack and check one message, or raise MessageError.

    Fields that are not known here are ignored, so that a reader outlives additions to the contract.
    """
    kind, aircraft = split(topic)
    try:
        envelope = Envelope.model_validate(unpack(packed))
        if envelope.schema_version != SCHEMA:
            raise MessageError(f"schema {envelope.schema_version}, and this reads schema {SCHEMA}")
        body = adapter_of(kind).validate_python(envelope.body, extra="ignore")
    except PydanticError as error:
        raise MessageError(f"{topic.decode(errors='replace')}: {summary(error)}") from error
    return Message(
        kind=kind, aircraft=aircraft, session=envelope.session, seq=envelope.seq, time_s=envelope.time_s, body=body
    )


def split(topic: bytes) -> tuple[Kind, str | None]:
    """Return a topic's kind and aircraft, or raise MessageError."""
    try:
        word, dot, aircraft = topic.decode().partition(".")
        return Kind(word), aircraft if dot else None
    except ValueError as error:
        raise MessageError(f"no such topic: {topic[:80]!r}") from error


def unpack(packed: bytes) -> Any:
    """Return what msgpack makes of one frame, or raise MessageError."""
    try:
        return msgpack.unpackb(packed)
    except (ValueError, TypeError, OverflowError, msgpack.UnpackException) as error:
        raise MessageError(f"not msgpack: {type(error).__name__}") from error


def summary(error: PydanticError) -> str:
    """Return a validation's first complaint in one line, without the offending value."""
    first = error.errors(include_url=False, include_input=False, include_context=False)[0]
    place = ".".join(str(part) for part in first["loc"])
    more = error.error_count() - 1
    return f"{place}: {first['msg']}" + (f" (and {more} more)" if more else "")
