"""Telling: everything that any advisory asks for, read once a step from picture, reference and state.

Which object has which name is settled when the engine is made; a step is three reads and a dictionary, and each
advisory then picks its own. Asking by name for each advisory apart took a third of the engine's time.
"""

from collections.abc import Callable, Iterable
from operator import attrgetter
from typing import Any

from otherseat.advisories.advisory import Needs
from otherseat.advisories.picture import PICTURE_FIELDS, REFERENCE_FIELDS, Picture, Reference
from otherseat.advisories.state import State

Told = dict[str, Any]


class Telling:
    """The names that a set of advisories asks for."""

    def __init__(self, needs: Iterable[Needs]) -> None:
        wanted = {name for one in needs for name in one.required + one.optional}
        picture = sorted(wanted & PICTURE_FIELDS)
        reference = sorted((wanted & REFERENCE_FIELDS) - PICTURE_FIELDS)
        state = sorted(wanted - PICTURE_FIELDS - REFERENCE_FIELDS)
        self._names = (*picture, *reference, *state)
        self._picture, self._reference, self._state = _reader(picture), _reader(reference), _reader(state)

    def tell(self, *, picture: Picture, reference: Reference, state: State) -> Told:
        """Return every name with its value; None for what is not there."""
        values = (*self._picture(picture), *self._reference(reference), *self._state(state))
        return dict(zip(self._names, values, strict=True))


def pick(*, needs: Needs, told: Told) -> tuple[Told, tuple[str, ...]]:
    """Return the values of the needs that are there, and the names of the required ones that are not."""
    for name in needs.required:
        if told[name] is None:
            return {}, tuple(one for one in needs.required if told[one] is None)
    values = {name: told[name] for name in needs.required}
    for name in needs.optional:
        value = told[name]
        if value is not None:
            values[name] = value
    return values, ()


def _reader(names: list[str]) -> Callable[[Any], tuple[Any, ...]]:
    """Return what reads the names from an object, as a tuple however many they are."""
    if not names:
        return lambda _: ()
    read = attrgetter(*names)
    return read if len(names) > 1 else lambda thing: (read(thing),)
