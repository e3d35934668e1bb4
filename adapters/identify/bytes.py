"""Streams of bytes into columns: fixed structures and records, both byte orders, every width.

A structure is read at every byte as every type, and what can be no measured number is thrown away at once: not
finite, out of all proportion, constant, or jumping about from sample to sample like noise.
"""

from collections import defaultdict
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from otherseat.adapters.checksums import CHECKSUMS
from otherseat.adapters.identify.columns import Cut, Raw, Shape
from otherseat.adapters.identify.fragments import only_numbers
from otherseat.adapters.identify.kinds import MOST_KINDS, kinds, stretches
from otherseat.adapters.identify.marks import mark_of, text_of
from otherseat.adapters.identify.readings import LARGEST, ORDERS, SCREEN, TYPES, Matrix, plausible, read, rough
from otherseat.adapters.identify.rows import LEAST_SAMPLES, Datagrams

LONGEST = 2_048
"""Bytes of a structure that are looked at."""


def cut_bytes(datagrams: Datagrams) -> Cut | None:
    """Return the columns of a binary stream, or None when nothing in it varies like a measured number."""
    by_length: dict[int, list[tuple[float, bytes]]] = defaultdict(list)
    for time_s, datagram in datagrams:
        by_length[len(datagram)].append((time_s, datagram))
    columns: list[Raw] = []
    messages: list[dict[str, object]] = []
    for length, group in sorted(by_length.items(), key=lambda item: -len(item[1]))[:MOST_KINDS]:
        tag_at, parts = kinds(group)
        for part in parts:
            if len(part) < LEAST_SAMPLES or length == 0:
                continue
            columns += only_numbers(of_structure(part, len(messages)), stretches(matrix_of(part)))
            messages.append(marks(part, tag_at))
    return Cut(shape=Shape(kind="binary", section={}, messages=tuple(messages)), columns=columns) if columns else None


def matrix_of(group: Sequence[tuple[float, bytes]]) -> Matrix:
    """Return the datagrams of one length as rows of bytes."""
    length = len(group[0][1])
    return np.frombuffer(b"".join(d for _, d in group), dtype=np.uint8).reshape(-1, length)[:, :LONGEST]


