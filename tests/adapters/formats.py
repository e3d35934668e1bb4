"""Exports that the identifier has never seen: drawn at random, field by field, from a flown table.

A format is a kind (text, pairs, JSON, msgpack, binary, records), an order of fields, a unit and a type for each,
padding, and columns that mean nothing here: noise, counters, constants, engine numbers, rates, angles of attack.
"""

import json
import struct
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any

import msgpack
import numpy as np
from numpy.typing import NDArray

from tests.adapters.flown import Table

Array = NDArray[np.float64]
KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)


@dataclass(frozen=True)
class Sent:
    """One field as it is sent: value = raw * scale in the unit."""

    name: str
    """The State's field or part; other numbers have a name in brackets."""
    values: Array
    """In the unit, before the scale."""
    unit: str = ""
    kind: str = "f32"
    scale: float = 1.0
    decimals: int = 6


@dataclass
class Format:
    """One export: what its datagrams are, and the truth about them."""

    kind: str
    datagrams: list[tuple[float, bytes]]
    truth: dict[tuple[Any, ...], Sent] = field(default_factory=dict)
    """By place: (column,), (key,), (at,) or (group, item)."""


def sent_fields(table: Table, draw: np.random.Generator, *, binary: bool) -> list[Sent]:
    """Return the fields that an aircraft has, in units drawn at random."""
    fps, kt = 1.0 / 3.280839895, KT_PER_FPS
    speed_units = {"kt": kt, "m/s": fps, "ft/s": 1.0, "km/h": fps * 3.6}
    variation = 0.0

    def speed(name: str, feet_per_s: Array) -> Sent:
        unit = str(draw.choice(list(speed_units)))
        return scaled(Sent(name, feet_per_s * speed_units[unit], unit, decimals=int(draw.integers(2, 5))))

    def angle(name: str, degrees: Array) -> Sent:
        unit = str(draw.choice(["deg", "rad"]))
        return scaled(Sent(name, degrees if unit == "deg" else np.radians(degrees), unit, decimals=4))

    def scaled(sent: Sent) -> Sent:
        return packed(sent, draw) if binary and draw.random() >= 0.6 else sent

    choice = int(draw.integers(0, 4 if binary else 2))

    height_unit, height = ("ft", 1.0) if draw.random() < 0.5 else ("m", 0.3048)
    climb_unit = str(draw.choice(["ft/min", "m/s", "ft/s"]))
    climb = {"ft/min": 60.0, "m/s": 0.3048, "ft/s": 1.0}[climb_unit]
    ground = np.hypot(table["north_fps"], table["east_fps"])
    track = np.degrees(np.arctan2(table["east_fps"], table["north_fps"]))
    fields = [
        place_angle("latitude_deg", table["latitude_deg"], choice),
        place_angle("longitude_deg", table["longitude_deg"], choice),
        scaled(Sent("altitude_ft", table["altitude_ft"] * height, height_unit, decimals=2)),
        scaled(Sent("vertical_speed_fpm", table["vertical_speed_fps"] * climb, climb_unit, decimals=3)),
        speed("indicated_airspeed_kt", table["indicated_airspeed_kt"] / kt),
        angle("heading_true_deg", (table["heading_true_deg"] + variation) % 360.0),
        angle("pitch_deg", table["pitch_deg"]),
        angle("bank_deg", table["bank_deg"]),
    ]
    if draw.random() < 0.5:
        fields += [speed("velocity_north_kt", table["north_fps"]), speed("velocity_east_kt", table["east_fps"])]
    else:
        track = track % 360.0 if draw.random() < 0.5 else track
        fields += [speed("groundspeed_kt", ground), angle("track_true_deg", track)]
    return fields


def packed(sent: Sent, draw: np.random.Generator) -> Sent:
    """Return the field as whole numbers at a scale drawn at random."""
    bound = np.abs(sent.values).max()
    kind, most = ("i16", 32_000) if draw.random() < 0.5 else ("i32", 2e9)
    fitting = [scale for scale in (1e-4, 1e-3, 1e-2, 1e-1, 1.0) if bound / scale < most]
    scale = fitting[0] if kind == "i16" else float(draw.choice(fitting[:2]))
    return Sent(sent.name, sent.values, sent.unit, kind, scale, sent.decimals)


