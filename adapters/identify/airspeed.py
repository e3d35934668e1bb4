"""Which columns are true and indicated airspeed, once a heading and a wind are known: by the size of the factor.

True        the movement through the air is the column's number, in its unit
Indicated   the true airspeed is as much more as the density ratio says at this altitude (ICAO Doc 7488, within 3.5%)
Both        at one height a number is true in one unit and indicated in another: kilometres an hour indicated are feet
            a second true at some 6,000 ft. Where one of the two is in knots or metres a second it is taken
"""

from collections.abc import Mapping, Sequence

import numpy as np

from otherseat.adapters.identify.air import FULL_TURN_RAD, UNIT_TOLERANCE, AirFit, AirStudy, density_ratio
from otherseat.adapters.identify.columns import Column
from otherseat.adapters.identify.guesses import Reading, speeds
from otherseat.adapters.identify.lacking import NO_AIRSPEED, for_an_airspeed
from otherseat.adapters.identify.signals import Array
from otherseat.adapters.identify.verdict import Certainty, Claim, plain
from otherseat.adapters.units_table import UNITS

AIRSPEEDS = ("indicated_airspeed_kt", "true_airspeed_kt")
USUAL_UNITS = ("kt", "m/s")
"""Of an airspeed; where another unit would do as well, one of these is taken."""
AirOption = tuple[str, Reading, float]
"""Which airspeed, in which unit, how far off."""


def claim_airspeeds(air: AirStudy, altitude_m: Array | None, told: Mapping[str, str]) -> None:
    """Claim indicated and true airspeed: the ratio of true to indicated is that of the densities.

    told: units by field, as a person said.
    """
    if air.air is None and any(claim.field.endswith("airspeed_kt") for claim in air.claims):
        return
    if air.air is None:
        any_speed = any(air.may_be_airspeed(index) for index in range(len(air.search.columns)))
        air.cannot_tell.append(for_an_airspeed(turn_rad=air.turn, any_speed=any_speed))
        return
    expected = None if altitude_m is None else float(np.median(density_ratio(altitude_m)))
    fits = air.airspeed_fits()
    for fit in fits:
        _claim(air, fit, expected, told)
    if not fits and not any(claim.field.endswith("airspeed_kt") for claim in air.claims):
        air.cannot_tell.append(NO_AIRSPEED)


def _claim(air: AirStudy, fit: AirFit, expected: float | None, told: Mapping[str, str]) -> None:
    """Claim one airspeed column, when the size of its factor fits a unit as true or as indicated."""
    options = [] if air.taken(fit.speed) else _as_told(_options(air, fit, expected), told)
    if not options:
        return
    usual = [option for option in options if option[1].unit in USUAL_UNITS]
    name, reading, miss = min(usual or options, key=lambda option: option[2])
    why = f"with the heading and a steady wind of {abs(fit.wind) / UNITS['kt'].factor:.0f} kt it gives the movement"
    readings = {option[1] for option in options}
    if len(readings) > 1 and (expected is None or not usual):
        _claim_open(air, fit.speed, options, why, height_known=expected is not None)
        return
    apart = expected is not None and expected > 1.035  # noqa: PLR2004 - the tolerance of the options
    one_meaning = len({option[0] for option in options}) == 1 or apart
    sure = apart and one_meaning and len(readings) == 1 and miss < 0.03 and air.turn > FULL_TURN_RAD  # noqa: PLR2004
    if not apart:
        low = "too low to tell; fly above 3,000 ft" if expected else "that depends on the altitude, which is open"
        air.cannot_tell.append(f"indicated or true airspeed: {low}")
    certainty = Certainty.SURE if sure else Certainty.LIKELY
    air.claims.append(Claim(name, fit.speed, reading.unit, certainty, why, scale=reading.scale))


def _as_told(options: list[AirOption], told: Mapping[str, str]) -> list[AirOption]:
    """Return the options that a person named, or all when that names none of them."""
    return [option for option in options if told.get(option[0]) == option[1].unit] or options


def _options(air: AirStudy, fit: AirFit, expected: float | None) -> list[AirOption]:
    """Return what one airspeed column may be, in which unit, and how far off that is."""
    names = {claim.field for claim in air.claims}
    size = abs(fit.factor)
    options = []
    for reading in speeds(fit.speed):
        excess = size / reading.factor()
        if abs(excess - 1.0) < UNIT_TOLERANCE:
            options.append(("true_airspeed_kt", reading, abs(excess - 1.0)))
        if expected is None and 0.99 < excess < 1.6:  # noqa: PLR2004 - up to some 30,000 ft
            options.append(("indicated_airspeed_kt", reading, 0.03))
        elif expected is not None and abs(excess / expected - 1.0) < 0.035:  # noqa: PLR2004 - 20 C off standard
            options.append(("indicated_airspeed_kt", reading, abs(excess / expected - 1.0)))
    return [option for option in options if option[0] not in names]


def _claim_open(air: AirStudy, column: Column, options: Sequence[AirOption], why: str, *, height_known: bool) -> None:
    """Claim an airspeed whose unit is open: true in one is indicated in another, at one height."""
    first, *others = (
        Claim(name, column, reading.unit, Certainty.OPEN, why, scale=reading.scale) for name, reading, _ in options
    )
    air.claims.append(first.among(others))
    if height_known:
        said = " or ".join(f"{plain(claim.field)} in {claim.unit}" for claim in (first, *others))
        air.cannot_tell.append(
            f"airspeed: {column.label()} is {said}: at this height the two are alike; listen again 3,000 ft "
            "lower, or choose in the layout"
        )
        return
    units = " or ".join(dict.fromkeys(claim.unit for claim in (first, *others)))
    air.cannot_tell.append(
        f"airspeed: {column.label()} is in {units}, by the altitude, which is not known; it is told with it"
    )
