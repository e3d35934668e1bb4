"""The command's bad days."""

import importlib.util
from typing import Any

import pytest
import zmq
from click.testing import CliRunner

from otherseat.daemon.demo import demo
from otherseat.daemon.extras import how_to_install


def test_without_the_flight_model(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without the extra one line says what to install, and the exit code is 2."""
    find = importlib.util.find_spec

    def without(name: str, *arguments: Any) -> Any:
        return None if name == "jsbsim" else find(name, *arguments)

    monkeypatch.setattr(importlib.util, "find_spec", without)
    result = CliRunner().invoke(demo, ["--fast"])

    assert 2 == result.exit_code
    assert f"otherseat: the demo needs the flight model: {how_to_install('demo')}\n" == result.stderr


def test_bus_address_taken() -> None:
    """When somebody else has the bus address, the daemon's own words come through, and the exit code is 2."""
    context: zmq.Context[Any] = zmq.Context()
    with context, context.socket(zmq.PUB) as other:
        port = other.bind_to_random_port("tcp://127.0.0.1")
        feed = f"tcp://127.0.0.1:{port}"
        result = CliRunner().invoke(demo, ["--fast", "--feed", feed, "--desk", "tcp://127.0.0.1:*"])

    assert 2 == result.exit_code
    assert str(port) in result.stderr
    assert result.stderr.startswith("otherseat: ")
    assert "otherseat: otherseat:" not in result.stderr
