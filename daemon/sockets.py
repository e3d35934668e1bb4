"""Sockets: the addresses of the bus, and what its sockets on both ends have in common."""

import errno
import os

import zmq

FEED = "tcp://127.0.0.1:47801"
DESK = "tcp://127.0.0.1:47802"

HEARTBEAT_MS = 1_000
HEARTBEAT_TIMEOUT_MS = 3_000


class EndpointError(RuntimeError):
    """An address that can't be bound or connected to; the message names it and says what is wrong."""


class EndpointTakenError(EndpointError):
    """An address that somebody else has."""


def connect(socket: "zmq.Socket[bytes]", address: str) -> None:
    """Connect a socket, or raise EndpointError for what is no address."""
    try:
        socket.connect(address)
    except zmq.ZMQError as error:
        raise EndpointError(f"{address} can't be connected to: {_reason(error)}") from error


def _reason(error: zmq.ZMQError) -> str:
    """Return what is wrong with an address; the library's own words for one that it can't read help nobody."""
    if error.errno in {errno.EINVAL, zmq.EPROTONOSUPPORT}:
        return "an address looks like tcp://127.0.0.1:47801"
    return os.strerror(error.errno) if error.errno else str(error)


def notice_dead_peers(socket: "zmq.Socket[bytes]") -> None:
    """Have a connection whose other end vanished noticed and closed."""
    socket.setsockopt(zmq.HEARTBEAT_IVL, HEARTBEAT_MS)
    socket.setsockopt(zmq.HEARTBEAT_TIMEOUT, HEARTBEAT_TIMEOUT_MS)


def reconnect_soon(socket: "zmq.Socket[bytes]") -> None:
    """Have a connecting socket try again at once, and every second at the latest."""
    socket.setsockopt(zmq.RECONNECT_IVL, 100)
    socket.setsockopt(zmq.RECONNECT_IVL_MAX, 1_000)
