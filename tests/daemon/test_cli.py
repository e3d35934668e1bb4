"""The command line: help that teaches, and errors that help."""

import re
import signal
import subprocess
import sys
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from otherseat.daemon.cli import COMMANDS, LateGroup, cli
from otherseat.daemon.extras import how_to_install
from tests.flights.make import HERE
from tests.running import PATIENCE_S, otherseat


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_teaches(command: str) -> None:
    """The help of each command has an example, and fits a terminal of 80 columns."""
    result = CliRunner().invoke(cli, [command, "--help"])

    assert 0 == result.exit_code
    assert re.search(r"Examples?: otherseat", result.output)
    assert [] == [line for line in result.output.splitlines() if len(line) > 80]


def test_the_list_of_commands_has_the_caution() -> None:
    """Whoever asks what there is, is told what it is for."""
    ended = otherseat("--help")

    assert all(command in ended.stdout for command in COMMANDS)
    assert "simulation and training only" in ended.stdout


def test_a_misspelt_command() -> None:
    """The nearest command is named."""
    ended = otherseat("docter")

    assert 2 == ended.returncode
    assert "did you mean doctor?" in ended.stderr


SERVICES = {"fly", "watch", "panel", "relay"}


@pytest.mark.parametrize("command", COMMANDS)
def test_ctrl_c_is_the_same_everywhere(command: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C says the same in every command; a service that is asked to stop did well, work cut short did not."""

    def interrupted() -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(LateGroup, "get_command", lambda *_: click.Command(command, callback=interrupted))
    result = CliRunner().invoke(cli, [command])

    assert (0 if command in SERVICES else 130) == result.exit_code
    assert "\notherseat: stopped\n" == result.stderr


@pytest.mark.parametrize("command", COMMANDS)
def test_ctrl_c_while_a_command_is_imported(command: str, monkeypatch: pytest.MonkeyPatch) -> None:
    """In the first moment, while a command's libraries are still read, Ctrl-C gives the same exit code as later."""

    def interrupted(*_: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr(LateGroup, "get_command", interrupted)
    result = CliRunner().invoke(cli, [command])

    assert (0 if command in SERVICES else 130) == result.exit_code


def test_fly_before_it_is_ready(monkeypatch: pytest.MonkeyPatch) -> None:
    """Ctrl-C while the daemon still reads its files is the same good end."""

    def interrupted(*_: object, **__: object) -> None:
        raise KeyboardInterrupt

    monkeypatch.setattr("otherseat.daemon.fly.read_runways", interrupted)
    result = CliRunner().invoke(cli, ["fly"])

    assert (0, "\notherseat: stopped\n") == (result.exit_code, result.stderr)


@pytest.mark.skipif(sys.platform == "win32", reason="signals of another system")
@pytest.mark.parametrize(
    ("command", "code"),
    [
        (["watch", "--plain", "--feed", "tcp://127.0.0.1:9"], 0),
        (["relay", "--from", "tcp://127.0.0.1:9", "--feed", "tcp://127.0.0.1:*"], 0),
        (["panel", "--port", "0", "--no-qr"], 0),
        (["replay", str(HERE / "demo.mcap"), "--feed", "tcp://127.0.0.1:*", "--desk", "tcp://127.0.0.1:*"], 130),
    ],
    ids=lambda value: value[0] if isinstance(value, list) else str(value),
)
def test_a_real_ctrl_c(command: list[str], code: int) -> None:
    """As a process, interrupted once it has said something, each command ends with these words and this code."""
    with subprocess.Popen(
        [sys.executable, "-m", "otherseat.daemon", *command], stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True
    ) as process:
        assert process.stdout is not None
        process.stdout.readline()
        process.send_signal(signal.SIGINT)
        _, said = process.communicate(timeout=PATIENCE_S)

    assert (code, "otherseat: stopped") == (process.returncode, said.strip().splitlines()[-1])
    assert "Traceback" not in said


@pytest.mark.skipif(sys.platform == "win32", reason="a pipe there is another thing")
def test_a_reader_that_goes(tmp_path: Path) -> None:
    """Who has read enough, as `head` does after its lines, gets no complaint."""
    with subprocess.Popen(
        [sys.executable, "-m", "otherseat.daemon", "debrief", str(HERE / "demo.mcap")],
        cwd=tmp_path,
        stdout=subprocess.PIPE,
        stderr=subprocess.PIPE,
        text=True,
    ) as process:
        assert process.stdout is not None
        process.stdout.close()
        _, said = process.communicate(timeout=PATIENCE_S)

    assert "" == said


EXTRAS = [
    "aerofiles",
    "distributed",
    "espeakng_loader",
    "gpxpy",
    "jinja2",
    "jsbsim",
    "matplotlib",
    "miniaudio",
    "piper",
    "pyarrow",
    "pyttsx3",
    "segno",
    "soundfile",
    "starlette",
    "uvicorn",
    "websockets",
]


def without_extras(program: str, *arguments: str) -> "subprocess.CompletedProcess[str]":
    """Run a program where no extra is installed."""
    return subprocess.run(
        [sys.executable, "-c", f"import sys; sys.modules.update(dict.fromkeys({EXTRAS}))\n{program}", *arguments],
        capture_output=True,
        text=True,
        encoding="utf-8",
        timeout=PATIENCE_S,
        check=False,
    )


def test_help_without_any_extra() -> None:
    """Whoever has installed no extra can still read what each command is for."""
    ended = without_extras(
        """from click.testing import CliRunner
from otherseat.daemon.cli import COMMANDS, cli
for command in COMMANDS:
    result = CliRunner().invoke(cli, [command, "--help"])
    print(command, result.exit_code, result.exception)"""
    )

    assert "" == ended.stderr
    assert [f"{command} 0 None" for command in COMMANDS] == ended.stdout.splitlines()


@pytest.mark.parametrize(
    ("arguments", "extra"),
    [
        (["demo", "--fast"], "demo"),
        (["evaluate"], "demo"),
        (["panel", "--port", "0"], "panel"),
        (["brief", "ZZKN/07 > ZZPS/27L", "--pdf", "none/a.pdf"], "pages"),
        (["debrief", str(HERE / "demo.mcap")], "pages"),
        (["voice", "test"], "voice"),
    ],
    ids=lambda value: value[0] if isinstance(value, list) else value,
)
def test_a_command_that_lacks_its_extra(arguments: list[str], extra: str) -> None:
    """It says in one line which, and how to get it; exit code 2."""
    ended = without_extras("from otherseat.daemon.cli import main; main()", *arguments)

    assert 2 == ended.returncode
    assert ended.stderr.startswith("otherseat: ")
    assert f'"{how_to_install(extra).partition(chr(34))[2]}' in ended.stderr
    assert "Traceback" not in ended.stderr
