"""Sockets: the addresses of the bus and how both of its sockets are bound."""

from typing import Any

import zmq

from otherseat.daemon.gate import Gate, is_this_machine, open_to_others

FEED = "tcp://127.0.0.1:47801"
DESK = "tcp://127.0.0.1:47802"

HEARTBEAT_MS = 1_000
HEARTBEAT_TIMEOUT_MS = 3_000


class EndpointError(RuntimeError):
    """An address that can't be bound; the message names it."""


def bind(socket: "zmq.Socket[bytes]", endpoint: str, *, gate: Gate | None = None) -> str:
    """Bind and return the endpoint in full, or close the socket and raise EndpointError or KeysError.

    With a gate it lets in known keys only; without, it must be of this machine only.
    """
    if gate is not None:
        gate.lock(socket)
    elif not is_this_machine(endpoint):
        socket.close(linger=0)
        raise open_to_others(endpoint)
    try:
        socket.bind(endpoint)
    except zmq.ZMQError as error:
        socket.close(linger=0)
        if error.errno == zmq.EADDRINUSE:
            raise EndpointError(f"{endpoint} is taken: is another otherseat running?") from error
        raise EndpointError(f"{endpoint} can't be bound: {error.strerror or error}") from error
    bound: Any = socket.getsockopt(zmq.LAST_ENDPOINT)
    return bytes(bound).rstrip(b"\0").decode()


def notice_dead_peers(socket: "zmq.Socket[bytes]") -> None:
    """Have a connection whose other end vanished noticed and closed."""
    socket.setsockopt(zmq.HEARTBEAT_IVL, HEARTBEAT_MS)
    socket.setsockopt(zmq.HEARTBEAT_TIMEOUT, HEARTBEAT_TIMEOUT_MS)
