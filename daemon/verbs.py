"""Verbs: the questions and orders that the desk takes, each with its request and its reply.

Request   one msgpack map {verb, id, body}; id is the asker's own and comes back unchanged, body may be left out
Reply     {ok: true, verb, id, body} or {ok: false, id, error}
Question  changes nothing, and a reader's key may ask it
Order     changes something; where keys are in use it needs an operator's
"""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, Any, Literal

from pydantic import BaseModel, ConfigDict, Field, StringConstraints

from otherseat.advisories.plan import Plan
from otherseat.advisories.runway import RunwayEnd
from otherseat.advisories.speaking import Verbosity
from otherseat.advisories.state import OWN
from otherseat.daemon.messages import Body, HealthMessage, PlanMessage

AircraftName = Annotated[str, StringConstraints(min_length=1, max_length=64)]
Words = Annotated[str, StringConstraints(min_length=1, max_length=300)]


class Request(BaseModel):
    """Base of what is asked: an unknown key is an error, so that a slip of the pen is not taken for consent."""

    model_config = ConfigDict(frozen=True, extra="forbid", allow_inf_nan=False, defer_build=True)


class Nothing(Request):
    """A question without details."""


class Done(Body):
    """The order was carried out."""


class SnapshotRequest(Request):
    """Ask for the newest frame of every topic."""

    aircraft: AircraftName | None = None
    """One aircraft only, with health; None for all."""
    mark: Annotated[str, StringConstraints(pattern=r"^[0-9a-f]{1,32}$")] | None = None
    """Send the topic mark.<mark> on the feed first: who receives it knows that its subscription was in force."""


class SnapshotReply(Body):
    """The newest frames, as the feed sent them."""

    session: str
    """The daemon's, as in every message of the feed."""
    frames: tuple[tuple[str, bytes], ...]
    """Pairs of topic and packed map."""
    said: tuple[tuple[str, bytes], ...] = ()
    """Likewise the last calls of each aircraft, the oldest first: what was said before who asks was there."""


class AircraftRequest(Request):
    """Ask about one aircraft."""

    aircraft: AircraftName = OWN
    """Which aircraft."""


class PlanSetRequest(Request):
    """Take over a plan."""

    aircraft: AircraftName = OWN
    """Which aircraft."""
    plan: Plan
    """What is left out of it is not planned."""


class PlanLineRequest(Request):
    """Take over a plan written in one line, or a change of the one in force."""

    aircraft: AircraftName = OWN
    """Which aircraft."""
    line: Annotated[str, StringConstraints(min_length=1, max_length=2_000)]
    """The plan, or the change, as `otherseat plan` takes it."""


class TuneRequest(Request):
    """Change how much is said, or switch checks on and off, until the daemon ends."""

    aircraft: AircraftName = OWN
    """Which aircraft."""
    verbosity: Verbosity | None = None
    """How much is said; left out it stays."""
    advisories: dict[str, bool] = {}
    """Name of an advisory -> whether it works."""


class AskRequest(Request):
    """Have a number said, and get it in words."""

    aircraft: AircraftName = OWN
    """Which aircraft."""
    about: Literal["airspeed", "wind", "path", "destination"]
    """The number that is wanted."""


class AskReply(Body):
    """The answer in words."""

    text: str
    """As read on a screen."""


class AcknowledgeRequest(Request):
    """Acknowledge one alert by its id, or all that stand."""

    aircraft: AircraftName = OWN
    """Which aircraft."""
    id: Annotated[str, StringConstraints(min_length=1, max_length=100)] | None = None
    """Of one alert; left out for all that stand."""


class AcknowledgeReply(Body):
    """What was acknowledged."""

    acknowledged: tuple[str, ...]
    """Ids of the alerts."""


class MuteRequest(Request):
    """Quieten the voice, or give it back. Alerts stay on the screens."""

    aircraft: AircraftName | None = None
    """None for every aircraft of this daemon."""
    muted: bool = True
    """true quietens, false gives the voice back."""


