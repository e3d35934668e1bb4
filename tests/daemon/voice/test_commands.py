"""`otherseat voice` as people run it."""

import wave
from pathlib import Path

import pytest
from click.testing import CliRunner

from otherseat.daemon.client import AskError
from otherseat.daemon.voice.commands import voice
from otherseat.daemon.voice.session import TAIL_S
from tests.running import running

RUNNER = CliRunner()


@pytest.fixture(autouse=True)
def _log_as_it_was(monkeypatch: pytest.MonkeyPatch) -> None:
    """Leave this process's log alone: a command sets it up for a process of its own."""
    monkeypatch.setattr("otherseat.daemon.voice.commands.set_up_log", lambda **_: None)


def length_s(file: Path) -> float:
    """Return how long a WAV file is."""
    with wave.open(str(file), "rb") as heard:
        return heard.getnframes() / heard.getframerate()


def test_say_to_a_file(tmp_path: Path) -> None:
    """A sentence is said into a file, a warning with its tone."""
    for level in ("call", "warning"):
        ended = RUNNER.invoke(
            voice, ["say", "High, two hundred.", "--level", level, "--voice-to", str(tmp_path / f"{level}.wav")]
        )
        assert (0, "") == (ended.exit_code, ended.output)

    assert 0.8 < length_s(tmp_path / "call.wav") - TAIL_S < 2.0
    assert 0.2 < length_s(tmp_path / "warning.wav") - length_s(tmp_path / "call.wav") < 0.4


def test_test_to_a_file(tmp_path: Path) -> None:
    """The test says one sentence of every level, one after the other, after the caution about people."""
    ended = RUNNER.invoke(voice, ["test", "--voice-to", str(tmp_path / "test.wav"), "--rate", "220"])

    assert 0 == ended.exit_code
    assert "simulation and training only" in ended.output
    assert 8.0 < length_s(tmp_path / "test.wav") - TAIL_S < 25.0


def test_devices() -> None:
    """The devices are listed, or that there is none."""
    ended = RUNNER.invoke(voice, ["devices"])

    assert 0 == ended.exit_code
    assert ended.output.strip()


def test_list() -> None:
    """Every registered voice is named."""
    ended = RUNNER.invoke(voice, ["list"])

    assert ["espeak", "none", "piper", "system"] == [line.split()[0] for line in ended.output.splitlines()]


@pytest.mark.parametrize(
    ("options", "message"),
    [
        (["--voice", "espek"], "otherseat: no voice is called 'espek'; nearest: espeak"),
        (["--voice-to", "no-such-folder/a.wav"], "a.wav: "),
    ],
)
def test_what_cannot_be(options: list[str], message: str) -> None:
    """What is wrong is said in one line, with exit code 2."""
    ended = RUNNER.invoke(voice, ["say", "High.", *options])

    assert 2 == ended.exit_code
    assert message in ended.output


@pytest.mark.parametrize("command", ["list", "devices", "test", "say", "set"])
def test_help_teaches(command: str) -> None:
    """Each command's help ends with an example."""
    assert f"Example: otherseat voice {command}" in RUNNER.invoke(voice, [command, "--help"]).output


def test_set_on_a_running_daemon() -> None:
    """The running daemon takes a change of the voice, and refuses one that can't be."""
    with running() as daemon:
        done = RUNNER.invoke(voice, ["set", "--ear", "left", "--volume", "0.5", "--rate", "190", "--desk", daemon.desk])
        with daemon.client() as client, pytest.raises(AskError, match="volume"):
            client.ask("voice", volume=7.0)

    assert (0, "") == (done.exit_code, done.output)


def test_set_nothing() -> None:
    """Without a change there is nothing to do, and that is said."""
    assert "nothing to change" in RUNNER.invoke(voice, ["set"]).output
