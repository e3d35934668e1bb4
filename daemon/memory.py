"""How much memory this process has, for the health of the daemon: a plug-in that leaks is seen there first."""

import ctypes
import os
import sys
from contextlib import suppress
from pathlib import Path

MIB = 2**20
STATM = Path("/proc/self/statm")
MMAP_THRESHOLD = -3
"""mallopt's parameter, from malloc.h of the GNU library."""
LARGE_BYTES = 128 * 1024
"""The library's own first threshold. It would raise it to 32 MiB, by what is freed while tables are read."""


def give_large_blocks_back() -> None:
    """Have every large block go back to the system when it is freed (GNU library; elsewhere nothing happens).

    Kept for later, what reading the runways and making sounds needs for a moment is 6 MB for the whole session.
    """
    if sys.platform == "linux":
        with suppress(OSError, AttributeError):
            ctypes.CDLL(None).mallopt(MMAP_THRESHOLD, LARGE_BYTES)


def resident_mib() -> int | None:
    """Return what is resident now (Linux), or was at most (macOS); None where the system does not tell cheaply."""
    with suppress(OSError, ValueError, IndexError):
        return int(STATM.read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") // MIB
    if sys.platform == "darwin":
        import resource  # noqa: PLC0415 - Windows has none

        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // MIB
    return None
