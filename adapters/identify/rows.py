"""Streams of text, pairs, JSON and msgpack into columns."""

import json
import math
from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from typing import Any

import msgpack
import numpy as np

from otherseat.adapters.identify.columns import Cut, Raw, Shape, number

Datagrams = Sequence[tuple[float, bytes]]
"""Time of receipt in seconds, and the bytes."""

MOST = 0.95
"""So many of the datagrams must be of one shape."""
LEAST_SAMPLES = 30
DELIMITERS = (",", ";", "\t", "|", " ")
JOINTS = ("=", ":")
WHITE = dict.fromkeys(map(ord, "\r\n\t"))
"""What text may have besides what can be printed; for str.translate, which takes it out."""
FEW_CELLS = 2
BRANCH = (dict, list)
LEAF = (int, float, str)
DEEPEST = 8
WIDEST = 4_096


def as_text(datagrams: Datagrams) -> list[tuple[float, str]] | None:
    """Return the datagrams as text, or None when they are not."""
    found = []
    for time_s, datagram in datagrams:
        try:
            text = datagram.decode("utf-8")
        except UnicodeDecodeError:
            continue
        if text.strip() and text.translate(WHITE).isprintable():
            found.append((time_s, text))
    return found if len(found) >= MOST * len(datagrams) else None


def cut_tree(datagrams: Datagrams) -> Cut | None:
    """Return the columns of JSON or msgpack, or None when it is neither."""
    for kind, unpack in (("json", json.loads), ("msgpack", unpack_msgpack)):
        leaves = [(time_s, dict(walk(tree))) for time_s, tree in trees(datagrams, unpack)]
        if len(leaves) >= MOST * len(datagrams) and leaves:
            return of_keys(leaves, Shape(kind=kind, section={}, messages=({},)))
    return None


def unpack_msgpack(datagram: bytes) -> Any:
    """Return a msgpack tree with text keys."""
    return msgpack.unpackb(datagram, strict_map_key=False)


def trees(datagrams: Datagrams, unpack: Callable[[bytes], Any]) -> Iterator[tuple[float, Any]]:
    """Yield the trees that can be unpacked; stop early when the first ones can't."""
    failed = 0
    for time_s, datagram in datagrams:
        try:
            tree = unpack(datagram)
        except Exception:  # noqa: BLE001 - the unpackers raise many kinds, and every one means the same
            failed += 1
            if failed > (1.0 - MOST) * len(datagrams):
                return
            continue
        if isinstance(tree, BRANCH):
            yield time_s, tree


def walk(tree: Any, path: str = "", depth: int = 1) -> Iterator[tuple[str, float]]:
    """Yield the dotted path and number of every leaf that is a number."""
    if depth > DEEPEST:
        return
    items = tree.items() if isinstance(tree, dict) else enumerate(tree[:WIDEST])
    for key, below in items:
        place = f"{path}.{key}" if path else str(key)
        if isinstance(below, BRANCH):
            yield from walk(below, place, depth + 1)
        elif place and isinstance(below, LEAF):
            value = number(below)
            if math.isfinite(value):
                yield place, value


def cut_pairs(lines: Sequence[tuple[float, str]]) -> Cut | None:
    """Return the columns of key=value text, or None when it is something else."""
    for joint in JOINTS:
        for between in (",", ";", "|", "&", " "):
            found = rows_of_pairs(lines, joint, between)
            if found is not None:
                shape = Shape(kind="pairs", section={"joined_by": joint, "between": between}, messages=({},))
                return of_keys(found, shape)
    return None


def rows_of_pairs(
    lines: Sequence[tuple[float, str]], joint: str, between: str
) -> list[tuple[float, dict[str, float]]] | None:
    """Return the pairs of every datagram that has them, or None as soon as too many have none."""
    found, failed = [], 0
    for time_s, text in lines:
        row = pairs_in(text, joint, between)
        if row is not None:
            found.append((time_s, row))
            continue
        failed += 1
        if failed > (1.0 - MOST) * len(lines):
            return None
    return found


def pairs_in(text: str, joint: str, between: str) -> dict[str, float] | None:
    """Return the pairs of a datagram, or None when a piece is no pair with a plain key."""
    pieces = text.split() if between == " " else [p for line in text.splitlines() for p in line.split(between)]
    found = {}
    for piece in pieces:
        if not piece.strip():
            continue
        key, middle, value = (part.strip() for part in piece.partition(joint))
        if not middle or not key or key[0].isdigit() or len(value.split()) > 1 or joint in value:
            return None
        found[key] = number(value)
    return found or None


