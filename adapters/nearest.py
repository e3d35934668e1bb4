"""The nearest valid choice, for errors that a person can act on."""

import difflib
from collections.abc import Iterable


def nearest(word: str, choices: Iterable[str]) -> str:
    """Return the choice most like the word, or all of them when none is."""
    names = sorted(choices)
    close = difflib.get_close_matches(word, names, n=1, cutoff=0.4)
    return close[0] if close else " | ".join(names)
