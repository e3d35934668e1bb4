"""Memory: what the health message says of it."""

import resource
import sys

import pytest

from otherseat.daemon.memory import resident_mib


@pytest.mark.skipif(sys.platform != "linux", reason="the two figures are of one kind on Linux only")
def test_resident_memory() -> None:
    """It is more than nothing and no more than the most that the system itself has counted."""
    now_mib = resident_mib()

    assert now_mib is not None
    assert 5 < now_mib <= resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024 + 1
