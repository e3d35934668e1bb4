"""The forwarder: raw datagrams on to other programs, because many simulators export to one port only.

Sending never blocks and never raises: what can't be sent at once is dropped and counted, per target.
"""

import socket
from collections import Counter
from collections.abc import Sequence

Target = tuple[str, int]


def target_of(text: str) -> Target:
    """Return (host, port) of "host:port" or "[host]:port"; ValueError when it is neither."""
    host, _, port = text.rpartition(":")
    if not host or not port.isdecimal() or not 0 < int(port) < 2**16:
        raise ValueError(f"{text!r} is no address; write 127.0.0.1:50123")
    return host.strip("[]"), int(port)


class Forwarder:
    """Sends every datagram to each of its targets."""

    def __init__(self, targets: Sequence[Target]) -> None:
        self._sockets = [(target, open_for(target)) for target in targets]
        self.sent = 0
        self.failed: Counter[Target] = Counter()

    def send(self, datagram: bytes) -> None:
        """Send to every target."""
        for target, sender in self._sockets:
            try:
                sender.sendto(datagram, target)
                self.sent += 1
            except OSError:
                self.failed[target] += 1

    def close(self) -> None:
        """Close the sockets."""
        for _, sender in self._sockets:
            sender.close()


def open_for(target: Target) -> socket.socket:
    """Return a non-blocking socket that may send to the target, broadcast addresses included."""
    sender = socket.socket(socket.AF_INET6 if ":" in target[0] else socket.AF_INET, socket.SOCK_DGRAM)
    sender.setsockopt(socket.SOL_SOCKET, socket.SO_BROADCAST, 1)
    sender.setblocking(False)
    return sender
