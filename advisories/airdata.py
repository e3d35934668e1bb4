"""What a picture needs of the air: airspeeds and wind, each with its source.

True airspeed  reported; else computed from indicated airspeed, pressure altitude and temperature (compressible); for a
               pressure altitude that nothing tells, the altitude there is stands in: 20 hPa from the standard setting
               are 550 ft or 0.8 percent of the airspeed; else, without a temperature, the pilot's rule of thumb, the
               jet's above 18,000 ft and the propeller's below
Indicated      reported; else computed the other way round, from a reported true airspeed: the calibrated one, for the
               instrument's own error is not told. Not without a temperature: 20 C from the standard are 3.5 percent,
               about what an approach may be too slow
Wind           reported; else from the triangle of true airspeed, heading, groundspeed and track, in steady flight; by
               rule of thumb when the airspeed is
Altitude       true altitude as reported; else from the indicated one, the setting and the temperature, held to be as
               far from ISA down to the station as here (air.true_altitude_ft); without a temperature or a station the
               indicated one as it is, which cold air makes too high a number
"""

from otherseat.advisories import air, rules_of_thumb
from otherseat.advisories.picture import Source
from otherseat.advisories.real import DomainError
from otherseat.advisories.state import State
from otherseat.advisories.wind_filter import WindFilter

REPORTED_ERROR_FT = 40.0
"""A true altitude that a simulator reports, against the threshold's elevation in somebody else's table."""
ALTIMETER_ERROR_FT = 75.0 + 27.0
"""What FAA AIM 7-2-3 accepts of an altimeter before flight, and a hectopascal in its setting."""
JET_RULE_FROM_FT = 18_000.0


def altitude_ft(state: State, *, station_elevation_ft: float | None = None) -> tuple[float, Source] | tuple[None, None]:
    """Return the best altitude above mean sea level and where it comes from.

    station_elevation_ft is that of the airfield whose setting the altimeter has; None when no airfield is known.
    """
    if state.altitude_ft is not None:
        return state.altitude_ft, Source.REPORTED
    shown_ft = state.indicated_altitude_ft
    if shown_ft is None:
        return None, None
    if state.outside_air_temperature_c is None or station_elevation_ft is None:
        return shown_ft, Source.COMPUTED
    try:
        true_ft = air.true_altitude_ft(
            indicated_altitude_ft=shown_ft,
            altimeter_hpa=state.altimeter_hpa or air.SEA_LEVEL_HPA,
            temperature_c=state.outside_air_temperature_c,
            station_elevation_ft=station_elevation_ft,
        )
    except DomainError:  # above the atmosphere that the formula knows
        true_ft = shown_ft
    return true_ft, Source.COMPUTED


def altitude_error_ft(source: Source | None) -> float:
    """Return how wrong an altitude from there may be, and nothing be wrong."""
    return ALTIMETER_ERROR_FT if source is Source.COMPUTED else REPORTED_ERROR_FT


def pressure_altitude_ft(state: State) -> float | None:
    """Return the pressure altitude as reported, or from the altimeter and its setting."""
    if state.pressure_altitude_ft is not None:
        return state.pressure_altitude_ft
    if state.indicated_altitude_ft is None or state.altimeter_hpa is None:
        return None
    return air.pressure_altitude_ft(
        indicated_altitude_ft=state.indicated_altitude_ft, altimeter_hpa=state.altimeter_hpa
    )


def true_airspeed_kt(state: State) -> tuple[float, Source] | tuple[None, None]:
    """Return the best true airspeed and where it comes from."""
    if state.true_airspeed_kt is not None:
        return state.true_airspeed_kt, Source.REPORTED
    indicated_kt, pressure_ft = state.indicated_airspeed_kt, _pressure_altitude_or_so_ft(state)
    if indicated_kt is None or pressure_ft is None:
        return None, None
    if state.outside_air_temperature_c is not None:
        try:
            return (
                air.true_airspeed_kt(
                    calibrated_airspeed_kt=indicated_kt,
                    pressure_altitude_ft=pressure_ft,
                    temperature_c=state.outside_air_temperature_c,
                ),
                Source.COMPUTED,
            )
        except DomainError:  # supersonic, or above 20 km: the formulas end there, the aircraft flies on
            return None, None
    rule = (
        rules_of_thumb.jet_true_airspeed_kt
        if pressure_ft >= JET_RULE_FROM_FT
        else rules_of_thumb.propeller_true_airspeed_kt
    )
    return rule(indicated_airspeed_kt=indicated_kt, pressure_altitude_ft=pressure_ft), Source.RULE_OF_THUMB


def indicated_airspeed_kt(state: State) -> tuple[float, Source] | tuple[None, None]:
    """Return the best indicated airspeed and where it comes from."""
    if state.indicated_airspeed_kt is not None:
        return state.indicated_airspeed_kt, Source.REPORTED
    pressure_ft = _pressure_altitude_or_so_ft(state)
    if state.true_airspeed_kt is None or state.outside_air_temperature_c is None or pressure_ft is None:
        return None, None
    try:
        calibrated_kt = air.calibrated_airspeed_kt(
            true_airspeed_kt=state.true_airspeed_kt,
            pressure_altitude_ft=pressure_ft,
            temperature_c=state.outside_air_temperature_c,
        )
    except DomainError:  # as above: the formulas end there
        return None, None
    return calibrated_kt, Source.COMPUTED


def _pressure_altitude_or_so_ft(state: State) -> float | None:
    """Return the pressure altitude, or the altitude that stands in for it."""
    pressure_ft = pressure_altitude_ft(state)
    if pressure_ft is not None:
        return pressure_ft
    return state.indicated_altitude_ft if state.indicated_altitude_ft is not None else state.altitude_ft


class WindMemory:
    """The wind over time: reported, or learnt in steady flight."""

    def __init__(self) -> None:
        self._filter = WindFilter()

    def step(
        self,
        *,
        state: State,
        true_airspeed_kt: float | None,
        airspeed_source: Source | None,
        heading_true_deg: float | None,
    ) -> tuple[float, float, Source] | tuple[None, None, None]:
        """Return wind from (true), speed, and where they come from."""
        if state.wind_from_true_deg is not None and state.wind_speed_kt is not None:
            return state.wind_from_true_deg, state.wind_speed_kt, Source.REPORTED
        if (
            true_airspeed_kt is not None
            and heading_true_deg is not None
            and state.groundspeed_kt is not None
            and state.track_true_deg is not None
            and not state.on_ground
        ):
            self._filter.step(
                time_s=state.time_s,
                true_airspeed_kt=true_airspeed_kt,
                heading_true_deg=heading_true_deg,
                groundspeed_kt=state.groundspeed_kt,
                track_true_deg=state.track_true_deg,
            )
        learnt = self._filter.wind
        if learnt is None:
            return None, None, None
        return *learnt, Source.RULE_OF_THUMB if airspeed_source is Source.RULE_OF_THUMB else Source.COMPUTED
