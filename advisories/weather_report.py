"""Weather: what a report says, in the units of the house. Reading the report's text is config/weather.py's work.

Wind directions are true, as in every written report. Heights are above the airfield. What the report does not say is
None; what in it could not be read stands in `unread`, word by word, and is guessed at nowhere.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class CloudLayer:
    """One layer."""

    cover: str
    """FEW, SCT, BKN or OVC."""
    base_ft: float | None
    """Above the airfield; None when the report does not say."""
    kind: str | None = None
    """CB or TCU."""


@dataclass(frozen=True, slots=True)
class Weather:
    """One report of an airfield's weather."""

    text: str
    """The report as it was issued."""
    station: str
    """The airfield's ident."""
    day: int | None = None
    """Day of the month."""
    time_utc: str | None = None
    """Four figures."""
    automatic: bool = False
    """Made without an observer."""
    special: bool = False
    """Issued out of turn."""
    wind_from_true_deg: float | None = None
    """None when it is variable, calm, or not said."""
    wind_speed_kt: float | None = None
    """0 when calm."""
    gust_kt: float | None = None
    """The highest; left out without gusts."""
    wind_varies_deg: tuple[float, float] | None = None
    """Clockwise from the first to the second, true."""
    visibility_m: float | None = None
    """In metres, also when reported in miles."""
    visibility_miles: float | None = None
    """Statute miles, as reported, when it was reported in miles."""
    visibility_bound: str = ""
    """more or less when the number is only a bound."""
    runway_visual_range: tuple[str, ...] = ()
    """As written, runway by runway."""
    clouds: tuple[CloudLayer, ...] = ()
    """The layers, as reported, lowest first."""
    vertical_visibility_ft: float | None = None
    """Into a sky that is hidden."""
    sky_clear: bool = False
    """The report says that there is no cloud to report."""
    phenomena: tuple[str, ...] = ()
    """Groups of present weather as written, such as +TSRA."""
    temperature_c: float | None = None
    """Of the air."""
    dew_point_c: float | None = None
    """At which the air would be moist."""
    altimeter_hpa: float | None = None
    """Altimeter setting in hPa, also when reported in inches."""
    altimeter_inhg: float | None = None
    """As reported, when it was reported in inches."""
    trend: str | None = None
    """What is expected, as written."""
    unread: tuple[str, ...] = ()
    """Words of the report that were not understood."""

    @property
    def calm(self) -> bool:
        """Say whether the wind is reported as calm."""
        return self.wind_speed_kt == 0.0

    @property
    def ceiling_ft(self) -> float | None:
        """Lowest layer that covers more than half the sky, or the vertical visibility; None when there is none."""
        bases = [layer.base_ft for layer in self.clouds if layer.cover in {"BKN", "OVC"} and layer.base_ft is not None]
        if self.vertical_visibility_ft is not None:
            bases.append(self.vertical_visibility_ft)
        return min(bases, default=None)
