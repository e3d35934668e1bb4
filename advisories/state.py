"""State: what the simulator reported about one aircraft at one moment.

Every field may be missing: then it is None, never 0 and never NaN. Units stand in the names. East, north, right,
up, climbing and nose-up are positive; directions run clockwise from north. The bounds of every number are declared
once, in BOUNDS; `State.accept` is the only door, so nothing out of bounds or non-finite reaches the engine.
"""

from collections.abc import Mapping
from dataclasses import dataclass, fields, make_dataclass
from typing import Any

Value = float | bool | str
Fields = dict[str, Value]

OWN = "own"


class _Told:
    """Room beside a state's fields."""

    __slots__ = ("told",)
    told: Mapping[str, Value | tuple[str, ...]]
    """Its values by name, without those that are missing, for who packs them; only states `of_checked` have it."""


@dataclass(frozen=True, slots=True)
class State(_Told):
    """One aircraft at one moment, as reported."""

    time_s: float
    """The simulator's own time in seconds; where it begins is the simulator's business."""
    aircraft: str = OWN
    """Which aircraft; own when the source names none."""

    latitude_deg: float | None = None
    """WGS 84, north positive."""
    longitude_deg: float | None = None
    """WGS 84, east positive."""

    altitude_ft: float | None = None
    """True altitude above mean sea level."""
    indicated_altitude_ft: float | None = None
    """What the altimeter shows with altimeter_hpa set."""
    pressure_altitude_ft: float | None = None
    """Altitude at which the standard atmosphere has this pressure."""
    height_agl_ft: float | None = None
    """Above the ground below."""
    altimeter_hpa: float | None = None
    """What the altimeter is set to."""

    indicated_airspeed_kt: float | None = None
    """As the instrument shows it."""
    true_airspeed_kt: float | None = None
    """Through the air around."""
    groundspeed_kt: float | None = None
    """Over the ground."""
    mach: float | None = None
    """True airspeed over the speed of sound."""
    vertical_speed_fpm: float | None = None
    """Climbing is positive."""

    heading_true_deg: float | None = None
    """Where the nose points, clockwise from true north."""
    heading_magnetic_deg: float | None = None
    """Where the nose points, clockwise from magnetic north."""
    track_true_deg: float | None = None
    """Direction of movement over the ground, clockwise from true north."""
    magnetic_variation_deg: float | None = None
    """East positive: true = magnetic + variation."""

    pitch_deg: float | None = None
    """Nose up is positive."""
    bank_deg: float | None = None
    """Right wing down is positive."""

    outside_air_temperature_c: float | None = None
    """Static: of the air at rest."""
    wind_from_true_deg: float | None = None
    """Where the wind at the aircraft comes from, clockwise from true north."""
    wind_speed_kt: float | None = None
    """Of that wind."""

    on_ground: bool | None = None
    """Whether a wheel bears weight."""
    gear_down: bool | None = None
    """Whether the landing gear is down."""
    flaps_ratio: float | None = None
    """0 is up, 1 all the way down."""
    throttle_ratio: float | None = None
    """0 is idle, 1 full power; negative in reverse."""

    heading_bug_deg: float | None = None
    """Magnetic, as the bug is set against the compass card."""
    selected_altitude_ft: float | None = None
    """What the pilot has set to climb or descend to."""

    fuel_kg: float | None = None
    """On board, usable."""
    fuel_flow_kg_per_h: float | None = None
    """Of all engines together."""

    paused: bool | None = None
    """Whether the simulator stands still."""
    time_rate: float | None = None
    """Simulated seconds in a second: 1 is real time."""

    computed: tuple[str, ...] | None = None
    """Which of these the adapters worked out from positions, because the source does not send them. No need of any
    advisory, and no value that a source can send."""

    @classmethod
    def accept(cls, values: Mapping[str, Value]) -> tuple["State | None", list[str]]:
        """Return the state made of the values that are in bounds, and the names of those that are not.

        The state is None when time_s itself is missing or refused.
        """
        kept, refused = within_bounds(values)
        kept.setdefault("aircraft", OWN)
        return cls.of_checked(kept) if "time_s" in kept else None, refused

    @classmethod
    def of_checked(cls, values: Fields, *, computed: tuple[str, ...] | None = None) -> "State":
        """Return the state made of values that came out of `within_bounds`, and keep these: time and aircraft too.

        It is filled before it is frozen, which takes a third of the time; there is one for every datagram.
        """
        told = values if computed is None else {**values, "computed": computed}
        state = _OPEN(**told)
        state.told = told
        state.__class__ = cls
        made: State = state
        return made