class VoiceRequest(Request):
    """Change how the voice sounds, until the daemon ends; what is left out stays as it is."""

    volume: float | None = Field(default=None, ge=0, le=1)
    """0 is silent, 1 full."""
    ear: Literal["both", "left", "right"] | None = None
    """In which ear it speaks."""
    device: Annotated[str, StringConstraints(max_length=200)] | None = None
    """The start of a device's name; "" for the default one."""
    words_per_minute: int | None = Field(default=None, ge=80, le=400)
    """How fast it speaks."""


class SayRequest(Request):
    """Have the voice say something, such as an instructor's word."""

    aircraft: AircraftName = OWN
    """Which aircraft."""
    text: Words
    """What is said, as it stands."""


class WeatherSetRequest(Request):
    """Hand over a weather report as it was issued."""

    aircraft: AircraftName = OWN
    """Which aircraft."""
    report: Annotated[str, StringConstraints(min_length=1, max_length=1_000)]
    """Of the plan's destination, as text."""


class RunwaysNearRequest(Request):
    """Ask which runway ends lie near a place."""

    latitude_deg: float = Field(ge=-90, le=90)
    """North positive."""
    longitude_deg: float = Field(ge=-180, le=360)
    """East positive."""
    within_nm: float = Field(default=15.0, gt=0, le=100)
    """How far away at most."""


class RunwaysNearReply(Body):
    """The ends, nearest first."""

    ends: tuple[RunwayEnd, ...]
    """The nearest first."""


@dataclass(frozen=True, slots=True)
class Verb:
    """One thing that the desk can be asked."""

    name: str
    request: type[BaseModel]
    reply: type[BaseModel]
    order: bool
    """Whether it changes something."""
    summary: str


VERBS: Mapping[str, Verb] = {
    verb.name: verb
    for verb in (
        Verb("snapshot", SnapshotRequest, SnapshotReply, order=False, summary="the newest frame of every topic"),
        Verb("status", Nothing, HealthMessage, order=False, summary="how the daemon is"),
        Verb("plan.get", AircraftRequest, PlanMessage, order=False, summary="the plan and its places"),
        Verb("plan.set", PlanSetRequest, PlanMessage, order=True, summary="take over a plan"),
        Verb(
            "plan.line", PlanLineRequest, PlanMessage, order=True, summary="take over a plan, or a change, in one line"
        ),
        Verb("ask", AskRequest, AskReply, order=True, summary="have a number said: airspeed, wind, path, destination"),
        Verb("tune", TuneRequest, Done, order=True, summary="change how much is said; switch checks on and off"),
        Verb("acknowledge", AcknowledgeRequest, AcknowledgeReply, order=True, summary="quieten one alert, or all"),
        Verb("mute", MuteRequest, Done, order=True, summary="quieten the voice, or give it back"),
        Verb("voice", VoiceRequest, Done, order=True, summary="change the voice's volume, ear, device or rate"),
        Verb("say", SayRequest, Done, order=True, summary="have the voice say something"),
        Verb("runways.near", RunwaysNearRequest, RunwaysNearReply, order=False, summary="the runway ends near a place"),
        Verb("weather.set", WeatherSetRequest, Done, order=True, summary="hand over a weather report"),
    )
}
"""The verbs of the contract; the service may add its own with Desk.register."""


class Asked(BaseModel):
    """What stands around every request."""

    model_config = ConfigDict(frozen=True, extra="forbid", strict=True)

    verb: Annotated[str, StringConstraints(max_length=64)]
    """What is asked; one of the desk."""
    id: Annotated[int, Field(ge=0, lt=2**63)] | Annotated[str, StringConstraints(max_length=64)] | None = None
    """The asker's own mark, which comes back unchanged."""
    body: dict[str, Any] = {}
    """The verb's request."""
