"""Memory: how much this process has, for the health of the daemon, and giving back what it needs no longer.

A plug-in that leaks is seen in the health first.
"""

import ctypes
import os
import sys
from contextlib import suppress
from pathlib import Path

MIB = 2**20
STATM = Path("/proc/self/statm")


def give_back() -> None:
    """Give what was freed back to the system (GNU library; elsewhere nothing happens).

    Kept for later, what reading the runways needs for a moment is 6 MB for the whole session. Having every large block
    go back at once, by a threshold, keeps as little, but made each datagram dearer by a tenth.
    """
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):
            ctypes.CDLL(None).malloc_trim(0)


def resident_mib() -> int | None:
    """Return what is resident now (Linux), or was at most (macOS); None where the system does not tell cheaply."""
    with suppress(OSError, ValueError, IndexError):
        return int(STATM.read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") // MIB
    if sys.platform == "darwin":
        import resource  # noqa: PLC0415 - Windows has none

        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // MIB
    return None