def place_angle(name: str, degrees: Array, choice: int) -> Sent:
    """Return a latitude or longitude in one of the four ways in which they are sent."""
    if choice == 0:
        return Sent(name, degrees, "deg", "f64", 1.0, 7)
    if choice == 1:
        return Sent(name, np.radians(degrees), "rad", "f64", 1.0, 9)
    if choice == 2:
        return Sent(name, degrees, "deg", "i32", 1e-7)
    return Sent(name, degrees / 180.0, "semicircles", "i32", 2.0**-31)


def decoys(table: Table, draw: np.random.Generator) -> list[Sent]:
    """Return numbers that mean nothing to us."""
    count = len(table["time_s"])
    pool = [
        Sent("[noise]", draw.normal(0, 40, count)),
        Sent("[small noise]", draw.normal(0, 0.01, count)),
        Sent("[constant]", np.full(count, 12.5)),
        Sent("[zero]", np.zeros(count)),
        Sent("[counter]", np.arange(count, dtype=float), kind="i32"),
        Sent("[alpha]", table["alpha_deg"]),
        Sent("[beta]", table["beta_deg"]),
        Sent("[rpm]", table["engine_rpm"]),
        Sent("[elevator]", table["elevator"]),
        Sent("[roll rate]", table["roll_rate_rps"]),
        Sent("[pitch rate]", np.degrees(table["pitch_rate_rps"])),
        Sent("[load factor]", table["load_factor"]),
        Sent("[fuel]", table["fuel_lb"]),
        Sent("[random walk]", np.cumsum(draw.normal(0, 1, count))),
        Sent("[sine]", 100 * np.sin(table["time_s"] / 7.0)),
    ]
    return [pool[i] for i in draw.permutation(len(pool))[: int(draw.integers(3, 12))]]


def clock_field(table: Table, draw: np.random.Generator) -> list[Sent]:
    """Return a clock, or none."""
    if draw.random() < 0.3:
        return []
    return [Sent("time_s", table["time_s"] + 1000.0 * draw.integers(0, 50), "s", "f64", 1.0, 4)]


def receipt_times(table: Table, draw: np.random.Generator) -> Array:
    """Return times of receipt: the model's own, each late by a few milliseconds."""
    return np.asarray(1.7e9 + table["time_s"] + draw.exponential(0.003, len(table["time_s"])))


def make(kind: str, table: Table, seed: int) -> Format:
    """Return an export of one kind."""
    draw = np.random.default_rng(seed)
    binary = kind == "binary"
    fields = [*sent_fields(table, draw, binary=binary), *decoys(table, draw), *clock_field(table, draw)]
    fields = [fields[i] for i in draw.permutation(len(fields))]
    builders: dict[str, Callable[[list[Sent], np.random.Generator], tuple[list[bytes], dict[tuple[Any, ...], Sent]]]]
    builders = {
        "text": text,
        "headed": headed,
        "pairs": pairs,
        "json": lambda f, d: tree(f, d, lambda t: json.dumps(t).encode()),
        "msgpack": lambda f, d: tree(f, d, msgpack.packb),
        "binary": structure,
        "records": records,
    }
    datagrams, truth = builders[kind](fields, draw)
    times = receipt_times(table, draw)
    count = len(times)
    lead = len(datagrams) - count
    stamps = [float(times[0])] * lead + [float(t) for t in times]
    return Format(kind, list(zip(stamps, datagrams, strict=True)), truth)


def words(sent: Sent) -> list[str]:
    """Return a field's values as text."""
    return [f"{value:.{sent.decimals}f}" for value in sent.values]


def text(fields: list[Sent], draw: np.random.Generator) -> tuple[list[bytes], dict[tuple[Any, ...], Sent]]:
    """Return delimited text without a header."""
    delimiter = str(draw.choice([",", ";", "\t", " ", "|"]))
    rows = zip(*(words(sent) for sent in fields), strict=True)
    return [(delimiter.join(row) + "\n").encode() for row in rows], {(i,): sent for i, sent in enumerate(fields)}


