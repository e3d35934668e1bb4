"""Bus: the feed, which tells, and the desk, which is asked. `daemon/bus.md` is the contract."""

from otherseat.daemon.desk import Allowance, Desk, RefusedError
from otherseat.daemon.feed import Feed
from otherseat.daemon.sockets import DESK, FEED, EndpointError

__all__ = ["DESK", "FEED", "Allowance", "Desk", "EndpointError", "Feed", "RefusedError"]
