"""Phrasebook: from a phrase key and its values to a sentence, on the screen and in the ear.

A phrase is a template such as "High, {height_above_path_ft:height}.[ Sink {sink_to_regain_fpm:rate}.]". After the
colon stands the form (see voice/spoken.py). A part in square brackets is left out when a value inside it is missing.
A plain number may stand in place of a value's name: {500:height}. A phrase file has two tables, [phrases] and
[words]; a user's file may hold only the phrases that it changes, or a whole language.
"""

import difflib
import math
import re
import tomllib
from collections.abc import Mapping
from dataclasses import dataclass
from importlib.resources import files
from pathlib import Path
from typing import Any, Literal

import structlog
from pydantic import BaseModel, ConfigDict, ValidationError

from otherseat.advisories.levels import Values
from otherseat.daemon.voice.spoken import FORMS, Form, Sentence, Value, Words

__all__ = ["PhraseError", "Phrasebook", "Sentence"]

PACKAGED = "phrases.toml"
GROUP = re.compile(r"\[([^\[\]]*)\]")
VALUE = re.compile(r"\{([^{}:]+):([a-z]+)\}")
_NOTHING = Sentence("", "")
AHEAD: Mapping[Form, tuple[float, ...]] = {
    FORMS["height"]: (200.0, *(float(height_ft) for height_ft in range(50, 1_001, 50))),
    FORMS["rate"]: (650.0, *(float(rate_fpm) for rate_fpm in range(300, 1_501, 50))),
}
"""The values of which a sentence is made ahead; the first stands in while another varies."""

log = structlog.get_logger(__name__)


class PhraseError(ValueError):
    """A phrase file that can't be used: names the file, the key, and the nearest valid choice."""


class _MissingValueError(Exception):
    """A value that the template names has not come."""


class _File(BaseModel):
    model_config = ConfigDict(frozen=True, extra="forbid", defer_build=True)

    phrases: dict[str, str] = {}
    words: Words | None = None


@dataclass(frozen=True, slots=True)
class _Slot:
    name: str
    form: Form

    def fill(self, *, values: Values, words: Words) -> Sentence:
        value = values.get(self.name)
        if value is None:
            value = _number(self.name)
        if value is None or (not isinstance(value, str) and not math.isfinite(value)):
            raise _MissingValueError(self.name)
        return self.form(words, value)


@dataclass(frozen=True, slots=True)
class _Part:
    """Literals and slots in turn; an optional part vanishes when a value is missing."""

    pieces: tuple[Sentence | _Slot, ...]
    optional: bool

    def fill(self, *, values: Values, words: Words) -> Sentence:
        if len(self.pieces) == 1 and isinstance(self.pieces[0], Sentence):
            return self.pieces[0]
        try:
            filled = [p if isinstance(p, Sentence) else p.fill(values=values, words=words) for p in self.pieces]
        except _MissingValueError:
            if self.optional:
                return _NOTHING
            raise
        return _joined(filled)


class Phrasebook:
    """Every phrase of one language."""

    def __init__(self, *, phrases: Mapping[str, str], words: Words) -> None:
        self.templates: Mapping[str, str] = dict(phrases)
        self.words = words
        self._templates = {key: _parse(template) for key, template in phrases.items()}
        self._reported: set[str] = set()

    @classmethod
    def load(
        cls,
        path: Path | None = None,
        extra: Mapping[str, str] | None = None,
        *,
        digits: Literal["plain", "icao"] = "plain",
    ) -> "Phrasebook":
        """Return the packaged phrases, with the user's file over them and plug-ins' own (extra) beneath them.

        digits: "icao" says tree, fower, fife, niner. Raises PhraseError when a file can't be used; a plug-in's
        template that can't be used is logged and left out.
        """
        packaged = _read(name=PACKAGED, content=files("otherseat.config").joinpath(PACKAGED).read_text("utf-8"))
        words, phrases = packaged.words, {**_usable(extra or {}), **packaged.phrases}
        if path is not None:
            own = _read(name=str(path), content=_file_text(path))
            words, phrases = own.words or words, {**phrases, **own.phrases}
        if words is None:
            raise PhraseError(f"{PACKAGED}: the table [words] is missing")
        if digits == "icao":
            words = words.model_copy(update={"digits": words.digits_icao})
        return cls(phrases=phrases, words=words)

    @property
    def keys(self) -> frozenset[str]:
        """Return every phrase key."""
        return frozenset(self._templates)

    def names(self, phrase: str) -> tuple[tuple[str, bool], ...]:
        """Return the value names of a phrase, each with whether it may be missing."""
        return tuple(
            (piece.name, part.optional)
            for part in self._templates[phrase]
            for piece in part.pieces
            if isinstance(piece, _Slot) and _number(piece.name) is None
        )

    def ahead(self) -> list[str]:
        """Return the speech of the sentences that are few enough to make ready before they are needed.

        Those are the phrases without values, and every height and rate of those with nothing else in them.
        """
        sure = []
        for phrase, parts in self._templates.items():
            slots = [piece for part in parts for piece in part.pieces if isinstance(piece, _Slot)]
            if all(slot.form in AHEAD for slot in slots):
                sure += [self.compose(phrase=phrase, values=values).speech for values in _few(slots)]
        return sure

    def compose(self, *, phrase: str, values: Mapping[str, float | str | None]) -> Sentence:
        """Return the sentence. Never raises: what can't be composed becomes the key in plain words, reported once."""
        try:
            present = _present(values)
            told = [part.fill(values=present, words=self.words) for part in self._templates[phrase]]
        except (KeyError, ValueError, OverflowError, IndexError, _MissingValueError) as fault:
            self._report(phrase=phrase, fault=fault)
            plain = phrase.replace("-", " ").replace(".", " ").strip().capitalize() + "."
            return Sentence(plain, plain)
        text, speech = _joined(told)
        text = text.strip()
        if text.endswith("."):  # a whole sentence, whatever value stands first in it
            text = text[:1].upper() + text[1:]
        return Sentence(text, speech.strip())

    def _report(self, *, phrase: str, fault: Exception) -> None:
        if phrase not in self._reported:
            self._reported.add(phrase)
            log.warning("phrase can't be composed", phrase=phrase, fault=repr(fault))


