"""Wind words: the parts of a wind along and across a runway, in whole knots.

Rounding  half up, whatever the sign: 15 kt from 30 degrees off have 8 kt across, seen from either end of the runway and
          of its parallel. To the hundredth before, for their courses differ by as little
Nothing   less than half a knot has no side
"""

from otherseat.daemon.voice.spoken import rounded


def knots(speed_kt: float) -> int:
    """Return whole knots without a sign, as the voice has them."""
    return rounded(value=round(abs(speed_kt), 2), step=1)


def sided(speed_kt: float, *, positive: str, negative: str, nothing: str = "0") -> str:
    """Return how a part blows: positive or negative, a template with {} for the knots; or nothing."""
    whole_kt = knots(speed_kt)
    if not whole_kt:
        return nothing
    return (positive if speed_kt > 0.0 else negative).format(whole_kt)