def marks(group: Sequence[tuple[float, bytes]], tag_at: int | None) -> dict[str, object]:
    """Return what tells this message from others: its length, its mark or the byte that names it, its checksum."""
    matrix = matrix_of(group)
    said: dict[str, object] = {"length": len(group[0][1])}
    mark = mark_of(matrix)
    if tag_at is not None and len(mark) <= tag_at:
        said["magic_at"], mark = tag_at, bytes(matrix[0][tag_at : tag_at + 1])
    if mark:
        said["magic_hex"] = mark.hex()
    checksum = find_checksum([datagram for _, datagram in group[:: max(1, len(group) // 20)]])
    if checksum:
        said["checksum"] = checksum
    return said


def find_checksum(samples: Sequence[bytes]) -> dict[str, object] | None:
    """Return the checksum at the end that every sample satisfies, when there is one."""
    for kind, (compute, size) in CHECKSUMS.items():
        for order in ("little", "big") if size > 1 else ("little",):
            if size < 2 and len(set(samples)) < 10:  # noqa: PLR2004 - one byte fits by chance
                continue
            if all(int.from_bytes(s[-size:], order) == compute(s[:-size]) for s in samples if len(s) > size):
                return {"kind": kind, "at": -size, "byte_order": order}
    return None


def of_structure(group: Sequence[tuple[float, bytes]], message: int) -> list[Raw]:
    """Return every column of one message that may be a measured number."""
    matrix = matrix_of(group)
    times_s = np.array([time_s for time_s, _ in group])
    pick = np.linspace(0, len(matrix) - 1, min(SCREEN, len(matrix))).astype(int)
    found = []
    for kind, code in TYPES.items():
        size = int(code[1])
        for order, mark in ORDERS.items() if size > 1 else (("little", "<"),):
            for at in range(matrix.shape[1] - size + 1):
                first = read(matrix[pick], at, mark + code)
                if not plausible(first, floating=code[0] == "f"):
                    continue
                if rough(first):
                    continue
                values = read(matrix, at, mark + code)
                place = {"at": at, "type": kind}
                found.append(Raw(place=place, message=message, times_s=times_s, values=values, order=order))
    return without_twins(found)


def without_twins(found: Sequence[Raw]) -> list[Raw]:
    """Return the columns without those that say the same as a narrower, or a signed, one of the same bytes.

    A small positive number reads alike in two bytes and, with zeros beside them, in four; should it turn negative
    only the narrower reading is sure to be right. One that was negative and reads alike in four bytes has four.
    """
    twins: dict[tuple[int, str, bytes], list[Raw]] = defaultdict(list)
    for raw in sorted(found, key=narrow_first):
        low = int(raw.place["at"]) + (int(str(raw.place["type"])[1:]) // 8 if raw.order == "big" else 0)
        twins[low, raw.order, raw.values.tobytes()].append(raw)
    return [
        replace(first, unsigned=tuple(each.place for each in (first, *more) if is_unsigned(each)))
        for first, *more in twins.values()
    ]


def is_unsigned(raw: Raw) -> bool:
    """Say whether it is read without a sign."""
    return str(raw.place["type"]).startswith("u")


def narrow_first(raw: Raw) -> tuple[int, str]:
    """Return the order in which columns of the same numbers are preferred."""
    bits = int(str(raw.place["type"])[1:])
    return (-bits if raw.values.min() < 0.0 else bits, str(raw.place["type"]))


def cut_records(datagrams: Datagrams) -> Cut | None:
    """Return the columns of a stream of numbered records, or None when it is none."""
    sample = [datagram for _, datagram in datagrams[:: max(1, len(datagrams) // 50)]]
    shortest = min(len(datagram) for datagram in sample)
    lead = 0
    while lead < min(16, shortest) and all(datagram[lead] == sample[0][lead] for datagram in sample):
        lead += 1
    for values in range(16, 0, -1):
        size = 4 + 4 * values
        for head in range(min(lead, 12) + 1):
            for order in ORDERS:
                if all(are_records(datagram, head, size, order) for datagram in sample):
                    return of_records(datagrams, head, values, order)
    return None


def are_records(datagram: bytes, head: int, size: int, order: str) -> bool:
    """Say whether the datagram is a head and at least two records with small, different, rising or mixed numbers."""
    body = datagram[head:]
    if len(body) < 2 * size or len(body) % size:
        return False
    table = np.frombuffer(body, dtype=np.uint8).reshape(-1, size)
    numbers = np.ascontiguousarray(table[:, :4]).view(f"{ORDERS[order]}i4")[:, 0]
    values = np.ascontiguousarray(table[:, 4:]).view(f"{ORDERS[order]}f4")
    if numbers.min() < 0 or numbers.max() > 1_000 or len(set(numbers.tolist())) < len(numbers):  # noqa: PLR2004 - numbers of groups are small
        return False
    size_of_values = np.abs(values)
    usual = np.isfinite(values) & (size_of_values < LARGEST) & ((size_of_values > 1e-20) | (values == 0))  # noqa: PLR2004 - integers read as floats are tinier
    return bool(usual.all())


def of_records(datagrams: Datagrams, head: int, values: int, order: str) -> Cut:
    """Return one column for each item of each group."""
    size = 4 + 4 * values
    rows: dict[int, list[tuple[float, NDArray[np.float32]]]] = defaultdict(list)
    for time_s, datagram in datagrams:
        body = datagram[head:]
        for start in range(0, len(body) - size + 1, size):
            number = int.from_bytes(body[start : start + 4], "little" if order == "little" else "big")
            rows[number].append((time_s, np.frombuffer(body, f"{ORDERS[order]}f4", values, start + 4)))
    columns = []
    for group, samples in sorted(rows.items()):
        if len(samples) < LEAST_SAMPLES:
            continue
        times_s = np.array([time_s for time_s, _ in samples])
        table = np.array([each for _, each in samples], dtype=np.float64)
        for item in range(values):
            if np.ptp(table[:, item]) > 0.0:
                place = {"group": group, "item": item}
                columns.append(Raw(place=place, message=0, times_s=times_s, values=table[:, item], order=order))
    text = text_of(datagrams[0][1][:head])
    said = {"prefix": text.decode(), "skip": head - len(text)}
    section = {**{key: value for key, value in said.items() if value}, "values": values, "byte_order": order}
    return Cut(shape=Shape(kind="records", section=section, messages=({},)), columns=columns)
