"""The library of flights: every alert comes out as it was recorded."""

from pathlib import Path

import pytest

from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.flight_file import FlightFile
from otherseat.daemon.refly import refly
from tests.flights.make import FLIGHTS, HERE


@pytest.mark.parametrize("path", sorted(HERE.glob("*.mcap")), ids=lambda path: path.stem)
def test_alerts_are_as_recorded(path: Path) -> None:
    """The packaged settings and this version say what the recording says, alert by alert."""
    flown = refly(FlightFile.open(path), advisories=plugins.advisories(), settings=read_settings())

    assert flown.states > 0
    assert "" == "\n".join(flown.differences()), "if meant: python -m tests.flights.make, and say why in the commit"


def test_the_library_is_whole() -> None:
    """Every flight that can be made is there, and nothing else."""
    assert set(FLIGHTS) == {path.stem for path in HERE.glob("*.mcap")}


@pytest.mark.parametrize(
    ("name", "alerts"),
    [
        ("normal-final", set()),
        ("high-final", {"glidepath-high"}),
        ("low-final", {"glidepath-low"}),
        ("wrong-parallel", {"wrong-runway-arrival"}),
        ("lined-up-wrong", {"wrong-end-departure"}),
        ("flown-past", {"destination-passed"}),
    ],
)
def test_the_library_holds_what_it_says(name: str, alerts: set[str]) -> None:
    """Each flight's mistake is among its alerts, and a normal final has none at all."""
    flown = refly(FlightFile.open(HERE / f"{name}.mcap"), advisories=plugins.advisories(), settings=read_settings())
    raised = {alert.alert for alert in flown.now}

    assert alerts <= raised
    assert alerts or not raised
