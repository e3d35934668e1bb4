"""A layout that does not fit its stream: values that can't be true are left out, counted by field, and told."""

import random
import time
from collections import Counter
from pathlib import Path
from types import SimpleNamespace
from typing import cast

import pytest

from otherseat.adapters.adapter import Reason
from otherseat.adapters.intake import FIELDS_TOLD
from otherseat.adapters.listener import Listener
from otherseat.config.settings import SourceSettings
from otherseat.daemon.doctor import _heard
from otherseat.daemon.messages import SourceHealth
from otherseat.daemon.source import make_intake
from otherseat.daemon.source_words import SEVERAL, misfit
from tests.daemon.test_fly import LABELS, row
from tests.running import in_here, running

LAYOUT = """
name = "bare"
summary = "numbers without a mark"
kind = "binary"

[binary]
byte_order = "little"

[[message]]
length = 28

[message.fields]
latitude_deg = { at = 0, type = "f64" }
longitude_deg = { at = 8, type = "f64" }
altitude_ft = { at = 16, type = "f32" }
heading_true_deg = { at = 20, type = "f32" }
pitch_deg = { at = 24, type = "f32" }
"""
DATAGRAMS = 200


def source(*, datagrams: int, adapter: str = "layout", **fields: int) -> SourceHealth:
    """Return a source of which so many values were left out."""
    return SourceHealth(
        name="mine.toml", adapter=adapter, address="127.0.0.1:47800", datagrams=datagrams, refused_fields=fields
    )


def test_a_layout_that_does_not_fit(tmp_path: Path) -> None:
    """Random bytes of the right length: the real daemon reads them, and status and doctor name what is wrong."""
    layout = tmp_path / "bare.toml"
    layout.write_text(LAYOUT, encoding="utf-8")
    chance = random.Random(1)
    log = tmp_path / "log.txt"
    with (
        log.open("w", encoding="utf-8") as written,
        running("--layout", str(layout), "--no-recording", "--no-memory", stderr=written) as daemon,
        daemon.client() as client,
    ):
        daemon.send([chance.randbytes(28) for _ in range(DATAGRAMS)])
        while client.ask("status").sources[0].datagrams < DATAGRAMS:
            pass
        health = client.ask("status").sources[0]
        told = in_here("status", "--desk", daemon.desk)
        examined = in_here("doctor", "--feed", daemon.feed, "--desk", daemon.desk)
        while "misfit" not in log.read_text(encoding="utf-8"):
            time.sleep(0.05)  # the daemon looks once a second
        looks = client.listen("health")
        for _ in range(3):
            next(looks)

    assert 1 == log.read_text(encoding="utf-8").count("the layout probably does not fit this stream")
    assert {reason.value for reason in Reason}.isdisjoint(health.refused)
    assert {"latitude_deg", "longitude_deg", "altitude_ft", "heading_true_deg", "pitch_deg"} <= set(
        health.refused_fields
    )
    assert len(health.refused_fields) <= FIELDS_TOLD
    assert all(DATAGRAMS / 5 < health.refused_fields[name] < DATAGRAMS for name in ("latitude_deg", "pitch_deg"))
    said = f"pitch_deg {health.refused_fields['pitch_deg']} times"
    advice = (
        f"the layout probably does not fit this stream: `otherseat layout check {layout} --against {daemon.udp[1]}`"
    )
    assert said in told.stdout
    assert advice in told.stdout
    assert 1 == examined.exit_code
    wrong = [line for line in examined.stdout.splitlines() if line.startswith("WRONG ")]
    assert [line for line in wrong if said in line and "the layout probably does not fit this stream" in line]


def test_doctor_by_its_own_ears(tmp_path: Path) -> None:
    """Without a daemon doctor listens itself, and finds the same."""
    layout = tmp_path / "bare.toml"
    layout.write_text(LAYOUT, encoding="utf-8")
    chance = random.Random(1)
    settings = SourceSettings(layout=str(layout), port=47_910)
    intake = make_intake(settings)
    states = [state for _ in range(DATAGRAMS) for state in intake.take(chance.randbytes(28), received_s=1.0)]
    listener = cast("Listener", SimpleNamespace(refusals=Counter(), received=DATAGRAMS))
    lines = list(_heard(source=settings, listener=listener, intake=intake, states=states))

    assert f"--against {settings.port}` shows what it reads" in lines[0]
    assert lines[0].startswith(f"WRONG UDP 127.0.0.1:{settings.port}: left out, as out of range, in ")


def test_a_stream_that_fits() -> None:
    """One value that can't be true is counted by its name and is no reason for advice; doctor finds nothing in it."""
    with running("--no-recording", "--no-memory") as daemon, daemon.client() as client:
        rows = [row(10.0 + count / 10) for count in range(60)]
        daemon.send([LABELS, row(9.0, latitude_deg=123.0), *rows])
        while client.ask("status").sources[0].datagrams < len(rows) + 2:
            pass
        health = client.ask("status").sources[0]
        told = in_here("status", "--desk", daemon.desk).stdout
        examined = in_here("doctor", "--feed", daemon.feed, "--desk", daemon.desk).stdout

    assert {"latitude_deg": 1} == health.refused_fields
    assert "  left out, as out of range: latitude_deg 1\n" in told
    assert "does not fit" not in told + examined
    assert [] == [line for line in examined.splitlines() if line.startswith("WRONG ") and "left out" in line]


@pytest.mark.parametrize(
    ("datagrams", "count", "is_told"),
    [(10, SEVERAL - 1, False), (10, SEVERAL, True), (1_000, 49, False), (1_000, 50, True)],
)
def test_how_many_are_no_accident(datagrams: int, count: int, is_told: bool) -> None:  # noqa: FBT001 - a parameter
    """Several, and one in twenty."""
    assert is_told == bool(misfit(source(datagrams=datagrams, pitch_deg=count)))


def test_what_is_told() -> None:
    """The fields that are no accident, how often, and the command that shows what the layout reads."""
    assert (
        "left out, as out of range, in 100 datagrams: pitch_deg 90 times, altitude_ft 40 times; "
        "the layout probably does not fit this stream: `otherseat layout check mine.toml --against 47800` "
        "shows what it reads (end `otherseat fly` first)"
    ) == misfit(source(datagrams=100, pitch_deg=90, altitude_ft=40, bank_deg=1))


def test_an_adapter_that_is_no_layout() -> None:
    """A format of its own has no layout to check."""
    told = misfit(source(datagrams=100, adapter="nmea", latitude_deg=90))

    assert told.endswith("latitude_deg 90 times; this is probably not the format that nmea reads")
