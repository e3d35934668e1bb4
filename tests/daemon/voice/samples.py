"""Values such as phrases get, by the kind that their names promise."""

import random

from otherseat.advisories.gates import IN_WORDS
from otherseat.daemon.phrasebook import Phrasebook

CHOICES = {
    "side": ["left", "right"],
    "entry": ["direct", "parallel", "teardrop"],
    "reason": [*IN_WORDS.values()],
    "unjudged": ("speed unknown",),
    "fix": ["ZZKN", "ZZPS"],
    "destination": ["ZZKN", "ZZPS"],
    "advisory": ["glidepath"],
    "source": ["rule of thumb"],
}
SPANS = {
    "target_altitude_ft": (1_000, 13_000),
    "altitude_ft": (1_000, 13_000),
    "gate_height_ft": (500, 1_000),
    "_ft": (50, 1_900),
    "_fpm": (200, 1_500),
    "path_angle_deg": (3, 9),
    "intercept_angle_deg": (20, 80),
    "_deg": (1, 360),
    "_nm": (0.5, 19),
    "true_airspeed_kt": (65, 240),
    "_hpa": (960, 1_045),
    "_kt": (5, 45),
    "_s": (60, 7_000),
}


def sample_values(*, phrasebook: Phrasebook, phrase: str, dice: random.Random) -> dict[str, float | str]:
    """Return a value for every name in the phrase."""
    return {name: _sample(name=name, dice=dice) for name, _ in phrasebook.names(phrase)}


def _sample(*, name: str, dice: random.Random) -> float | str:
    if name in CHOICES:
        return dice.choice(CHOICES[name])
    if name.endswith("_runway"):
        field = f"ZZ{dice.choice('KPTR')}{dice.choice('NSAB')}"
        return f"{field}/{dice.randint(1, 36):02}{dice.choice(['', '', 'L', 'R', 'C'])}"
    return dice.uniform(*next(span for end, span in SPANS.items() if name.endswith(end)))
