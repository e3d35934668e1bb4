"""How much memory this process has, for the health of the daemon: a plug-in that leaks is seen there first."""

import os
import sys
from contextlib import suppress
from pathlib import Path

MIB = 2**20
STATM = Path("/proc/self/statm")


def resident_mib() -> int | None:
    """Return what is resident now (Linux), or was at most (macOS); None where the system does not tell cheaply."""
    with suppress(OSError, ValueError, IndexError):
        return int(STATM.read_text(encoding="ascii").split()[1]) * os.sysconf("SC_PAGE_SIZE") // MIB
    if sys.platform == "darwin":
        import resource  # noqa: PLC0415 - Windows has none

        return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss // MIB
    return None
