"""The nearest valid choice, for errors that a person can act on.

Half a name ("temperature"), its beginning ("alt"), its abbreviation ("oat", "gs_kt") or its parts in another order
("mag_heading") are told by their letters, without a table of synonyms; what is none of these may be a slip of the
finger.
"""

import difflib
from collections.abc import Callable, Iterable

LEAST_INSIDE = 3
"""Fewer letters than these stand in half of all names."""


def nearest(word: str, choices: Iterable[str]) -> str:
    """Return the choice most like the word, or all that are as like it, or all there are when none is."""
    names = sorted(choices)
    return " | ".join(alike(word, names) or names)


def alike(word: str, choices: Iterable[str]) -> list[str]:
    """Return the choices that are most like the word, none when none is."""
    small = {name: name.lower() for name in sorted(choices)}
    for is_meant in WAYS:
        if found := [name for name in small if is_meant(word.lower(), small[name])]:
            return found
    close = difflib.get_close_matches(word.lower(), small.values(), n=1)
    return [name for name in small if small[name] in close]


def has_parts(word: str, name: str) -> bool:
    """Say whether the word is whole parts of the name, such as "temperature" of outside_air_temperature_c."""
    return f"_{word}_" in f"_{name}_"


def begins(word: str, name: str) -> bool:
    """Say whether the name begins with the word."""
    return name.startswith(word)


def is_inside(word: str, name: str) -> bool:
    """Say whether the word stands anywhere in the name."""
    return len(word) >= LEAST_INSIDE and word in name


def abbreviates(word: str, name: str) -> bool:
    """Say whether the word's letters stand in the name in this order, and both begin alike: "oat", "gs_kt"."""
    rest = iter(name)
    return word[:1] == name[:1] and all(letter in rest for letter in word)


def shuffles(word: str, name: str) -> bool:
    """Say whether all of the word's parts begin parts of the name, in whatever order: "mag_heading"."""
    return all(any(part.startswith(piece) for part in name.split("_")) for piece in word.split("_"))


WAYS: tuple[Callable[[str, str], bool], ...] = (
    lambda word, name: begins(f"{word}_", f"{name}_"),
    has_parts,
    begins,
    is_inside,
    abbreviates,
    shuffles,
    lambda word, name: abbreviates(name, word),  # the other way round: "knots" for kt
)
"""The best first."""
