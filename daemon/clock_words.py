"""Clock words: a moment of the simulator's time as a person reads it, the same on every screen, page and line.

clock_words   h:mm:ss of the second that has begun; hours from 0 to 23, for some simulators count from 1970

A second is never rounded up: what was said at 640.9 s was said in the second 0:10:40, wherever one looks.
"""

import math

DAY_S = 86_400
CLOCK_WIDTH = 8
"""Columns of the longest."""


def clock_words(time_s: float) -> str:
    """Return the moment as hours, minutes and seconds; time_s is the simulator's time in seconds."""
    seconds = math.floor(time_s) % DAY_S
    return f"{seconds // 3_600}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
