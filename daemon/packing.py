"""Packing: how a message's second frame is written. `daemon/bus.md` is the contract, `messages.py` has the bodies.

The general way asks the data model for a map. States, pictures and alerts have ways of their own: the first two leave
many times a second, and an alert is waited for.
"""

import math
from collections.abc import Callable, Mapping
from dataclasses import fields
from operator import attrgetter
from typing import Any, get_args, get_type_hints

import msgpack

from otherseat.advisories.picture import Picture
from otherseat.advisories.state import State
from otherseat.daemon.messages import SCHEMA, AlertMessage, Kind, adapter_of, plain_value

Writer = Callable[[Any], dict[str, Any]]


def _flat_writer(body: type) -> Writer:
    """Return a fast writer for a flat dataclass: one attrgetter and one pass.

    It runs for every state, where dataclasses.asdict takes ten times as long.
    """
    hints = get_type_hints(body)
    names = tuple(field.name for field in fields(body))
    numbers = tuple(float in (hints[name], *get_args(hints[name])) for name in names)
    read, is_finite = attrgetter(*names), math.isfinite

    def write(instance: Any) -> dict[str, Any]:
        return {
            name: value
            for name, number, value in zip(names, numbers, read(instance), strict=True)
            if value is not None and (not number or is_finite(value))
        }

    return write


def _state_writer() -> Writer:
    """Return a writer that takes a state's values as they were told, where it has them."""
    write_flat = _flat_writer(State)

    def write(state: State) -> dict[str, Any]:
        try:
            return state.told  # type: ignore[return-value]  # packed, and not changed
        except AttributeError:
            return write_flat(state)

    return write


def _alert_writer() -> Writer:
    """Return a writer of alerts, which are waited for: it takes a third of the time of the general one."""
    names = tuple(field.name for field in fields(AlertMessage))
    read = attrgetter(*names)

    def write(alert: AlertMessage) -> dict[str, Any]:
        body = dict(zip(names, read(alert), strict=True))
        body["level"] = alert.level.word
        return body

    return write


def _model_writer(kind: Kind) -> Writer:
    def write(instance: Any) -> dict[str, Any]:
        dumped: dict[str, Any] = adapter_of(kind).dump_python(instance, exclude_none=True)
        return dumped

    return write


WRITERS: Mapping[Kind, Writer] = {
    **{kind: _model_writer(kind) for kind in Kind},
    Kind.STATE: _state_writer(),
    Kind.ALERT: _alert_writer(),
    Kind.PICTURE: _flat_writer(Picture),
}

_PACKER = msgpack.Packer(default=plain_value, autoreset=True)


def encode(kind: Kind, body: Any, *, session: str, seq: int, time_s: float) -> bytes:
    """Pack one message's second frame."""
    packed: bytes = _PACKER.pack(
        {"schema": SCHEMA, "session": session, "seq": seq, "time_s": time_s, "body": WRITERS[kind](body)}
    )
    return packed
