"""How `otherseat identify` ends: when nothing came, when nothing was found, and when a layout was written."""

import itertools
import shlex
from pathlib import Path

import pytest
from click.testing import CliRunner

from otherseat.adapters.identify.report import WHAT_TO_FLY
from otherseat.daemon.cli import cli
from otherseat.daemon.identify_command import identify, listen, run_identify
from tests.adapters.flown import flight
from tests.adapters.test_identify_lacking import no_speed
from tests.daemon.test_capture_command import kept
from tests.daemon.test_identify_command import EVERY, Simulator, at_once, simulator, whole

__all__ = ["at_once", "simulator"]


@pytest.fixture
def hasty(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let five seconds pass whenever a clock is looked at."""
    clock_s = itertools.count(0.0, 5.0)
    for module in ("listen", "identify_command"):
        monkeypatch.setattr(f"otherseat.daemon.{module}.monotonic", lambda: next(clock_s))


@pytest.mark.usefixtures("hasty")
def test_nothing_came(port: int) -> None:
    """To a port nobody sends to: what to look at is said, with the address and the time; flying is not the cure."""
    result = CliRunner().invoke(identify, [str(port), "--seconds", "20"])
    told = result.output.partition(" s at most; now turn, climb, descend, change speed\n")[2]

    assert 1 == result.exit_code
    assert told.startswith(f"Nothing came to 127.0.0.1:{port} in 20 s.\n")
    assert "export switched on" in told
    assert "another program" in told
    assert 2 == len(told.splitlines())


@pytest.mark.usefixtures("hasty")
def test_nothing_came_until_it_was_ended(port: int, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ended by Ctrl-C it says how long it really listened."""

    def ended() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("otherseat.daemon.identify_command.said_once", lambda *_: ended)
    result = CliRunner().invoke(identify, [f"localhost:{port}"])
    explained = " ".join(CliRunner().invoke(identify, ["--help"]).output.split())

    assert 1 == result.exit_code
    assert f"Nothing came to localhost:{port} in 15 s." in result.output
    assert "Ctrl-C ends it too, and what came so far is worked out" in explained


@pytest.mark.usefixtures("at_once")
def test_what_may_yet_be_found_is_not_said_to_be_missing(
    port: int, simulator: Simulator, capsys: pytest.CaptureFixture[str]
) -> None:
    """While it listens no groundspeed is found so far; at the end the stream has none."""
    with simulator.sending([row for _, row in no_speed(flight(1))][::EVERY]):
        datagrams = listen(str(port), seconds=90.0, units={})
    told = capsys.readouterr().out
    run_identify(datagrams, None, endpoint=str(port), units={}, asks=False)

    assert "no groundspeed is found so far" in told
    assert "in the stream" not in told
    assert "there is no groundspeed in the stream" in capsys.readouterr().out


def test_how_long_to_fly_is_said_beforehand() -> None:
    """The half minute of climb and of descent, which the laws need, stands in the help and in the README."""
    explained = CliRunner().invoke(identify, ["--help"]).output
    readme = (Path(__file__).parents[2] / "README.md").read_text(encoding="utf-8")

    for text in (explained, readme):
        assert WHAT_TO_FLY in " ".join(text.split())


def test_datagrams_with_nothing_in_them(tmp_path: Path) -> None:
    """Without a byte in them they are not counted as if they were a stream."""
    result = CliRunner().invoke(identify, [str(kept(tmp_path, [(1e9, b""), (1e9 + 1.0, b"")]))])

    assert 1 == result.exit_code
    assert "Nothing found: no datagram came that has anything in it.\n" == result.output


def test_the_last_line_shows_the_numbers(tmp_path: Path) -> None:
    """The command in the last line, typed as it stands, shows heading and airspeed through the layout just written."""
    folder = tmp_path / "my flights"
    folder.mkdir()
    datagrams = [(1e9 + index * EVERY / 60.0, row) for index, row in enumerate(whole(flight(1)))]
    found = CliRunner().invoke(identify, [str(kept(folder, datagrams)), "--write", str(folder / "mine.toml")])
    words = shlex.split(found.output.splitlines()[-1].partition("  ")[2])

    assert ["otherseat", "layout", "check"] == words[:3]

    shown = CliRunner().invoke(cli, words[1:])

    assert 0 == shown.exit_code, shown.output
    assert "heading_true_deg " in shown.output
    assert "indicated_airspeed_kt " in shown.output
