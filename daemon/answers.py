"""Answers: the phrase and numbers for what a pilot asks. Directions are magnetic when the variation is known."""

from collections.abc import Callable, Mapping

from otherseat.advisories.angles import to_magnetic_deg
from otherseat.advisories.glidepath import LEAST_SINK_FPM
from otherseat.advisories.levels import Values
from otherseat.advisories.picture import Picture, Source
from otherseat.daemon.final_approach import how_far_beside, is_on_path, without_far_runway

Answer = tuple[str, Values] | tuple[None, Values]
NOTHING: Answer = (None, {})
CALM_BELOW_KT = 3.0
"""As in a weather report."""


def answer_of(about: str, picture: Picture | None) -> Answer:
    """Return the phrase and its values, or None when there is no answer now, see `why_not`."""
    return NOTHING if picture is None else ANSWERS[about](without_far_runway(picture))


def why_not(about: str, picture: Picture | None) -> str:
    """Return why there is no answer: its moment has not come, or the data for it does not arrive."""
    picture = None if picture is None else without_far_runway(picture)
    if picture is not None and about == "path" and (beside := how_far_beside(picture)) is not None:
        return f"not on the final approach of {picture.runway} now, but {beside} of its centreline"
    if picture is not None and about == "path" and picture.altitude_ft is not None:
        return "not on an approach now; it is told within 20 NM of the runway that the plan names or that you track to"
    if picture is not None and about == "destination" and picture.destination is None:
        return "the plan names none"
    return "the data for it does not arrive" if picture is None else lacking(about, picture)


def lacking(about: str, picture: Picture) -> str:
    """Return which data an answer would need that does not arrive."""
    lacks = [words for words, name in NEEDS[about].items() if getattr(picture, name) is None]
    if lacks:
        return f"{UNSENT.get(about, '')}the stream does not send {' or '.join(lacks)}"
    return "it is worked out in steady flight, and there was none yet"


def _airspeed(picture: Picture) -> Answer:
    if picture.true_airspeed_kt is None:
        return NOTHING
    return "airspeed-report", {
        "true_airspeed_kt": picture.true_airspeed_kt,
        **_no_better_than(picture.true_airspeed_source),
    }


def _no_better_than(source: Source | None) -> dict[str, float | str]:
    """Return what is said with a number by rule of thumb, and nothing with a better one."""
    return {"source": "rule of thumb"} if source is Source.RULE_OF_THUMB else {}


def _wind(picture: Picture) -> Answer:
    if picture.wind_from_true_deg is None or picture.wind_speed_kt is None:
        return NOTHING
    if picture.wind_speed_kt < CALM_BELOW_KT:
        return "wind-calm", {}
    from_deg = to_magnetic_deg(picture.wind_from_true_deg, picture.magnetic_variation_deg)
    return "wind-report", {
        "wind_from_deg": from_deg,
        "wind_speed_kt": picture.wind_speed_kt,
        **_no_better_than(picture.wind_source),
    }


def _path(picture: Picture) -> Answer:
    if picture.height_above_path_ft is None or how_far_beside(picture) is not None:
        return NOTHING
    if is_on_path(picture):
        return "path-report-on", _sink(picture.sink_to_hold_fpm)
    side = "high_ft" if picture.height_above_path_ft >= 0.0 else "low_ft"
    # the rate that mends it: the one that holds the path would be taken for the cure, and keep the error
    return "path-report", {side: abs(picture.height_above_path_ft), **_sink(picture.sink_to_regain_fpm)}


def _sink(rate_fpm: float | None) -> Values:
    return {"sink_fpm": rate_fpm} if rate_fpm is not None and rate_fpm >= LEAST_SINK_FPM else {}


def _destination(picture: Picture) -> Answer:
    if picture.distance_to_destination_nm is None or picture.bearing_to_destination_deg is None:
        return NOTHING
    bearing_deg = to_magnetic_deg(picture.bearing_to_destination_deg, picture.magnetic_variation_deg)
    return "destination-report", {"distance_nm": picture.distance_to_destination_nm, "bearing_deg": bearing_deg}


NEEDS: Mapping[str, Mapping[str, str]] = {
    "airspeed": {"an indicated airspeed": "indicated_airspeed_kt", "an altitude": "altitude_ft"},
    "wind": {
        "a heading": "heading_true_deg",
        "an airspeed": "true_airspeed_kt",
        "a groundspeed": "groundspeed_kt",
        "a track": "track_true_deg",
    },
    "path": {"an altitude": "altitude_ft"},
    "destination": {"a position": "latitude_deg"},
}
"""What each answer is worked out from, in words, and the picture's name of it."""
UNSENT: Mapping[str, str] = {
    "wind": "no wind is sent, and to work it out ",
    "airspeed": "no true airspeed is sent, and for it ",
}
ANSWERS: Mapping[str, Callable[[Picture], Answer]] = {
    "airspeed": _airspeed,
    "wind": _wind,
    "path": _path,
    "destination": _destination,
}
