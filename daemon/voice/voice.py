"""The voice contract: text in, sound out. Voices register in the entry-point group otherseat.voices.

A voice is used from one thread at a time and opens no device. A voice whose package is not installed raises
VoiceError when it is made, with one line that says what to install.
"""

import difflib
from collections.abc import Callable
from dataclasses import dataclass
from importlib.metadata import EntryPoint, PackageNotFoundError, entry_points, version
from typing import Protocol

import numpy as np
from numpy.typing import NDArray
from pydantic import BaseModel, ConfigDict, Field

GROUP = "otherseat.voices"
SILENT = "none"

Samples = NDArray[np.float32]
"""One channel, full scale is -1 to 1."""


class VoiceError(Exception):
    """A voice that can't be used; the message says what to do about it."""


@dataclass(frozen=True, slots=True)
class Audio:
    """Sound: one channel of float32 samples, and how many of them make a second."""

    samples: Samples
    rate_hz: int

    @property
    def duration_s(self) -> float:
        """Return how long it lasts."""
        return len(self.samples) / self.rate_hz


class Manner(BaseModel):
    """How a voice speaks."""

    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    words_per_minute: int = Field(175, ge=80, le=400)
    pitch: int = Field(50, ge=0, le=99)
    """Middle of the voice is 50. A voice without a pitch leaves it alone."""
    language: str = Field("en-us", pattern=r"^[A-Za-z]{2,3}([-_][A-Za-z0-9-]+)?$")


class Voice(Protocol):
    """Something that speaks."""

    @property
    def name(self) -> str:
        """Return the entry point's name."""
        ...

    @property
    def identity(self) -> str:
        """Return what, with the text, decides the sound: the name, the version of its package, the manner."""
        ...

    def synthesise(self, *, text: str) -> Audio:
        """Return the text as sound, or raise VoiceError."""
        ...

    def close(self) -> None:
        """Give everything back."""
        ...


@dataclass(frozen=True, slots=True)
class VoicePlugin:
    """What an entry point in the group otherseat.voices names."""

    name: str
    summary: str
    make: Callable[[Manner], Voice]


def identity_of(*, name: str, packages: tuple[str, ...], manner: Manner) -> str:
    """Return a voice's identity from the packages that make its sound."""
    found = []
    for package in packages:
        try:
            found.append(f"{package} {version(package)}")
        except PackageNotFoundError:  # found on the path without its metadata
            found.append(package)
    return " ".join([name, *found, manner.model_dump_json()])


def installed() -> dict[str, EntryPoint]:
    """Return the entry points of every registered voice, by name."""
    return {entry.name: entry for entry in entry_points(group=GROUP)}


def registered(name: str) -> EntryPoint:
    """Return the entry point of a voice without loading it, or raise VoiceError with the nearest names."""
    known = installed()
    if name not in known:
        nearest = difflib.get_close_matches(name, known, n=1) or sorted(known)
        raise VoiceError(f"no voice is called {name!r}; nearest: {', '.join(nearest)}")
    return known[name]


def make_voice(*, name: str, manner: Manner | None = None) -> Voice:
    """Return the voice of that name, or raise VoiceError with what to do."""
    entry = registered(name)
    try:
        plugin: VoicePlugin = entry.load()
    except ImportError as fault:
        raise VoiceError(f"voice {name}: {fault}") from fault
    return plugin.make(manner or Manner())
