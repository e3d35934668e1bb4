"""`otherseat weather`."""

from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from otherseat.config import known_runways
from otherseat.daemon.weather_command import weather
from tests.running import running

REPORT = "METAR ZZPS 121755Z 07016G24KT 9999 BKN002 06/04 Q1013 GARBAGE"


@pytest.fixture(autouse=True)
def no_world(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Know the packaged airfields only, whatever this machine's user has."""
    monkeypatch.setattr(known_runways, "own_folder", lambda: tmp_path)
    monkeypatch.setattr(known_runways, "packaged_tables", lambda: None)


def run(*words: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(weather, words)


def test_whole() -> None:
    """The report is written, and as it is read out; every end is told, and what disagrees is told last."""
    plan = "ZZPS/27L da 600 aircraft light-single"
    lines = run("--for", plan, "--altimeter", "1021", *REPORT.split()).output.splitlines()

    assert lines[0] == "Port Sallow, observed at 1755 UTC."
    assert lines[1] == "Wind 070 degrees, 16 knots, gusting 24."
    assert "  Wind zero seven zero degrees, one six knots, gusting two four." in lines
    assert "Not understood: GARBAGE." in lines
    ends = [line for line in lines if " at worst " in line]
    assert {"09L", "09R"} == {line.split()[0] for line in ends[:2]}
    assert ends[0].endswith("the wind favours it")
    assert len(ends) == 6
    assert all(len(line) <= 80 for line in ends)
    assert [
        "The altimeter is set to 1021, the report says 1013: it shows 200 feet too high.",
        "The ceiling is at 364 feet of altitude, below the decision altitude: 600 feet.",
        "Runway 27L has up to 24 knots of tailwind; the wind favours 09R.",
    ] == lines[-3:]


def test_file(tmp_path: Path) -> None:
    """The report may stand in a file, and the plan too; inches are understood."""
    (tmp_path / "report.txt").write_text(f"{REPORT}=", encoding="utf-8")
    (tmp_path / "plan.toml").write_text('destination = "ZZKN"', encoding="utf-8")
    told = run("--file", str(tmp_path / "report.txt"), "--plan", str(tmp_path / "plan.toml"), "--altimeter", "29.92")

    assert told.output.splitlines()[-1] == "The report is of ZZPS, the plan goes to ZZKN."


def test_send_and_watch(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """A report goes to the running daemon's plan; a watched file's goes there again whenever it is a new one."""
    file = tmp_path / "report.txt"
    file.write_text(REPORT, encoding="utf-8")
    reports = iter(["ZZPS 121855Z 09010KT Q1009", "spoilt", "ZZPS 121955Z 09010KT Q1008"])

    def wait(_seconds: float) -> None:
        """Write the next report instead of waiting, and interrupt after the last."""
        try:
            file.write_text(next(reports), encoding="utf-8")
        except StopIteration:
            raise KeyboardInterrupt from None

    monkeypatch.setattr("otherseat.daemon.weather_command.time.sleep", wait)
    with running() as daemon:
        bus = ("--feed", daemon.feed, "--desk", daemon.desk)
        sent = run(*bus, "--send", f"{REPORT} RMK AO2")
        with daemon.client() as client:
            assert REPORT == client.ask("plan.get").plan.weather
        watched = run(*bus, "--watch", "--file", str(file))
        with daemon.client() as client:
            assert client.ask("plan.get").weather.altimeter_hpa == 1_008.0

    assert sent.output.endswith("handed to the daemon: ZZPS\n")
    assert watched.output.count("handed to the daemon: ZZPS\n") == 3
    assert "otherseat: a report begins with its station's four letters, such as ZZPS, not with SPOILT" in watched.output


def test_unknown_station() -> None:
    """A report of an airfield that nobody knows is written and read out all the same."""
    told = run("ZZQQ 00000KT Q1013").output.splitlines()

    assert told == [
        "ZZQQ.",
        "Wind calm.",
        "Altimeter 1013 hectopascals.",
        "",
        "As it is read out:",
        "  ZZQQ.",
        "  Wind calm.",
        "  Altimeter one zero one three hectopascals.",
        "No airfield is called ZZQQ: no runways to compare with.",
    ]


@pytest.mark.parametrize(
    ("words", "expected"),
    [
        ([], "otherseat: give the report in words or as a file\n"),
        (["--watch", REPORT], "otherseat: --watch needs a --file to watch\n"),
        (["sunny"], "otherseat: a report begins with its station's four letters, such as ZZPS, not with SUNNY\n"),
        (["--file", "none.txt"], "otherseat: none.txt: can't be read: no such file or directory\n"),
        (["--for", "ZZPS", "--plan", "x", REPORT], "otherseat: give the plan as a line or as a file, not both\n"),
        (
            ["--for", "ZZPZ", REPORT],
            "otherseat: no airfield is called ZZPZ; did you mean ZZPS or ZZKN?\n  ZZPZ\n  ^^^^\n",
        ),
    ],
)
def test_wrong(words: list[str], expected: str) -> None:
    """What can't be used is one line, exit code 2."""
    result = run(*words)

    assert (2, expected) == (result.exit_code, result.output)
