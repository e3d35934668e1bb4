"""`otherseat weather`."""

import re
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from otherseat.config import known_runways
from otherseat.daemon.cli import cli
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
    head = next(number for number, line in enumerate(lines) if line.split()[:1] == ["end"])
    assert lines[head] == " end  along, kt  across from, kt  at worst, kt"
    ends = lines[head + 1 : head + 7]
    assert {"09L", "09R"} == {line.split()[0] for line in ends[:2]}
    assert ends[0].endswith("favoured")
    assert lines[head + 7] == ""
    assert all(len(line) <= 80 for line in ends)
    assert [
        "The altimeter is set to 1021, the report says 1013: it shows 220 feet too high.",
        "The ceiling is at 364 feet of altitude, below the decision altitude: 600 feet.",
        "Runway 27L has up to 24 knots of tailwind; the wind favours 09R.",
    ] == lines[-3:]


AIRFIELD = """
[[airfield]]
ident = "ZZHN"
name = "High North"
latitude_deg = 61.25
longitude_deg = -44.82
elevation_ft = 50
"""
RUNWAY = """
[[airfield.runway]]
length_ft = 4861
width_ft = 100
ends = [
 {{ runway = "{0}", latitude_deg = {2}, longitude_deg = -44.838630, elevation_ft = 50 }},
 {{ runway = "{1}", latitude_deg = {2}, longitude_deg = -44.810909, elevation_ft = 50 }},
]
"""


def test_the_same_wind_on_both_ends(tmp_path: Path) -> None:
    """Half a knot reads alike on opposite ends and parallels, also where their courses are not quite opposite."""
    file = tmp_path / "own.toml"
    runways = RUNWAY.format("11R", "29L", 61.25), RUNWAY.format("11L", "29R", 61.2533)
    file.write_text(AIRFIELD + "".join(runways), encoding="utf-8")
    wind = "METAR ZZHN 300120Z 30015G25KT 9999 BKN015 12/04 Q1003"
    told = run("--airfields", str(file), *wind.split()).output
    settings = tmp_path / "settings.toml"
    settings.write_text(f"[airfields]\nworld = false\nfiles = ['{file.as_posix()}']\n", encoding="utf-8")
    brief = CliRunner().invoke(cli, ["brief", "ZZHN/29L", "--settings", str(settings), "--wind", "300/15"]).output

    assert {"29L": "right 8", "29R": "right 8", "11L": "left 8", "11R": "left 8"} == {
        found[1]: found[2] for found in re.finditer(r"^ *(29.|11.) .*?((?:left|right) \d+)", told, re.MULTILINE)
    }
    assert 4 == len(re.findall(r"across 13", told))
    assert (2, 2) == (len(re.findall(r"8 from right", brief)), len(re.findall(r"8 from left", brief)))


@pytest.mark.parametrize(
    ("station", "plan", "marked"),
    [
        ("ZZPS", "ZZKN/07 > ZZPS/27L", {"27L": "planned landing"}),
        ("ZZKN", "ZZKN/07 > ZZPS/27L", {"07": "planned take-off, favoured"}),
        ("ZZKN", "ZZKN/07 > ZZKN/07", {"07": "planned take-off, planned landing, favoured"}),
        ("ZZPS", "ZZKN/07 > ZZPS", {}),
    ],
)
def test_the_plan_s_runways_are_marked(station: str, plan: str, marked: dict[str, str]) -> None:
    """Whoever looks for his runway finds it in the table, and what it is for."""
    lines = run("--for", plan, f"METAR {station} 121755Z 07016KT Q1013").output.splitlines()
    rows = [re.split(r"  +", line.strip()) for line in lines if re.match(r" *\d\d[LR]?  ", line)]
    marks = {row[0]: row[-1] for row in rows if "planned" in row[-1]}

    assert marked == marks
    assert len(rows) == {"ZZPS": 6, "ZZKN": 4}[station]


def test_a_report_of_another_place_is_told() -> None:
    """The daemon takes any report for the arrival: whoever hands it another place's, or has no plan, is told so."""
    with running("--plan", "ZZKN/07 > ZZPS/27L") as daemon:
        bus = ("--feed", daemon.feed, "--desk", daemon.desk, "--send")
        other = run(*bus, "ZZKN 121755Z 07016KT Q1013").output.splitlines()
        own = run(*bus, REPORT).output.splitlines()
    with running() as daemon:
        none = run("--feed", daemon.feed, "--desk", daemon.desk, "--send", REPORT).output.splitlines()

    assert other[-1] == (
        "handed to the daemon: ZZKN, but its plan goes to ZZPS: "
        "the wind and the altimeter setting count for the arrival there"
    )
    assert own[-1] == "handed to the daemon: ZZPS"
    assert none[-1] == "handed to the daemon: ZZPS; its plan has no destination yet, and the report counts for any"


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
    with running("--plan", "ZZKN/07 > ZZPS/27L") as daemon:
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
