"""A file with a weather report, read once or watched: whatever writes it may write it anew at any time.

The first report in the file counts: from METAR, SPECI or the first line on, to an empty line, an = or the next report.
"""

import re
from dataclasses import dataclass
from pathlib import Path

from otherseat.advisories.weather_report import Weather
from otherseat.config.errors import ConfigError
from otherseat.config.weather import read_report

MOST_BYTES = 100_000
REPORT = re.compile(r"(?:\b(?:METAR|SPECI)\b.+?|\S.+?)(?==|\n\s*\n|\b(?:METAR|SPECI)\b|\Z)", re.DOTALL)


def read_report_file(file: Path) -> str:
    """Return the text of the first report in a file, or raise ConfigError."""
    try:
        with file.open("rb") as stream:
            content = stream.read(MOST_BYTES + 1)
        text = content.decode("utf-8")
    except OSError as error:
        reason = (error.strerror or type(error).__name__).lower()
        raise ConfigError(file=str(file), key="", problem=f"can't be read: {reason}") from error
    except UnicodeDecodeError as error:
        raise ConfigError(file=str(file), key="", problem=f"is not UTF-8 at byte {error.start}") from error
    if len(content) > MOST_BYTES:
        raise ConfigError(file=str(file), key="", problem="is too long for a weather report")
    start = re.search(r"\b(METAR|SPECI)\b", text)
    found = REPORT.match(text, start.start() if start else len(text) - len(text.lstrip()))
    if found is None:
        raise ConfigError(file=str(file), key="", problem="there is no report")
    return " ".join(found[0].split())


@dataclass(slots=True)
class WatchedReport:
    """A report file that is looked at again and again; `look` says when there is a new report."""

    file: Path
    _stamp: tuple[int, int] | None = None
    _text: str | None = None

    def look(self) -> Weather | None:
        """Return the report when it has changed since the last look, else None.

        Raises ConfigError or ReportError, once for each state of the file. A file that isn't there yet is no error.
        """
        try:
            about = self.file.stat()
        except OSError:
            self._stamp = None
            return None
        stamp = about.st_mtime_ns, about.st_size
        if stamp == self._stamp:
            return None
        self._stamp = stamp
        text = read_report_file(self.file)
        if text == self._text:
            return None
        weather = read_report(text)
        self._text = text
        return weather