_OPEN: Any = make_dataclass("_OPEN", [(one.name, one.type, one) for one in fields(State)], bases=(_Told,), slots=True)
"""A State that is not frozen."""


ALTITUDE_FT = (-2_000.0, 200_000.0)
SPEED_KT = (0.0, 5_000.0)
DIRECTION_DEG = (-360.0, 720.0)

BOUNDS: dict[str, tuple[float, float]] = {
    "time_s": (-1e12, 1e12),
    "latitude_deg": (-90.0, 90.0),
    "longitude_deg": (-180.0, 360.0),
    "altitude_ft": ALTITUDE_FT,
    "indicated_altitude_ft": ALTITUDE_FT,
    "pressure_altitude_ft": ALTITUDE_FT,
    "height_agl_ft": (-500.0, 200_000.0),
    "altimeter_hpa": (800.0, 1_100.0),
    "indicated_airspeed_kt": SPEED_KT,
    "true_airspeed_kt": SPEED_KT,
    "groundspeed_kt": SPEED_KT,
    "mach": (0.0, 10.0),
    "vertical_speed_fpm": (-60_000.0, 60_000.0),
    "heading_true_deg": DIRECTION_DEG,
    "heading_magnetic_deg": DIRECTION_DEG,
    "track_true_deg": DIRECTION_DEG,
    "magnetic_variation_deg": (-180.0, 180.0),
    "pitch_deg": (-90.0, 90.0),
    "bank_deg": (-180.0, 180.0),
    "outside_air_temperature_c": (-120.0, 70.0),
    "wind_from_true_deg": DIRECTION_DEG,
    "wind_speed_kt": (0.0, 400.0),
    "flaps_ratio": (0.0, 1.0),
    "throttle_ratio": (-1.0, 1.5),
    "heading_bug_deg": DIRECTION_DEG,
    "selected_altitude_ft": ALTITUDE_FT,
    "fuel_kg": (0.0, 1e6),
    "fuel_flow_kg_per_h": (0.0, 1e6),
    "time_rate": (0.0, 1_000.0),
}
"""Lowest and highest believable value of every number in a State."""

FLAGS = frozenset({"on_ground", "gear_down", "paused"})
NAMES = frozenset({"aircraft"})
LONGEST_NAME = 64
"""It becomes part of a topic."""
STATE_FIELDS: frozenset[str] = frozenset(field.name for field in fields(State)) - {"computed"}
"""What a source can send."""


def in_bounds(name: str, value: object) -> bool:
    """Say whether value is of the field's kind and within its bounds; an unknown name never is."""
    bounds = BOUNDS.get(name)
    if bounds is not None:
        if isinstance(value, float) or (isinstance(value, int) and not isinstance(value, bool)):
            return bounds[0] <= value <= bounds[1]  # NaN is within no bounds
        return False
    if name in FLAGS:
        return isinstance(value, bool)
    return name in NAMES and isinstance(value, str) and 0 < len(value) <= LONGEST_NAME and value.isprintable()


def within_bounds(values: Mapping[str, Value]) -> tuple[Fields, list[str]]:
    """Return the values that may enter a State, and the names of those that may not."""
    refused = []
    for name, value in values.items():
        bounds = BOUNDS.get(name)
        if bounds is not None and type(value) is float:  # nearly all of them, in every state: no call for these
            fits = bounds[0] <= value <= bounds[1]
        elif value is True or value is False:
            fits = name in FLAGS
        else:
            fits = in_bounds(name, value)
        if not fits:
            refused.append(name)
    if refused:
        return {name: value for name, value in values.items() if name not in refused}, refused
    return dict(values), refused
