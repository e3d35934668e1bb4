"""Memory: what the health message says of it."""

import platform
import resource
import subprocess
import sys

import pytest

from otherseat.daemon.memory import resident_mib

MOMENT = """
from otherseat.daemon.memory import give_back, resident_mib
bytearray(8_000_000)
before_mib = resident_mib()
blocks = [bytearray(400_000) for _ in range(200)]
kept = blocks[::40]
del blocks
give_back()
print(before_mib, resident_mib())
"""
"""Freeing one block of 8 MB is what makes the library keep the later ones; of 80 MB then, 2 MB stay."""


@pytest.mark.skipif(sys.platform != "linux", reason="the two figures are of one kind on Linux only")
def test_resident_memory() -> None:
    """It is more than nothing and no more than the most that the system itself has counted."""
    now_mib = resident_mib()

    assert now_mib is not None
    assert 5 < now_mib <= resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 + 1


@pytest.mark.skipif(platform.libc_ver()[0] != "glibc", reason="other libraries have their own ways")
def test_freed_memory_is_given_back() -> None:
    """What was needed for a moment is not held for good, even when it was freed piece by piece between what stays."""
    run = subprocess.run([sys.executable, "-c", MOMENT], capture_output=True, text=True, timeout=60, check=True)
    before_mib, after_mib = map(int, run.stdout.split())

    assert before_mib == pytest.approx(after_mib, abs=8)