def headed(fields: list[Sent], draw: np.random.Generator) -> tuple[list[bytes], dict[tuple[Any, ...], Sent]]:
    """Return text whose first datagram names the columns, in names that say nothing."""
    names = [f"q{draw.integers(100, 999)}{chr(97 + i)}" for i in range(len(fields))]
    rows = zip(*(words(sent) for sent in fields), strict=True)
    lines = [",".join(names), *(",".join(row) for row in rows)]
    return [(line + "\n").encode() for line in lines], {(n,): sent for n, sent in zip(names, fields, strict=True)}


def pairs(fields: list[Sent], draw: np.random.Generator) -> tuple[list[bytes], dict[tuple[Any, ...], Sent]]:
    """Return key=value text."""
    joint, between = str(draw.choice(["=", ":"])), str(draw.choice([",", ";", " "]))
    names = [f"k{chr(97 + i)}" for i in range(len(fields))]
    rows = zip(*(words(sent) for sent in fields), strict=True)
    datagrams = [between.join(f"{n}{joint}{v}" for n, v in zip(names, row, strict=True)).encode() for row in rows]
    return datagrams, {(n,): sent for n, sent in zip(names, fields, strict=True)}


def tree(
    fields: list[Sent], draw: np.random.Generator, pack: Callable[[Any], bytes]
) -> tuple[list[bytes], dict[tuple[Any, ...], Sent]]:
    """Return JSON or msgpack with two levels and a list."""
    split = int(draw.integers(2, len(fields) - 1))
    rows = zip(*(np.round(sent.values, sent.decimals).tolist() for sent in fields), strict=True)
    datagrams = [
        pack({"v": 3, "a": {f"m{i}": x for i, x in enumerate(row[:split])}, "b": list(row[split:])}) for row in rows
    ]
    truth: dict[tuple[Any, ...], Sent] = {(f"a.m{i}",): sent for i, sent in enumerate(fields[:split])}
    truth.update({(f"b.{i}",): sent for i, sent in enumerate(fields[split:])})
    return datagrams, truth


def structure(fields: list[Sent], draw: np.random.Generator) -> tuple[list[bytes], dict[tuple[Any, ...], Sent]]:
    """Return a fixed structure with padding and an optional magic, in either byte order."""
    mark = str(draw.choice(["<", ">"]))
    magic = bytes(draw.integers(0, 256, int(draw.choice([0, 4, 6]))).astype(np.uint8))
    sizes = {"f32": ("f4", 4), "f64": ("f8", 8), "i16": ("i2", 2), "i32": ("i4", 4)}
    at, columns, truth = len(magic), [], {}
    count = len(fields[0].values)
    columns.append(np.tile(np.frombuffer(magic, np.uint8), (count, 1)))
    for sent in fields:
        code, size = sizes[sent.kind]
        raw = sent.values / sent.scale
        packed = (np.round(raw) if sent.kind[0] == "i" else raw).astype(mark + code)
        columns.append(packed.view(np.uint8).reshape(count, size))
        truth[(at,)] = sent
        at += size
        padding = int(draw.choice([0, 0, 1, 2, 4]))
        columns.append(np.zeros((count, padding), np.uint8))
        at += padding
    return [row.tobytes() for row in np.concatenate(columns, axis=1)], truth


def records(fields: list[Sent], draw: np.random.Generator) -> tuple[list[bytes], dict[tuple[Any, ...], Sent]]:
    """Return numbered records of floats behind a prefix; positions in degrees lose what a float loses."""
    width = int(draw.choice([4, 8]))
    groups = sorted(draw.choice(120, size=-(-len(fields) // width), replace=False).tolist())
    count = len(fields[0].values)
    blocks = [np.tile(np.frombuffer(b"ROWS\0", np.uint8), (count, 1))]
    truth: dict[tuple[Any, ...], Sent] = {}
    for index, group in enumerate(groups):
        blocks.append(np.tile(np.frombuffer(struct.pack("<i", group), np.uint8), (count, 1)))
        for item in range(width):
            position = index * width + item
            values = fields[position].values if position < len(fields) else np.full(count, -999.0)
            blocks.append(values.astype("<f4").view(np.uint8).reshape(count, 4))
            if position < len(fields):
                truth[(group, item)] = fields[position]
    return [row.tobytes() for row in np.concatenate(blocks, axis=1)], truth
