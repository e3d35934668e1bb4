"""Conformance: what every adapter must bear, for our own tests and for a third party's.

    from otherseat.adapters.conformance import check
    check(ADAPTER, options={}, samples=[a_real_datagram, another])

An adapter's decoder is handed every truncation and every flipped bit of its samples, the samples joined, repeated,
reversed and padded, foreign datagrams, and random bytes from a fixed seed. It may return messages, no messages, or
raise RejectError with a named reason. Whatever it returns must be maps of known field names to numbers, flags or
words, and must pass the assembler without a fault. Anything else raises ConformanceError with the datagram in it.
"""

import random
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from otherseat.adapters.adapter import Adapter, Reason, RejectError
from otherseat.adapters.assembler import Assembler
from otherseat.advisories.state import STATE_FIELDS

SEED = 20_260
FLIPPED_BITS = 4_096
"""Of a sample longer than this many bits, evenly spread ones are flipped."""


class ConformanceError(AssertionError):
    """The adapter did what no adapter may do."""

    def __init__(self, what: str, datagram: bytes) -> None:
        self.datagram = datagram
        super().__init__(f"{what}; datagram {datagram[:64].hex()}{'...' if len(datagram) > 64 else ''}")  # noqa: PLR2004 - enough to see


def check(
    adapter: Adapter,
    *,
    options: Mapping[str, Any],
    samples: Sequence[bytes],
    foreign: Iterable[bytes] = (),
    random_datagrams: int = 10_000,
) -> int:
    """Try everything on fresh decoders and on one that keeps its memory; return how many datagrams it bore.

    samples are real datagrams of the adapter's format, foreign ones of others. Raises ConformanceError.
    """
    count = 0
    veteran = Trial(adapter, options)
    for datagram in hostile(samples, foreign, random_datagrams):
        veteran.take(datagram)
        count += 1
    for sample in samples:
        newcomer = Trial(adapter, options)
        for datagram in (sample, sample, b"", sample):
            newcomer.take(datagram)
            count += 1
    return count


class Trial:
    """One decoder under trial, with an assembler behind it."""

    def __init__(self, adapter: Adapter, options: Mapping[str, Any]) -> None:
        self._decoder = adapter.make(options)
        self._assembler = Assembler()
        self._time_s = 0.0

    def take(self, datagram: bytes) -> Reason | None:
        """Decode one datagram; return why it was refused, None when it was not. Raises ConformanceError."""
        self._time_s += 0.01
        try:
            messages = self._decoder.decode(datagram)
        except RejectError as error:
            if not isinstance(error.reason, Reason):
                raise ConformanceError("refused for no named reason", datagram) from error
            return error.reason
        except Exception as error:
            raise ConformanceError(f"raised {error!r}", datagram) from error
        for message in messages:
            require_fields(message, datagram)
        try:
            self._assembler.take(messages, received_s=self._time_s)
        except Exception as error:
            raise ConformanceError(f"its messages made the assembler raise {error!r}", datagram) from error
        return None


def require_fields(message: object, datagram: bytes) -> None:
    """Refuse a message that is no map of known names to plain values."""
    if not isinstance(message, Mapping):
        raise ConformanceError(f"returned a {type(message).__name__}, not a map", datagram)
    for name, value in message.items():
        if name not in STATE_FIELDS:
            raise ConformanceError(f"returned the unknown field {name!r}", datagram)
        if type(value) not in (float, int, bool, str):
            raise ConformanceError(f"returned a {type(value).__name__} for {name}", datagram)


def hostile(samples: Sequence[bytes], foreign: Iterable[bytes], random_datagrams: int) -> Iterator[bytes]:
    """Yield everything that an adapter is tried on, the same each time."""
    for sample in samples:
        yield sample
        yield from truncations(sample)
        yield from flipped(sample)
        yield from (sample + sample, sample[::-1], sample + bytes(64), bytes(64) + sample, sample * 40)
    yield from foreign
    draw = random.Random(SEED)
    for _ in range(random_datagrams):
        yield mutated(draw, samples) if samples and draw.random() < 0.5 else draw.randbytes(below(draw, 301))  # noqa: PLR2004 - half and half


def truncations(sample: bytes) -> Iterator[bytes]:
    """Yield the sample cut short at every byte."""
    return (sample[:end] for end in range(len(sample)))


def flipped(sample: bytes) -> Iterator[bytes]:
    """Yield the sample with one bit flipped, for every bit or evenly spread ones."""
    bits = len(sample) * 8
    for bit in range(0, bits, max(1, bits // FLIPPED_BITS)):
        damaged = bytearray(sample)
        damaged[bit // 8] ^= 1 << bit % 8
        yield bytes(damaged)


def below(draw: random.Random, count: int) -> int:
    """Return a whole number from 0 to less than count; randrange takes five times as long, and most of a long trial."""
    return int(draw.random() * count)


def mutated(draw: random.Random, samples: Sequence[bytes]) -> bytes:
    """Return a sample with a few bytes changed, put in, taken out or swapped with another sample's."""
    data = bytearray(samples[below(draw, len(samples))])
    for _ in range(1 + below(draw, 6)):
        at = below(draw, len(data) + 1)
        choice = below(draw, 4)
        if choice == 0:
            data[at : at + 1] = draw.randbytes(1)
        elif choice == 1:
            data[at:at] = draw.randbytes(1 + below(draw, 8))
        elif choice == 2:  # noqa: PLR2004 - one of four
            del data[at : at + 1 + below(draw, 8)]
        else:
            other = samples[below(draw, len(samples))]
            data[at:] = other[at:]
    return bytes(data)
