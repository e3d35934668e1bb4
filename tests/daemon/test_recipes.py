"""The recipes for running in the background, held against what the systems' own tools make of them."""

import configparser
import os
import plistlib
import re
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from otherseat.daemon.cli import cli
from otherseat.daemon.fly import fly
from otherseat.daemon.unusable import EXIT_UNUSABLE

PAGE = (Path(__file__).parents[2] / "daemon" / "hardening.md").read_text(encoding="utf-8")


def block(language: str, beginning: str) -> str:
    """Return the block of a language whose text begins so."""
    found = [text for text in re.findall(rf"```{language}\n(.*?)```", PAGE, re.DOTALL) if text.startswith(beginning)]
    assert 1 == len(found)
    return str(found[0])


UNIT = block("ini", "[Unit]")
AGENT = block("xml", "<?xml")
TASK = block("bat", ">")


def assert_flies(command: list[str]) -> None:
    """See that a command line is one of ours that our own parser takes."""
    assert "otherseat" == Path(command[0]).name
    assert "fly" == command[1]
    assert fly is cli.get_command(cli.make_context("otherseat", ["fly", "--help"], resilient_parsing=True), "fly")
    fly.make_context("fly", command[2:])


def test_the_unit() -> None:
    """The service runs our command, starts again after a fault and not after what it can't use."""
    unit = configparser.ConfigParser(interpolation=None)
    unit.optionxform = str  # type: ignore[assignment,method-assign]  # keys are written as they are
    unit.read_string(UNIT)
    service = unit["Service"]

    assert_flies(service["ExecStart"].split())
    assert ("on-failure", str(EXIT_UNUSABLE)) == (service["Restart"], service["RestartPreventExitStatus"])
    assert "default.target" == unit["Install"]["WantedBy"]


@pytest.mark.skipif(shutil.which("systemd-analyze") is None, reason="no systemd here")
def test_the_unit_by_systemd(tmp_path: Path) -> None:
    """Systemd's own check finds nothing to say about it, and does find a key that is misspelt."""
    program = str(Path(sys.executable).resolve())
    good = UNIT.replace("%h/.local/bin/otherseat", program)
    (tmp_path / "good.service").write_text(good, encoding="utf-8")
    (tmp_path / "bad.service").write_text(good.replace("Restart=", "Restrat="), encoding="utf-8")

    def said(name: str) -> str:
        ended = subprocess.run(
            ["systemd-analyze", "--user", "--man=no", "verify", str(tmp_path / f"{name}.service")],
            capture_output=True,
            text=True,
            check=False,
            env={**os.environ, "XDG_RUNTIME_DIR": str(tmp_path)},
        )
        assert 0 == ended.returncode, ended.stderr
        return "\n".join(line for line in ended.stderr.splitlines() if name in line)

    assert "" == said("good")
    assert "Restrat" in said("bad")


def test_the_agent() -> None:
    """The property list can be read; it runs our command and keeps its log where the rotation looks for it."""
    agent = plistlib.loads(AGENT.encode())
    rotated = re.search(r"`(/Users/me/\S+) 644 5 1024 \* J`", PAGE)

    assert_flies(agent["ProgramArguments"])
    assert agent["RunAtLoad"] is True
    assert f"~/Library/LaunchAgents/{agent['Label']}.plist" in PAGE
    assert rotated is not None
    assert rotated[1] == agent["StandardErrorPath"]


def test_the_task() -> None:
    """The file that is written runs our command with its log beside it; the task runs that file at every log-on."""
    written = [line.strip() for line in TASK.splitlines() if line.strip().startswith("echo ")]
    file = re.search(r'^> "(.*)" \($', TASK, re.MULTILINE)
    made = re.search(r'^schtasks /create /tn (\w+) /sc onlogon /tr "(.*)"$', TASK, re.MULTILINE)
    run = re.fullmatch(r'echo @(otherseat .*?) 2\^>"(%%USERPROFILE%%.*\.log)"', written[-1])

    assert file is not None
    assert made is not None
    assert file[1] == made[2]
    assert run is not None
    assert_flies(run[1].split())
    assert f'"{run[2]}"' in written[0]


def test_how_it_gets_there() -> None:
    """Both tools install from the folder, as no index of packages has it, to where the unit and the agent look."""
    assert 'uv tool install ".[voice]"' in PAGE
    assert 'pipx install ".[voice]"' in PAGE
    assert "ExecStart=%h/.local/bin/" in UNIT
    assert "/.local/bin/otherseat" in AGENT
