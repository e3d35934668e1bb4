"""The same seed gives the same flights, alerts and figures on every Python."""

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

from tests.daemon.evaluation.fingerprint import fingerprint

ROOT = Path(__file__).parents[3]
OTHER = "OTHERSEAT_OTHER_PYTHON"
"""Names an interpreter of another version in which otherseat[demo] is installed."""


def other_python() -> str | None:
    """Return the other interpreter, or None."""
    named = os.environ.get(OTHER)
    return None if named is None else shutil.which(named)


def test_twice_the_same() -> None:
    """One flight, flown twice in one process, is the same to the last digit."""
    assert fingerprint(flights=0, seed=11) == fingerprint(flights=0, seed=11)


def test_another_seed_is_another_flight() -> None:
    """The fingerprint tells flights apart."""
    assert fingerprint(flights=0, seed=11) != fingerprint(flights=0, seed=12)


@pytest.mark.long
@pytest.mark.timeout(900)
@pytest.mark.skipif(other_python() is None, reason=f"no second interpreter: {OTHER} names none")
def test_the_same_on_another_python() -> None:
    """Normal flights and a fault, byte for byte the same on another version."""
    other = other_python()
    assert other is not None
    version = subprocess.run(
        [other, "-c", "import sys; print(sys.version_info[:2])"], capture_output=True, text=True, check=True
    )
    told = subprocess.run(
        [other, "-m", "tests.daemon.evaluation.fingerprint", "3", "7"],
        cwd=ROOT,
        capture_output=True,
        text=True,
        check=True,
    )

    assert f"{sys.version_info[:2]}" != version.stdout.strip()
    assert fingerprint(flights=3, seed=7) == told.stdout.removesuffix("\n")
