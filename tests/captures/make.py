"""Build the captures anew with  python -m tests.captures.make .

For every adapter three text files, one datagram a line (time of receipt, then the bytes in hexadecimal), and beside
each the States that it gives, one a line in JSON. The flights come from the flight model, the datagrams from the
independent libraries in tests/adapters/streams.py and tests/captures/shapes.py.

silence    the link is up and says nothing about an aircraft
steady     straight and level
changing   turning and climbing
"""

import dataclasses
import json
from collections.abc import Callable, Mapping
from pathlib import Path
from typing import Any

import pynmea2
from pymavlink.dialects.v20 import common

from otherseat.adapters import dis, layout, mavlink, nmea
from otherseat.adapters.adapter import Adapter
from otherseat.adapters.intake import Intake
from tests.adapters import streams
from tests.adapters.flown import flight
from tests.captures import shapes

HERE = Path(__file__).parent
SIGNIFICANT = 9
STEADY_S, CHANGING_S = (4, 6), (30, 34)


@dataclasses.dataclass(frozen=True)
class Format:
    """One format that is captured."""

    adapter: Adapter
    options: Mapping[str, Any]
    stream: Callable[[streams.Rows], streams.Stream]
    silence: list[bytes]


def layout_of(name: str) -> Mapping[str, Any]:
    """Return the options for a layout beside this file."""
    return {"layout": str(HERE / f"{name}.toml")}


def heartbeats() -> list[bytes]:
    """Return two heartbeats of a ground station."""
    link = common.MAVLink(None, srcSystem=255, srcComponent=190)
    return [link.heartbeat_encode(6, 8, 0, 0, 4).pack(link) for _ in range(2)]


def void() -> list[bytes]:
    """Return a receiver without a fix."""
    fields = ("120000", "V", *[""] * 10)
    return [pynmea2.RMC("GP", "RMC", fields).render().encode() + b"\r\n"]


def other_pdu(moments: streams.Rows) -> list[bytes]:
    """Return a PDU of another kind: an Entity State with its type changed to Fire (2)."""
    [(_, pdu)] = streams.dis(moments[:1])
    return [pdu[:2] + b"\x02" + pdu[3:]]


def formats() -> dict[str, Format]:
    """Return every format."""
    first = streams.rows({name: values[:60] for name, values in flight(0).items()})
    label = streams.jsbsim(first)[0][1]
    found = {
        "jsbsim": Format(layout.ADAPTER, {"layout": "jsbsim"}, streams.jsbsim, [label]),
        "nmea": Format(nmea.ADAPTER, {}, streams.nmea, void()),
        "dis": Format(dis.ADAPTER, {}, streams.dis, other_pdu(first)),
        "mavlink": Format(mavlink.ADAPTER, {}, streams.mavlink, heartbeats()),
    }
    for name, (stream, silence) in shapes.SHAPES.items():
        found[name] = Format(layout.ADAPTER, layout_of(name), stream, silence)
    return found


def read(path: Path) -> streams.Stream:
    """Return the datagrams of a capture."""
    pairs = (line.split() for line in path.read_text(encoding="ascii").splitlines())
    return [(float(time_s), bytes.fromhex(data)) for time_s, data in pairs]


def states_of(made: Format, stream: streams.Stream) -> list[dict[str, Any]]:
    """Return the States that a stream gives, rounded so that every processor agrees."""
    intake = Intake(made.adapter.make(made.options))
    found = [state for time_s, datagram in stream for state in intake.take(datagram, received_s=time_s)]
    return [{k: rounded(v) for k, v in dataclasses.asdict(s).items() if v is not None} for s in found]


def rounded(value: Any) -> Any:
    """Return a number with SIGNIFICANT digits, a tuple as the list that JSON makes of it, anything else as it is."""
    if isinstance(value, tuple):
        return list(value)
    return float(f"{value:.{SIGNIFICANT}g}") if isinstance(value, float) else value


def part(seconds: tuple[int, int]) -> streams.Rows:
    """Return two moments a second of a part of the flight."""
    return [m for m in streams.rows(flight(0))[::5] if seconds[0] <= m["time_s"] < seconds[1]]


def main() -> None:
    """Write everything."""
    for name, made in formats().items():
        folder = HERE / name
        folder.mkdir(exist_ok=True)
        kinds = {
            "silence": [(float(i), datagram) for i, datagram in enumerate(made.silence)],
            "steady": made.stream(part(STEADY_S)),
            "changing": made.stream(part(CHANGING_S)),
        }
        for kind, stream in kinds.items():
            lines = [f"{time_s:.4f} {datagram.hex()}" for time_s, datagram in stream]
            (folder / f"{kind}.txt").write_text("\n".join(lines) + "\n", encoding="ascii")
            states = states_of(made, read(folder / f"{kind}.txt"))
            (folder / f"{kind}.json").write_text("".join(json.dumps(s) + "\n" for s in states), encoding="ascii")


if __name__ == "__main__":
    main()
