"""Words: numbers as a person reads them on a card."""

from otherseat.advisories.angles import normal_deg, to_magnetic_deg


def whole(value: float) -> str:
    """Return a whole number, thousands separated."""
    return f"{value:,.0f}"


def signed(value: float) -> str:
    """Return a whole number with its sign when it is below zero."""
    return f"{value:.0f}".replace("-", "\N{MINUS SIGN}")


def feet(value: float, *, per_minute: bool = False) -> str:
    """Return feet, or feet per minute."""
    return f"{value:,.0f} {'fpm' if per_minute else 'ft'}"


def altitude(value_ft: float) -> str:
    """Return an altitude or elevation."""
    return f"{value_ft:,.0f} ft"


def miles(value_nm: float) -> str:
    """Return nautical miles, with tenths."""
    return f"{value_nm:.1f} NM"


def minutes(seconds: float) -> str:
    """Return minutes and seconds."""
    whole_s = round(seconds)
    return f"{whole_s // 60}:{whole_s % 60:02d}"


def direction(true_deg: float, variation_deg: float | None) -> str:
    """Return a direction, magnetic when the variation is known: 001 to 360."""
    shown = true_deg if variation_deg is None else to_magnetic_deg(true_deg, variation_deg)
    degrees = round(normal_deg(shown)) % 360 or 360
    return f"{degrees:03d}° {'true' if variation_deg is None else 'mag'}"