def of_keys(rows: Sequence[tuple[float, dict[str, float]]], shape: Shape) -> Cut:
    """Return one column for each key that is there often enough."""
    count = Counter(key for _, row in rows for key in row)
    columns = []
    for key in list(count)[:WIDEST]:
        pairs = [(time_s, row[key]) for time_s, row in rows if math.isfinite(row.get(key, float("nan")))]
        if len(pairs) >= LEAST_SAMPLES:
            times_s, values = np.array(pairs, dtype=float).T
            columns.append(Raw(place={"key": key}, message=0, times_s=times_s, values=values))
    return Cut(shape=shape, columns=columns)


def cut_text(lines: Sequence[tuple[float, str]]) -> Cut | None:
    """Return the columns of delimited text, or None when no delimiter makes sense of it."""
    rows = [(time_s, line) for time_s, text in lines for line in text.splitlines() if line.strip()]
    best: tuple[int, str] | None = None
    for delimiter in DELIMITERS:
        widths = Counter(len(cells(line, delimiter)) for _, line in rows[:500])
        common = sum(count for width, count in widths.most_common(8) if width >= FEW_CELLS)
        numeric = sum(math.isfinite(number(cell)) for _, line in rows[:50] for cell in cells(line, delimiter))
        if common >= MOST * min(len(rows), 500) and (best is None or numeric > best[0]):
            best = (numeric, delimiter)
    if best is None or best[0] == 0:
        return None
    return of_cells([(time_s, cells(line, best[1])) for time_s, line in rows], best[1])


def cells(line: str, delimiter: str) -> list[str]:
    """Return the cells of a line."""
    return line.split() if delimiter == " " else [cell.strip() for cell in line.split(delimiter)]


def of_cells(rows: Sequence[tuple[float, list[str]]], delimiter: str) -> Cut:
    """Return the columns of rows of cells, by tag when the first cell is a word."""
    header, rows = take_header(rows)
    tags = Counter(row[0] for _, row in rows if not math.isfinite(number(row[0])))
    tagged = sum(tags.values()) >= MOST * len(rows) and len(tags) <= 64  # noqa: PLR2004 - more are not tags
    names = [tag for tag, count in tags.most_common() if count >= LEAST_SAMPLES] if tagged else [None]
    columns, messages = [], []
    for index, tag in enumerate(names):
        mine = [(time_s, row) for time_s, row in rows if tag is None or row[0] == tag]
        width = Counter(len(row) for _, row in mine).most_common(1)[0][0]
        mine = [(time_s, row) for time_s, row in mine if len(row) == width]
        messages.append({} if tag is None else {"tag": tag})
        known = header if header and len(header) == width and tag is None else None
        columns += of_message(mine, index, known)
    prefix = {"header_prefix": header.prefix} if header and header.prefix else {}
    shape = Shape(kind="text", section={"delimiter": delimiter, **prefix}, messages=tuple(messages))
    return Cut(shape=shape, columns=columns)


def of_message(rows: Sequence[tuple[float, list[str]]], index: int, header: Sequence[str] | None) -> list[Raw]:
    """Return the columns of one message; by name when a header gave unique names."""
    if len(rows) < LEAST_SAMPLES:
        return []
    times_s = np.array([time_s for time_s, _ in rows])
    found = []
    for position in range(len(rows[0][1])):
        values = np.array([number(row[position]) for _, row in rows])
        if np.isfinite(values).sum() < LEAST_SAMPLES:
            continue
        name = header[position] if header else ""
        place = {"column": name} if header and name and header.count(name) == 1 else {"column": position}
        found.append(Raw(place=place, message=index, times_s=times_s, values=values))
    return found


class Header(list[str]):
    """The names in a header line, and the mark before them that is not a name."""

    prefix: str = ""


def take_header(rows: Sequence[tuple[float, list[str]]]) -> tuple[Header | None, Sequence[tuple[float, list[str]]]]:
    """Return the header line and the other rows: all words, where the rows that follow are numbers."""
    widths = Counter(len(row) for _, row in rows)
    width = widths.most_common(1)[0][0]
    for position, (_, row) in enumerate(rows[:20]):
        if any(math.isfinite(number(cell)) for cell in row) or len(row) - width not in (0, 1):
            continue
        if position + 1 < len(rows) and not all(math.isfinite(number(cell)) for cell in rows[position + 1][1][-2:]):
            continue
        header = Header(row[len(row) - width :])
        header.prefix = row[0] if len(row) > width else ""
        others = [each for each in rows if each[1] != row]
        return header, others
    return None, rows
