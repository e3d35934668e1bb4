"""The advisory contract: one cross-check, one file, one entry point.

An advisory is a class with a method `look`. The method's keyword-only parameters are its list of needs, read once by
the engine: names of fields of State, Picture or Reference (the picture's wins over the state's). A parameter
without a default is needed: while it is missing or stale the advisory is not asked and its alerts count as gone.
A parameter whose default is None is used when there. `look` returns what is true now; holds, margins, repeats
and phases are the business of attention. It may remember earlier looks; after a jump the engine makes a new one.
"""

import inspect
from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, field
from typing import Any, Protocol
from weakref import WeakKeyDictionary

from pydantic import BaseModel, ConfigDict

from otherseat.advisories.levels import Finding
from otherseat.advisories.picture import PICTURE_FIELDS, REFERENCE_FIELDS
from otherseat.advisories.state import STATE_FIELDS

VOCABULARY = STATE_FIELDS | PICTURE_FIELDS | REFERENCE_FIELDS
"""Every name that an advisory may ask for."""


class Params(BaseModel):
    """Base of an advisory's thresholds: frozen, bounded, an unknown key is an error."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)


class Looker(Protocol):
    """What `Advisory.make` returns: the check for one aircraft."""

    @property
    def look(self) -> Callable[..., Iterable[Finding]]:
        """The method whose keyword-only parameters are the needs."""
        ...


@dataclass(frozen=True, slots=True)
class Advisory:
    """What an entry point in the group otherseat.advisories names."""

    name: str
    alerts: tuple[str, ...]
    """Every alert that it may find."""
    params: type[Params]
    make: Callable[[Any], Looker]
    phrases: Mapping[str, str] = field(default_factory=dict)
    """Own wording for plug-ins from elsewhere; config/phrases.toml wins."""


class NeedsError(ValueError):
    """An advisory whose parameters can't be a list of needs."""


@dataclass(frozen=True, slots=True)
class Needs:
    """What an advisory must have, and what it uses when there."""

    required: tuple[str, ...]
    optional: tuple[str, ...]

    @classmethod
    def of(cls, *, name: str, look: Callable[..., Iterable[Finding]]) -> "Needs":
        """Read the list from the method's parameters, or raise NeedsError. Read once, for every aircraft's engine."""
        plain = inspect.unwrap(look)
        method = getattr(plain, "__func__", plain)
        if method not in _READ:
            _READ[method] = cls._read(name=name, look=look)
        return _READ[method]

    @classmethod
    def _read(cls, *, name: str, look: Callable[..., Iterable[Finding]]) -> "Needs":
        parameters = inspect.signature(look).parameters.values()
        for parameter in parameters:
            if parameter.kind is not inspect.Parameter.KEYWORD_ONLY:
                raise NeedsError(f"advisory {name}: parameter {parameter.name} of look must be keyword-only")
            if parameter.name not in VOCABULARY:
                raise NeedsError(f"advisory {name}: nothing is called {parameter.name}")
        return cls(
            required=tuple(p.name for p in parameters if p.default is inspect.Parameter.empty),
            optional=tuple(p.name for p in parameters if p.default is not inspect.Parameter.empty),
        )


_READ: WeakKeyDictionary[Callable[..., Any], Needs] = WeakKeyDictionary()
"""By the function behind the method, for as long as that is there: reading a signature takes a quarter millisecond."""
