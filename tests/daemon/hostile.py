"""Hostile requests: what a broken or ill-meaning program might send to the desk. None of them may have an effect.

Every valid-looking order among them carries a key that no verb knows, so that even an undamaged one must be refused.
"""

import random
from collections.abc import Callable

import msgpack

ORDERS = (
    {"verb": "plan.set", "id": 1, "body": {"aircraft": "own", "plan": {"destination": "ZZPS/07"}, "sneak": 1}},
    {"verb": "acknowledge", "id": 2, "body": {"aircraft": "own", "sneak": 1}},
    {"verb": "mute", "id": 3, "body": {"muted": True, "sneak": 1}},
    {"verb": "say", "id": 4, "body": {"text": "Turn left.", "sneak": 1}},
)


def noise(dice: random.Random) -> list[bytes]:
    """Return random bytes."""
    return [dice.randbytes(dice.choice((0, 1, 3, 20, 200, 3_000)))]


def damaged(dice: random.Random) -> list[bytes]:
    """Return an order with some bytes changed."""
    frame = bytearray(msgpack.packb(dice.choice(ORDERS)))
    for _ in range(dice.randint(0, 4)):
        frame[dice.randrange(len(frame))] = dice.randrange(256)
    return [bytes(frame)]


def cut(dice: random.Random) -> list[bytes]:
    """Return an order without its end, or with something behind it."""
    frame = msgpack.packb(dice.choice(ORDERS))
    return [frame[: dice.randrange(len(frame))] if dice.random() < 0.5 else frame + dice.randbytes(3)]


def nested(dice: random.Random) -> list[bytes]:
    """Return arrays or maps within each other, deeper than anybody reads."""
    depth = dice.choice((10, 500, 2_000, 20_000))
    return [(b"\x91" if dice.random() < 0.5 else b"\x81\xa1a") * depth + b"\xc0"]


def boasting(dice: random.Random) -> list[bytes]:
    """Return a frame that announces far more than it holds."""
    return [dice.choice((b"\xdd", b"\xdf", b"\xdb", b"\xc6", b"\xc9")) + b"\xff\xff\xff\xfe" + dice.randbytes(8)]


def odd_types(dice: random.Random) -> list[bytes]:
    """Return maps whose values are of another kind than they should be."""
    odd = (None, -1, 2**64 - 1, 1e308, float("nan"), float("-inf"), "", "\ud7ff", "x" * 5_000, b"\xff", [], {}, True)
    value = [dice.choice(odd) for _ in range(4)]
    extension = msgpack.ExtType(dice.randrange(128), dice.randbytes(dice.choice((1, 4, 8, 12))))
    return [
        msgpack.packb(
            dice.choice(
                (
                    {"verb": value[0], "id": value[1], "body": value[2]},
                    {"verb": "mute", "id": value[1], "body": {"muted": extension}},
                    {"verb": "plan.set", "body": {"plan": {"route": [value[0]], "path_angle_deg": value[1]}, "no": 0}},
                    {"verb": "acknowledge", "body": {"id": value[3], "aircraft": value[0], "sneak": 1}},
                    {value[0] if value[0].__hash__ else 0: value[1], "verb": "say"},
                    extension,
                    value,
                )
            )
        )
    ]


def many_frames(dice: random.Random) -> list[bytes]:
    """Return a message of more or other frames than a request has."""
    return [dice.randbytes(dice.choice((0, 1, 30))) for _ in range(dice.choice((2, 3, 50)))]


def stamps(dice: random.Random) -> list[bytes]:
    """Return msgpack's own time stamps, most of them impossible."""
    return [dice.choice((b"\xd6\xff", b"\xd7\xff", b"\xc7\x0c\xff")) + dice.randbytes(dice.choice((4, 8, 12)))]


MAKERS: tuple[Callable[[random.Random], list[bytes]], ...] = (
    noise,
    damaged,
    cut,
    nested,
    boasting,
    odd_types,
    many_frames,
    stamps,
)


def requests(*, seed: int, count: int) -> "list[list[bytes]]":
    """Return so many hostile messages, always the same for a seed."""
    dice = random.Random(seed)
    return [dice.choice(MAKERS)(dice) for _ in range(count)]
