"""Teaching: the pilot's rule of thumb beside the exact number, on the page and in the ear.

In teach mode a call whose phrase has a twin called `PHRASE.rule` is followed by it, with the rule's results as values
named rule_*; so a student hears what the mental arithmetic would have given. The exact number is the one that counts.
"""

from otherseat.advisories import rules_of_thumb
from otherseat.advisories.airdata import JET_RULE_FROM_FT
from otherseat.advisories.levels import Values
from otherseat.advisories.picture import Picture


def rules(*, picture: Picture) -> dict[str, float]:
    """Return, by the name of the exact number, what the rule gives now."""
    found: dict[str, float] = {}
    if picture.groundspeed_kt is not None and picture.sink_to_hold_fpm is not None:
        found["sink_to_hold_fpm"] = rules_of_thumb.sink_rate_fpm(groundspeed_kt=picture.groundspeed_kt)
    if picture.distance_to_threshold_nm is not None and picture.path_height_ft is not None:
        found["path_height_ft"] = rules_of_thumb.path_height_ft(distance_nm=picture.distance_to_threshold_nm)
    if picture.indicated_airspeed_kt is not None and picture.altitude_ft is not None:
        jet = picture.altitude_ft >= JET_RULE_FROM_FT
        rule = rules_of_thumb.jet_true_airspeed_kt if jet else rules_of_thumb.propeller_true_airspeed_kt
        found["true_airspeed_kt"] = rule(
            indicated_airspeed_kt=picture.indicated_airspeed_kt, pressure_altitude_ft=picture.altitude_ft
        )
    return found


def rule_values(*, picture: Picture, values: Values) -> dict[str, float | str]:
    """Return the values of a rule's phrase: the call's own, and whatever the rules give now."""
    found: dict[str, float | str] = dict(values)
    found |= {f"rule_{name}": value for name, value in rules(picture=picture).items()}
    if picture.distance_to_threshold_nm is not None:
        found["rule_distance_nm"] = picture.distance_to_threshold_nm
    if picture.groundspeed_kt is not None:
        found["rule_groundspeed_kt"] = picture.groundspeed_kt
    if picture.altitude_ft is not None and isinstance(height := values.get("to_lose_ft"), float):
        found["rule_descent_nm"] = rules_of_thumb.descent_distance_nm(height_to_lose_ft=height)
    return found