def _few(slots: list[_Slot]) -> list[dict[str, Value]]:
    """Return values that vary one slot at a time, so that every clause comes up."""
    first: dict[str, Value] = {slot.name: AHEAD[slot.form][0] for slot in slots}
    return [first, *({**first, slot.name: value} for slot in slots for value in AHEAD[slot.form][1:])]


def _joined(sentences: list[Sentence]) -> Sentence:
    if len(sentences) == 1:
        return sentences[0]
    texts, speeches = zip(*sentences, strict=True)
    return Sentence("".join(texts), "".join(speeches))


def _present(values: Mapping[str, float | str | None]) -> dict[str, Value]:
    return {name: value for name, value in values.items() if value is not None}


def _number(name: str) -> float | None:
    try:
        return float(name)
    except ValueError:
        return None


def _parse(template: str) -> tuple[_Part, ...]:
    """Split a template into its parts, or raise PhraseError."""
    parts = []
    for index, section in enumerate(GROUP.split(template)):
        pieces: list[Sentence | _Slot] = []
        literals = VALUE.split(section)
        for literal, name, form in zip(literals[::3], [*literals[1::3], ""], [*literals[2::3], ""], strict=True):
            if set(literal) & set("[]{}"):
                raise PhraseError(f"a bracket stands alone in {template!r}; a value is {{name:form}}")
            pieces.append(Sentence(literal, literal))
            if name:
                pieces.append(_Slot(name=name, form=_form(form)))
        parts.append(_Part(pieces=tuple(pieces), optional=index % 2 == 1))
    return tuple(parts)


def _form(name: str) -> Form:
    if name not in FORMS:
        nearest = difflib.get_close_matches(name, FORMS, n=1) or sorted(FORMS)
        raise PhraseError(f"no form is called {name!r}; nearest: {', '.join(nearest)}")
    return FORMS[name]


def _usable(extra: Mapping[str, str]) -> dict[str, str]:
    good = {}
    for key, template in extra.items():
        try:
            _parse(template)
        except PhraseError as fault:
            log.warning("phrase can't be used", phrase=key, fault=str(fault))
        else:
            good[key] = template
    return good


def _file_text(path: Path) -> str:
    try:
        return path.read_text("utf-8")
    except (OSError, UnicodeDecodeError) as fault:
        raise PhraseError(f"{path}: {fault}") from fault


def _read(*, name: str, content: str) -> _File:
    try:
        raw: dict[str, Any] = tomllib.loads(content)
        read = _File.model_validate(raw)
    except tomllib.TOMLDecodeError as fault:
        raise PhraseError(f"{name}: {fault}") from fault
    except ValidationError as fault:
        first = fault.errors()[0]
        raise PhraseError(f"{name}: {'.'.join(map(str, first['loc']))}: {first['msg']}") from fault
    for key, template in read.phrases.items():
        try:
            _parse(template)
        except PhraseError as fault:
            raise PhraseError(f"{name}: phrases.{key}: {fault}") from fault
    return read
