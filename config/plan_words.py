"""The words of a line: a cursor over them, numbers with units, and errors that point at a word."""

import re
from typing import NamedTuple

TOKEN = re.compile(r">|[^\s>]+")
NUMBER = re.compile(r"(?P<number>[-+]?(\d+(,\d{3})*|\d*)(\.\d+)?)(?P<unit>[A-Za-z°%/]*)")
LEVEL = re.compile(r"FL(\d{2,3})", re.IGNORECASE)

UNITS = frozenset({"ft", "kt", "kts", "deg", "min", "m", "mph", "km/h", "kmh", "km", "nm", "hpa", "s", "mach"})
"""What a person may write after a number."""
MINUTES = "min"
SAME_UNIT = {"kts": "kt"}


class Token(NamedTuple):
    """A word and where it stands."""

    word: str
    start: int

    @property
    def end(self) -> int:
        """Return where it ends."""
        return self.start + len(self.word)


class PlanLineError(ValueError):
    """What is wrong with a line, and where; as text: the reason, the line, and a caret under the word."""

    def __init__(self, *, problem: str, line: str, start: int, end: int) -> None:
        self.problem = problem
        self.start = start
        self.end = end
        caret = " " * start + "^" * max(1, end - start)
        super().__init__(f"{problem}\n  {line}\n  {caret}" if line else problem)


class Measure(NamedTuple):
    """A clause that is one number."""

    key: str
    unit: str
    spoken_unit: str
    example: str


class Words:
    """The words of one line, read from left to right."""

    def __init__(self, line: str) -> None:
        self.line = " ".join(line.split())
        self.tokens = [Token(found[0], found.start()) for found in TOKEN.finditer(self.line)]
        self.at = 0
        self.number_at = Token("", 0)
        """Where the latest number stood."""

    def next(self) -> Token:
        """Return the next word, which is there."""
        token = self.tokens[self.at]
        self.at += 1
        return token

    def maybe_next(self) -> Token | None:
        """Return the next word, or None at the end."""
        return self.next() if self.at < len(self.tokens) else None

    def peek(self) -> str:
        """Return the next word in small letters without taking it; empty at the end."""
        return self.tokens[self.at].word.lower() if self.at < len(self.tokens) else ""

    def need(self, problem: str, *, after: Token) -> Token:
        """Return the next word, or raise the problem."""
        token = self.maybe_next()
        if token is None:
            raise self.error(problem, after)
        return token

    def error(self, problem: str, token: Token | None) -> PlanLineError:
        """Make the error that points at a word."""
        start, end = (token.start, token.end) if token is not None else (0, min(len(self.line), 1))
        return PlanLineError(problem=problem, line=self.line, start=start, end=end)

    def number(self, measure: Measure, *, after: Token) -> float:
        """Read a number, with its unit or without."""
        token = self.maybe_next()
        if token is None or token.word == ">":
            raise self.error(
                f"{after.word.lower()} needs a number of {measure.spoken_unit}, such as {measure.example}", after
            )
        self.number_at = token
        level = LEVEL.fullmatch(token.word)
        if level and measure.unit == "ft":
            return 100.0 * float(level[1])
        found = NUMBER.fullmatch(token.word)
        try:
            value = float(found["number"].replace(",", "")) if found else float("nan")
        except ValueError:
            found = None
        if found is None or (found["unit"] and found["unit"].lower() not in UNITS):
            raise self.error(f"{after.word.lower()} needs a number of {measure.spoken_unit}, not {token.word}", token)
        self._check_unit(found["unit"], measure=measure, after=after, token=token)
        return value

    def _check_unit(self, glued: str, *, measure: Measure, after: Token, token: Token) -> None:
        unit = glued
        if not unit and self._is_unit(measure):
            token = self.next()
            unit = token.word
        unit = unit.lower()
        if unit and SAME_UNIT.get(unit, unit) != measure.unit:
            raise self.error(f"{after.word.lower()} is in {measure.unit}, not in {unit}", token)

    def _is_unit(self, measure: Measure) -> bool:
        """Say whether the next word is the number's unit: min is a word of the grammar as well."""
        if self.peek() != MINUTES:
            return self.peek() in UNITS
        beyond = self.tokens[self.at + 1].word if self.at + 1 < len(self.tokens) else ""
        return measure.unit == MINUTES and not beyond[:1].isdigit()
