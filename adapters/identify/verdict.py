"""What the study says: claims about columns, how sure, and why."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from enum import StrEnum
from typing import Any

from otherseat.adapters.identify.columns import Column, Shape


class Certainty(StrEnum):
    """How far a claim can be trusted."""

    SURE = "sure"
    """Two independent laws of motion agree, and nothing else in the stream fits as well."""
    LIKELY = "likely"
    """It fits, but so would something else; written into the layout, check it."""
    OPEN = "open"
    """Its unit or its meaning can't be told; every choice stands in the layout as a comment, to take one."""


KNOWN_NAMES = {"latitude_deg": "position", "longitude_deg": "position"}


def plain(field: str) -> str:
    """Return the name of a field as a pilot says it."""
    return KNOWN_NAMES.get(field) or field.rpartition("_")[0].replace("_", " ")


def within_words(off: float, *, decimals: int = 1) -> str:
    """Return how well a law fits, in words; never within nothing, for no measured thing fits so well."""
    return f"within {max(off, 10.0 ** -(decimals + 2)):.{decimals}%}"


@dataclass(frozen=True, slots=True)
class Claim:
    """One column taken for one field."""

    field: str
    column: Column
    unit: str
    certainty: Certainty
    why: str
    scale: float = 1.0
    sign: int = 1
    others: tuple["Claim", ...] = ()
    """Open: what the same column may be just as well."""

    def among(self, others: Sequence["Claim"]) -> "Claim":
        """Return this claim with what the column may be just as well."""
        return replace(self, others=tuple(others))

    def place(self) -> dict[str, Any]:
        """Return the place as a layout says it."""
        said: dict[str, Any] = {**self.column.place, "unit": self.unit}
        if self.scale != 1.0:
            said["scale"] = self.scale
        if self.sign != 1:
            said["sign"] = self.sign
        return said


@dataclass(slots=True)
class Verdict:
    """Everything that the study found out about one stream."""

    shape: Shape | None = None
    claims: list[Claim] = field(default_factory=list)
    known_as: str = ""
    """The adapter of an open standard that reads this stream."""
    cannot_tell: list[str] = field(default_factory=list)
    """What stays open, with the reason and what to fly to find out."""
    advice: str = ""
    """What helps when no layout came out, where that isn't to fly what was not flown."""
    unexplained: list[str] = field(default_factory=list)
    """Columns that vary and that nothing here explains."""
    up_and_down: bool = False
    """The altitude is known, and went both ways: what changes with it was looked for."""
    pace: float = 1.0
    """How many seconds of the stream's own clock went by in a second."""
    facts: Mapping[str, Any] = field(default_factory=dict)
    """Counts: datagrams, seconds, rate."""

    def found(self) -> bool:
        """Say whether a layout came out that is worth having: at least a position."""
        return {"latitude_deg", "longitude_deg"} <= {claim.field for claim in self.written()}

    def written(self) -> list[Claim]:
        """Return the claims that a layout relies on."""
        return [claim for claim in self.claims if claim.certainty is not Certainty.OPEN]

    def open(self) -> list[Claim]:
        """Return the claims that wait for a person."""
        return [claim for claim in self.claims if claim.certainty is Certainty.OPEN]

    def claim(self, name: str) -> Claim | None:
        """Return the claim for a field."""
        return next((claim for claim in self.claims if claim.field == name), None)
