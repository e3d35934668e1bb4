"""Run in a network namespace of its own: a flight during which the only interface goes down and comes back."""

import contextlib
import subprocess
import sys
import time
from pathlib import Path

from tests.faults.rig import FLOWN_PAST, Ear, options, past, row
from tests.running import running


def interface(how: str) -> None:
    """Put the loopback interface up or down."""
    subprocess.run(["ip", "link", "set", "lo", how], check=True)


def main(folder: Path) -> None:
    """Fly, lose the interface, fly again."""
    interface("up")
    with running(*options(folder), "--no-recording") as daemon:
        with Ear(daemon) as ear:
            ear.fly([row("own", 0.0, past_nm=-9.0)])
        interface("down")
        with contextlib.suppress(OSError):  # unreachable, as it should be
            daemon.send([row("own", 1.0, past_nm=-8.9)])
        time.sleep(1.0)
        assert daemon.process.poll() is None
        interface("up")
        with Ear(daemon) as ear:
            assert FLOWN_PAST == ear.fly(past("own", from_s=2.0))[:2]
        daemon.stop()
        assert daemon.process.returncode == 0


if __name__ == "__main__":
    main(Path(sys.argv[1]))
