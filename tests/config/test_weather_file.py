"""A watched report file."""

import os
from pathlib import Path

import pytest

from otherseat.config.errors import ConfigError
from otherseat.config.weather import ReportError
from otherseat.config.weather_file import WatchedReport, read_report_file

REPORT = "METAR ZZPS 121755Z 21016KT 9999 Q1013"


@pytest.mark.parametrize(
    "content",
    [
        REPORT,
        f"\n\n{REPORT}=\n",
        f"2026/11/25 17:55\n{REPORT}\n",
        "METAR ZZPS 121755Z 21016KT\n      9999 Q1013=\nMETAR ZZKN 121755Z 00000KT 9999 Q1010=",
        f"{REPORT}\n\nanything else",
        f"{REPORT} SPECI ZZPS 121815Z 00000KT",
    ],
)
def test_first_report(tmp_path: Path, content: str) -> None:
    """The first report counts, whatever stands before and after it."""
    file = tmp_path / "report.txt"
    file.write_text(content, encoding="utf-8")

    assert REPORT == read_report_file(file)


@pytest.mark.parametrize(
    ("content", "expected"),
    [
        (b"", "there is no report"),
        (b" \n ", "there is no report"),
        (b"\xff", "is not UTF-8 at byte 0"),
        (b"A" * 100_001, "is too long for a weather report"),
    ],
)
def test_bad_files(tmp_path: Path, content: bytes, expected: str) -> None:
    """A file without a report is one line with its name."""
    file = tmp_path / "report.txt"
    file.write_bytes(content)

    with pytest.raises(ConfigError) as caught:
        read_report_file(file)

    assert f"{file}: {expected}" == str(caught.value)


def test_watch(tmp_path: Path) -> None:
    """A report is given once, when it is new; a spoilt file complains once and doesn't undo what was read."""
    file, stamps = tmp_path / "report.txt", iter(range(1, 10))
    watched = WatchedReport(file)

    def write(content: str) -> None:
        file.write_text(content, encoding="utf-8")
        stamp = next(stamps)
        os.utime(file, (stamp, stamp))

    assert watched.look() is None
    write(REPORT)
    first = watched.look()
    assert first is not None
    assert first.altimeter_hpa == 1_013.0
    assert watched.look() is None
    write(REPORT + "\n")
    assert watched.look() is None
    write("nonsense")
    with pytest.raises(ReportError):
        watched.look()
    assert watched.look() is None
    write(REPORT.replace("1013", "1014"))
    second = watched.look()
    assert second is not None
    assert second.altimeter_hpa == 1_014.0
    file.unlink()
    assert watched.look() is None
