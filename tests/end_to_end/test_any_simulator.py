"""One flight as four exports: whatever the simulator speaks, the colleague says the same.

The flight is the demo's, as the flight model sent it. The four exports carry the same moments: its own text, NMEA
sentences made by pynmea2, Entity State PDUs made by opendis, and packets made by pymavlink; every one of them has
position, altitude, track, speed over the ground and heading, and no more than NMEA can carry is compared.
"""

import functools
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pytest

from otherseat.adapters import dis, layout, mavlink, nmea
from otherseat.adapters.adapter import Adapter
from otherseat.adapters.assembler import Assembler
from otherseat.adapters.intake import Intake
from otherseat.advisories.levels import Level
from otherseat.advisories.state import State
from otherseat.config.plans import read_plan, resolve_plan
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from otherseat.daemon.flight_model.recording import read_recording
from otherseat.daemon.fly import read_runways
from otherseat.daemon.messages import PlanMessage
from otherseat.daemon.refly import Crew
from tests.adapters import streams

DATAGRAMS = Path(__file__).parent.parent / "flights" / "demo.txt.gz"
PLAN = Path(__file__).parent.parent.parent / "config" / "plans" / "demo.toml"
FPS_PER_KT = 1852.0 / 3600.0 / 0.3048
CLOSE_S = 0.5

EXPORTS: dict[str, tuple[Adapter, Mapping[str, Any], Callable[[streams.Rows], streams.Stream]]] = {
    "jsbsim": (layout.ADAPTER, {"layout": "jsbsim"}, streams.jsbsim),
    "nmea": (nmea.ADAPTER, {}, streams.nmea),
    "dis": (dis.ADAPTER, {"own": "1.1.1"}, streams.dis),
    "mavlink": (mavlink.ADAPTER, {"own": 1}, streams.mavlink),
}
SHARED = ("latitude_deg", "longitude_deg", "altitude_ft", "groundspeed_kt", "track_true_deg", "heading_true_deg")


@functools.cache
def moments() -> streams.Rows:
    """Return the demo's flight, moment by moment, out of its recorded datagrams."""
    label, *others = read_recording(DATAGRAMS)
    names = [name.strip() for name in label.decode().split(",")[1:]]
    rows = [row for row in others if row != label]
    table = [dict(zip(names, map(float, row.split(b",")), strict=True)) for row in rows]
    return [{own: row[sent] for sent, own in streams.LABELS.items()} for row in table]


@functools.cache
def states(export: str) -> tuple[State, ...]:
    """Return the States of an export, with no more in them than every export carries."""
    adapter, options, make = EXPORTS[export]
    intake = Intake(adapter.make(options), assembler=Assembler())
    found = [s for time_s, datagram in make(moments()) for s in intake.take(datagram, received_s=time_s)]
    assert not intake.refusals
    assert not intake.faults
    return tuple(State(time_s=s.time_s, **{name: getattr(s, name) for name in SHARED}) for s in found)


@functools.cache
def alerts(export: str) -> dict[tuple[str, Level], float]:
    """Return when each alert was first raised, by id and level."""
    settings = read_settings()
    runways = read_runways(settings)
    crew = Crew(runways=runways, settings=settings, advisories=plugins.advisories())
    plan = resolve_plan(plan=read_plan(PLAN, runways=runways), runways=runways)
    crew.set_plan(PlanMessage.of(aircraft="own", resolved=plan))
    first: dict[tuple[str, Level], float] = {}
    for state in states(export):
        for alert in crew.step(state).alerts:
            first.setdefault((alert.id, alert.level), state.time_s)
    return first


@pytest.mark.parametrize("export", ["nmea", "dis", "mavlink"])
def test_says_the_same(export: str) -> None:
    """Every export raises the alerts that the flight model's own raises, and no other, within half a second."""
    expected, found = alerts("jsbsim"), alerts(export)

    assert expected.keys() == found.keys()
    assert {} == {key: (at, found[key]) for key, at in expected.items() if abs(at - found[key]) > CLOSE_S}


def test_there_is_something_to_say() -> None:
    """The flight is one that the colleague speaks on, or the comparison above says nothing."""
    assert len(alerts("jsbsim")) >= 3
