"""Gate: lets only known keys connect to the bus (ZeroMQ's ZAP, answered by pyzmq's authenticator).

A socket that is locked and whose gate is not up lets nobody in.
"""

import ipaddress
import logging
from pathlib import Path
from typing import Any

import zmq
from zmq.auth.thread import ThreadAuthenticator

from otherseat.daemon.keys import ALLOWED, DAEMON, HOW, AllowList, KeysError, Pair, Role, read_pair
from otherseat.daemon.sockets import FEED, EndpointError, EndpointTakenError

DOMAIN = "otherseat"


class Gate:
    """The keys of one daemon or relay, and the answer to who may come in. Close it before the context."""

    def __init__(self, context: "zmq.Context[Any]", folder: Path) -> None:
        if not zmq.has("curve"):
            raise KeysError("this libzmq knows no CURVE keys; install pyzmq from its own wheel")
        self._pair = read_pair(folder / f"{DAEMON}.key_secret")
        self.allowed = AllowList(folder / ALLOWED)
        quiet = logging.getLogger(f"{__name__}.zap")
        quiet.setLevel(logging.CRITICAL)
        self._authenticator = ThreadAuthenticator(context, log=quiet)
        self._authenticator.start()
        self._authenticator.configure_curve_callback(domain=DOMAIN, credentials_provider=self)

    def callback(self, domain: str, key: bytes) -> bool:  # noqa: ARG002 - as the authenticator calls it
        """Say whether a key may connect."""
        return self.allowed.role_of(key.decode()) is not None

    def lock(self, socket: "zmq.Socket[bytes]") -> None:
        """Have a socket let in nobody but who passes here. To be called before it binds."""
        socket.setsockopt(zmq.CURVE_SERVER, 1)
        socket.setsockopt(zmq.CURVE_SECRETKEY, self._pair.secret)
        socket.setsockopt(zmq.CURVE_PUBLICKEY, self._pair.public)
        socket.setsockopt(zmq.ZAP_DOMAIN, DOMAIN.encode())
        # Without this libzmq lets everybody in when nobody answers at the gate.
        socket.setsockopt(zmq.ZAP_ENFORCE_DOMAIN, 1)

    def may_order(self, user: str) -> bool:
        """Say whether a key that is connected may give orders now."""
        return self.allowed.role_of(user) is Role.OPERATOR

    def may_ask(self, user: str) -> bool:
        """Say whether a key that is connected may ask now."""
        return self.allowed.role_of(user) is not None

    def close(self) -> None:
        """Let nobody in any more."""
        self._authenticator.stop()


def bind(socket: "zmq.Socket[bytes]", endpoint: str, *, gate: Gate | None = None) -> str:
    """Bind and return the endpoint in full, or close the socket and raise EndpointError or KeysError.

    With a gate it lets in known keys only; without, it must be of this machine only.
    """
    if gate is not None:
        gate.lock(socket)
    elif not is_this_machine(endpoint):
        socket.close(linger=0)
        if endpoint.startswith("tcp://"):
            raise open_to_others(endpoint)
        raise EndpointError(f"{endpoint} can't be bound: an address looks like {FEED}")
    try:
        socket.bind(endpoint)
    except zmq.ZMQError as error:
        socket.close(linger=0)
        if error.errno == zmq.EADDRINUSE:
            raise EndpointTakenError(f"{endpoint} is taken") from error
        raise EndpointError(f"{endpoint} can't be bound: {error.strerror or error}") from error
    bound: Any = socket.getsockopt(zmq.LAST_ENDPOINT)
    return bytes(bound).rstrip(b"\0").decode()


def unlock(socket: "zmq.Socket[bytes]", *, pair: Pair, server: bytes) -> None:
    """Give a client's socket its keys. To be called before it connects."""
    socket.setsockopt(zmq.CURVE_SERVERKEY, server)
    socket.setsockopt(zmq.CURVE_PUBLICKEY, pair.public)
    socket.setsockopt(zmq.CURVE_SECRETKEY, pair.secret)


def is_this_machine(endpoint: str) -> bool:
    """Say whether an endpoint can be reached from this machine only."""
    transport, _, address = endpoint.partition("://")
    host = address.rpartition(":")[0].strip("[]")
    try:
        return transport == "tcp" and (host == "localhost" or ipaddress.ip_address(host).is_loopback)
    except ValueError:
        return False


def open_to_others(endpoint: str) -> KeysError:
    """Return the error for an endpoint that others can reach though there are no keys."""
    return KeysError(f"{endpoint} can be reached from other machines, and that needs keys: {HOW}")
