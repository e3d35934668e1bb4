"""Topic: the published cases of one subject, and the functions of ours that answer them.

A case is a table of inputs, a table of expected values and their tolerances. An answer is a function whose keyword-only
parameters are a case's inputs, by name; it returns values by the names that the case expects. A case that nothing of
ours answers must be left out by name, with a reason, so that none is dropped in silence.
"""

import inspect
import tomllib
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

import pytest

DATA = Path(__file__).parent / "data"
Answers = Mapping[str, Any]
ROUNDING = 1e-9
"""What double precision may add to a tolerance, as a share of the value."""
SMALLEST = 1e-12
"""What it may make of a nought."""
DIRECTIONS = ("heading_deg", "track_deg", "wind_from_deg", "azimuth_deg", "azimuth1_deg", "azimuth2_deg", "course_deg")


@dataclass(frozen=True)
class Case:
    """One published case."""

    id: str
    quantity: str
    inputs: Mapping[str, Any]
    expect: Mapping[str, Any]
    tolerance: Mapping[str, float]
    source: str

    @property
    def labels(self) -> tuple[str, ...]:
        """What a case may be left out by."""
        return (self.id, self.quantity, self.quantity.partition(":")[0], str(self.inputs.get("method", "")))


@dataclass(frozen=True)
class Judged:
    """One expected value and what we have for it."""

    case: Case
    key: str
    expected: Any
    ours: Any
    error: float
    tolerance: float

    @property
    def share(self) -> float:
        """The error as a share of what is allowed; above 1 it misses."""
        size = abs(self.expected) if isinstance(self.expected, int | float) else 0.0
        return self.error / (self.tolerance + ROUNDING * size + SMALLEST)


@dataclass
class Topic:
    """The cases of one file and our answers to them."""

    name: str
    left_out: Mapping[str, str] = field(default_factory=dict)
    """Case ids, methods or quantities that nothing of ours answers, each with the reason."""
    unjudged: Mapping[str, str] = field(default_factory=dict)
    """Expected names that we have no word for, each with the reason."""
    _answers: list[Callable[..., Answers]] = field(default_factory=list)
    _by_method: dict[frozenset[str], Mapping[str, Callable[..., Answers]]] = field(default_factory=dict)

    def answer(self, function: Callable[..., Answers]) -> Callable[..., Answers]:
        """Register an answer."""
        self._answers.append(function)
        return function

    def answer_by_method(self, **functions: Callable[..., Answers]) -> None:
        """Register answers to the same inputs that a case chooses between by its method."""
        first = next(iter(functions.values()))
        self._by_method[frozenset(inspect.signature(first).parameters)] = functions

    def cases(self) -> list[Case]:
        """Return every case of the file."""
        with (DATA / f"{self.name}.toml").open("rb") as file:
            read = tomllib.load(file)
        return [Case(**{name: case[name] for name in Case.__dataclass_fields__}) for case in read["case"]]

    def reason(self, case: Case) -> str | None:
        """Return why a case is left out, or None when it is judged."""
        return next((self.left_out[label] for label in case.labels if label in self.left_out), None)

    def judged_cases(self) -> list[Case]:
        """Return the cases that are not left out."""
        return [case for case in self.cases() if self.reason(case) is None]

    def judge(self, case: Case) -> Iterator[Judged]:
        """Yield every expected value of a case beside ours."""
        ours = self._ours(case)
        for key, expected in case.expect.items():
            if key not in self.unjudged:
                yield from _judge(case, key, expected, ours[key])

    def misses(self, case: Case) -> list[Judged]:
        """Return the values that are further off than the tolerance."""
        return [judged for judged in self.judge(case) if judged.share > 1.0]

    def parametrize(self, test: Callable[..., None]) -> Callable[..., None]:
        """Run a test once for every judged case."""
        cases = self.judged_cases()
        marked: Callable[..., None] = pytest.mark.parametrize("case", cases, ids=[case.id for case in cases])(test)
        return marked

    def _ours(self, case: Case) -> Answers:
        given = {name: value for name, value in case.inputs.items() if name != "method"}
        chosen = self._by_method.get(frozenset(given), {}).get(case.inputs.get("method", ""))
        if chosen is not None:
            return chosen(**given)
        for function in self._answers:
            parameters = inspect.signature(function).parameters
            needed = {name for name, p in parameters.items() if p.default is inspect.Parameter.empty}
            if needed <= given.keys() <= parameters.keys():
                return function(**given)
        raise LookupError(f"{case.id}: nothing answers {sorted(given)}")


def _judge(case: Case, key: str, expected: Any, ours: Any) -> Iterator[Judged]:
    if key.endswith("_any_of"):
        yield Judged(case, key, expected, ours, 0.0 if _among(ours, expected) else float("inf"), 0.0)
    elif isinstance(expected, list) and not isinstance(expected[0] if expected else "", str | dict):
        assert len(expected) == len(ours), f"{case.id}: {key} has {len(ours)} values"
        for one, our in zip(expected, ours, strict=True):
            yield Judged(case, key, one, our, abs(one - our), case.tolerance.get(key, 0.0))
    elif isinstance(expected, str | bool | list):
        yield Judged(case, key, expected, ours, 0.0 if expected == ours else float("inf"), 0.0)
    else:
        error = abs(ours - expected)
        if key.endswith(DIRECTIONS):
            error = min(error % 360.0, -error % 360.0)
        yield Judged(case, key, expected, ours, error, case.tolerance.get(key, 0.0))


def _among(ours: Any, expected: list[Any]) -> bool:
    return set(ours) == set(expected) if isinstance(ours, frozenset | set) else ours in expected
