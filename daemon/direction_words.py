"""Direction words: a direction as a screen and a card have it, magnetic when the variation is known."""

from otherseat.advisories.angles import normal_deg, to_magnetic_deg


def direction(true_deg: float, variation_deg: float | None) -> str:
    """Return a direction, magnetic when the variation is known: 001 to 360."""
    shown = true_deg if variation_deg is None else to_magnetic_deg(true_deg, variation_deg)
    degrees = round(normal_deg(shown)) % 360 or 360
    return f"{degrees:03d}° {'true' if variation_deg is None else 'mag'}"
