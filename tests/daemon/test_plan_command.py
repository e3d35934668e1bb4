"""`otherseat plan` against a running daemon."""

from collections.abc import Iterator
from pathlib import Path

import pytest
from click.testing import CliRunner, Result

from otherseat.config import known_runways
from otherseat.daemon.plan_command import plan
from tests.running import Daemon, running

LINE = "ZZKN/07 > ZZPS/27L alt 3500 app 65 hold ZZPS inbound 210 right"


@pytest.fixture(autouse=True)
def no_world(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Know the packaged airfields only, whatever this machine's user has."""
    monkeypatch.setattr(known_runways, "own_folder", lambda: tmp_path)
    monkeypatch.setattr(known_runways, "packaged_tables", lambda: None)


@pytest.fixture(scope="module")
def daemon() -> Iterator[Daemon]:
    """Run one daemon for these tests."""
    with running() as started:
        yield started


def run(*words: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(plan, words)


def test_give_change_show(daemon: Daemon) -> None:
    """A plan is given in one line, changed in flight, and shown as the daemon has it."""
    bus = ("--feed", daemon.feed, "--desk", daemon.desk)

    assert f"{LINE}\n" == run(*bus, LINE).output
    assert f"{LINE.replace('27L', '27R')}\n" == run(*bus, "runway", "27R").output
    assert f"{LINE.replace('27L', '27R').replace('3500', '2500')}\n" == run(*bus, "alt", "2500").output
    with daemon.client() as client:
        assert client.ask("plan.get").plan.destination == "ZZPS/27R"
    assert run(*bus).output == run(*bus, "alt", "2500").output


def test_check() -> None:
    """A plan can be looked at without a daemon."""
    assert run("--check", LINE).output == f"{LINE}\n"


def test_file(tmp_path: Path) -> None:
    """A plan in TOML does as well."""
    file = tmp_path / "plan.toml"
    file.write_text('destination = "ZZPS"\n[[route]]\nname="P"\nlatitude_deg=1\nlongitude_deg=2', encoding="utf-8")

    assert run("--check", "--file", str(file)).output == "> P@1,2 > ZZPS\n"


def test_a_low_cruise(daemon: Daemon, tmp_path: Path) -> None:
    """Hardly above an airfield, or below one, is said, by line, file and daemon, and refused nowhere. ZZPS: 164 ft."""
    bus = ("--feed", daemon.feed, "--desk", daemon.desk)
    file = tmp_path / "plan.toml"
    file.write_text('departure = "ZZPS/09L"\ndestination = "ZZKN/07"\ncruise_altitude_ft = 100\n', encoding="utf-8")
    remark = "the cruise at 200 ft is only 36 ft above ZZPS\n"
    below = "the cruise at 160 ft is not above ZZPS, which lies at 164 ft\n"

    assert "the cruise at 100 ft is not above ZZPS" in run("--check", "--file", str(file)).output
    assert below == run(*bus, "ZZKN/07 > ZZPS/27L alt 160").output.partition("\n")[2]
    assert f"ZZKN/07 > ZZPS/27L alt 200\n{remark}" == run("--check", "ZZKN/07 > ZZPS/27L alt 200").output
    assert f"ZZKN/07 > ZZPS/27L alt 200\n{remark}" == run(*bus, "ZZKN/07 > ZZPS/27L alt 200").output
    assert "ZZKN/07 > ZZPS/27L alt 664\n" == run("--check", "ZZKN/07 > ZZPS/27L alt 664").output


@pytest.mark.parametrize(
    ("words", "code", "expected"),
    [
        (
            ["--check", "ZZPS/28"],
            2,
            "otherseat: ZZPS has no runway 28; it has 09L, 09R, 18, 27L, 27R, 36\n  ZZPS/28\n       ^^\n",
        ),
        (["--check"], 2, "otherseat: a plan needs at least a destination, such as ZZPS/27L\n"),
        (["--check", "drop", "alt"], 2, "there is no plan to change yet"),
        (["--check", "--file", "none.toml"], 2, "otherseat: none.toml: can't be read: no such file or directory\n"),
        (["--file", "none.toml", "ZZPS"], 2, "otherseat: give the plan in words or as a file, not both\n"),
        (["--desk", "tcp://127.0.0.1:9", "ZZPS"], 1, "Error: no daemon answers at tcp://127.0.0.1:9: start one with "),
    ],
)
def test_wrong(words: list[str], code: int, expected: str) -> None:
    """What can't be done is said in one line, with the caret where a word is wrong."""
    result = run(*words)

    assert code == result.exit_code
    assert expected in result.output
