"""Words: numbers as a person reads them on a card."""


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
