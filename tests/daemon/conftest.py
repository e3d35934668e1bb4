"""What several tests of the daemon are given."""

import socket

import pytest


@pytest.fixture
def port() -> int:
    """Return a UDP port of this machine that is free."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
        free.bind(("127.0.0.1", 0))
        found: int = free.getsockname()[1]
    return found
