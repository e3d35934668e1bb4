"""The command line: help that teaches, and errors that help."""

import re

import pytest

from otherseat.daemon.cli import COMMANDS
from tests.running import otherseat


@pytest.mark.parametrize("command", COMMANDS)
def test_every_command_teaches(command: str) -> None:
    """The help of each command has an example."""
    ended = otherseat(command, "--help")

    assert 0 == ended.returncode
    assert re.search(r"Examples?: otherseat", ended.stdout)


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
