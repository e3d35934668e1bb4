"""Shell completion, as the shells call it."""

import os
import subprocess
import sys

import pytest


def complete(words: str) -> set[str]:
    """Return what the shell would offer for the last of these words."""
    asked = {"COMP_WORDS": words, "COMP_CWORD": str(len(words.split()) - 1), "_OTHERSEAT_COMPLETE": "bash_complete"}
    program = "from otherseat.daemon.cli import cli; cli(prog_name='otherseat')"
    done = subprocess.run(
        [sys.executable, "-c", program],
        env={**os.environ, **asked},
        capture_output=True,
        text=True,
        encoding="utf-8",
        check=True,
    )
    return {line.partition(",")[2] for line in done.stdout.splitlines()}


@pytest.mark.parametrize(
    ("words", "offered"),
    [
        pytest.param("otherseat de", {"demo", "debrief"}, id="command"),
        pytest.param("otherseat fly --vo", {"--voice", "--voice-to"}, id="option"),
    ],
)
def test_commands_and_options(words: str, offered: set[str]) -> None:
    """Commands and options are offered by the beginning of their names."""
    assert offered == complete(words)
