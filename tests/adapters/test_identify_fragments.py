"""Which readings of the same bytes stay: the numbers, and not the parts of them."""

from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from otherseat.adapters.identify.bytes import matrix_of, of_structure
from otherseat.adapters.identify.columns import Raw
from otherseat.adapters.identify.fragments import entropy, entropy_by_chance, only_numbers, wraps_inside
from otherseat.adapters.identify.kinds import stretches
from tests.adapters.flown import flight
from tests.adapters.formats import make

TIMES = np.arange(600) / 20.0


def places(readings: Sequence[Raw]) -> set[tuple[object, object]]:
    """Return where and as what each reading stands."""
    return {(raw.place["at"], raw.place["type"]) for raw in readings}


def kept(datagrams: Sequence[tuple[float, bytes]]) -> tuple[list[Raw], list[Raw]]:
    """Return all readings of a structure, and those that stay."""
    found = of_structure(datagrams, 0)
    return found, only_numbers(found, stretches(matrix_of(datagrams)))


def structure(*columns: np.ndarray) -> list[tuple[float, bytes]]:
    """Return datagrams of these columns, one behind the other."""
    rows = zip(*(column.tolist() for column in (c.view(f"V{c.itemsize}") for c in columns)), strict=True)
    return [(float(t), b"".join(row)) for t, row in zip(TIMES, rows, strict=True)]


@pytest.mark.parametrize("every", [1, 12, 60])
@pytest.mark.parametrize("seed", [1, 7, 27, 35])
def test_no_field_is_lost(seed: int, every: int) -> None:
    """At sixty, five and one datagram a second every field that was read stays, and two thirds of all readings go."""
    export = make("binary", {name: values[::every] for name, values in flight(seed).items()}, seed)
    sent = {(at, each.kind) for (at,), each in export.truth.items()}
    found, left = kept(export.datagrams)

    assert sent & places(found) <= places(left)
    assert len(left) < len(found) * (2 / 3 if every == 60 else 1 / 2)


@pytest.mark.parametrize("order", ["<", ">"])
def test_half_a_float_is_no_number(order: str) -> None:
    """An engine's revolutions in a float: none of its halves and bytes stays, nor what reaches into the next number."""
    revolutions = (2_400.0 + 300.0 * np.sin(TIMES / 5.0)).astype(f"{order}f4")
    steady = np.full(len(TIMES), 0x1234, dtype=f"{order}u2")
    left = kept(structure(steady, revolutions, steady))[1]

    assert (2, "f32") in places(left)
    assert {(2, "f32"), (2, "i32"), (2, "u32")} >= places(left)


def test_a_whole_number_beside_noise_stays() -> None:
    """Sixteen bits of height between zeros and noise are no part of a wider number."""
    height = (5_000.0 + 1_000.0 * np.sin(TIMES / 9.0)).astype(">i2")
    noise = np.random.default_rng(0).normal(0.0, 40.0, len(TIMES)).astype(">f4")
    left = places(kept(structure(np.zeros(len(TIMES), ">u4"), height, noise))[1])

    assert (4, "i16") in left or (4, "u16") in left
    assert not {place for place in left if place[0] == 4 and place[1] in {"i32", "u32", "f32"}}


def test_lowest_bits_that_are_never_used() -> None:
    """A float of half the size, sent in a wide one, is one number: its lowest bits are no field of their own."""
    height = (1_500.0 + 100.0 * np.sin(TIMES / 9.0)).astype("<f4").astype("<f8")
    left = places(kept(structure(np.zeros(len(TIMES), "<u2"), height))[1])

    assert (2, "f64") in left


def test_too_few_say_nothing() -> None:
    """Of a handful of datagrams every reading stays."""
    found = of_structure(structure(*[(TIMES * 3.0).astype("<f4")] * 2)[:40], 0)

    assert found
    assert found == only_numbers(found, stretches(matrix_of([(0.0, bytes(8))] * 40)))


@pytest.mark.parametrize("samples", [60, 300, 2_000])
def test_the_entropy_of_few_samples(samples: int) -> None:
    """What chance gives is the mean over bytes drawn at random (numpy's generator)."""
    draw = np.random.default_rng(samples)
    drawn = [entropy(np.bincount(draw.integers(0, 256, samples), minlength=256)) for _ in range(50)]

    assert pytest.approx(float(np.mean(drawn)), abs=0.03) == entropy_by_chance(samples)


@pytest.mark.parametrize("order", ["little", "big"])
def test_what_begins_anew_inside_a_number_is_no_number(order: str) -> None:
    """The lower half of a height that goes on past 65,536 begins anew there, and the whole does not."""
    height = np.linspace(60_000.0, 70_000.0, 600)
    half = (height % 65_536.0).round()
    whole = Raw({"at": 0, "type": "i32"}, 0, TIMES, height.round(), order)
    part = Raw({"at": 2 if order == "big" else 0, "type": "u16"}, 0, TIMES, half, order)

    assert wraps_inside(part, whole)
    assert not wraps_inside(whole, part)
    assert not wraps_inside(replace(part, values=np.minimum(half, 100.0)), whole)
    assert not wraps_inside(part, replace(whole, values=half))


@pytest.mark.parametrize(("first", "half"), [(60_000.0, "u16"), (90_000.0, "i16")])
def test_the_half_that_begins_anew_is_not_kept(first: float, half: str) -> None:
    """In a structure, between zeros: once in half a minute is too seldom to weigh, and enough."""
    height = np.linspace(first, first + 10_000.0, len(TIMES)).round().astype(">i4")
    left = places(kept(structure(np.zeros(len(TIMES), ">u2"), height))[1])

    assert {(2, "i32"), (2, "u32")} & left
    assert (4, half) not in left
