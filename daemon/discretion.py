"""Discretion: takes out of a report what is nobody else's business, so that it may go into a bug report as it is.

Taken out   the home folder (~), the person's and the machine's name, and whatever else is named as private
Kept        addresses and ports, versions, counts: what a fault is found by
"""

import contextlib
import getpass
import re
import socket
from collections.abc import Iterable, Mapping
from pathlib import Path

SHORTEST = 2
"""Shorter names would be found inside everything."""


class Discretion:
    """What must not be told, each with what stands in its place."""

    def __init__(self) -> None:
        self._instead: dict[str, str] = {}
        self.hide([str(Path.home()), Path.home().as_posix()], "~")
        self.hide([_person()], "<person>")
        self.hide([socket.gethostname(), socket.gethostname().partition(".")[0]], "<machine>")

    def hide(self, names: Iterable[str], instead: str) -> None:
        """Have these names replaced from now on, where they stand as words of their own."""
        self._instead |= {name: instead for name in names if len(name) >= SHORTEST and name != "localhost"}

    def of(self, line: str) -> str:
        """Return the line without them; longer names first, so that a folder goes before the name in it."""
        return _replaced(line, self._instead)


def _replaced(line: str, instead: Mapping[str, str]) -> str:
    names = sorted(instead, key=len, reverse=True)
    pattern = "|".join(re.escape(name) for name in names)
    return re.sub(rf"(?<!\w)(?:{pattern})(?!\w)", lambda found: instead[found.group()], line) if names else line


def _person() -> str:
    with contextlib.suppress(OSError, KeyError, ImportError):
        return getpass.getuser()
    return ""
