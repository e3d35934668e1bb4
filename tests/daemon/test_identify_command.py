"""`otherseat identify` on streams that arrive at a real socket, from the flight model's own flights."""

import socket
import threading
from collections.abc import Callable, Iterator
from concurrent.futures import Future
from contextlib import contextmanager
from pathlib import Path

import click
import numpy as np
import pytest
from click.testing import CliRunner

from otherseat.adapters.identify import Verdict
from otherseat.adapters.intake import Intake
from otherseat.adapters.layout import decoder_of
from otherseat.adapters.layout_file import parse
from otherseat.advisories.state import State
from otherseat.config.errors import ConfigError
from otherseat.daemon.identify_command import Datagrams, ground_elevation_m, identify, listen, run_identify, units_told
from tests.adapters.flown import Table, calm_flight, flight
from tests.adapters.test_identify import rows_of
from tests.daemon.test_capture_command import kept

KT_PER_FPS = 0.3048 / (1852.0 / 3600.0)
EVERY = 3
"""Of the model's sixty rows a second one in so many is sent."""
A_BREATH_S = 0.0003
LONG_S = 60.0
"""The listening ends before, by Ctrl-C or because all is settled."""


def ground_kt(table: Table) -> np.ndarray:
    """Return the groundspeed in knots."""
    return np.hypot(table["north_fps"], table["east_fps"]) * KT_PER_FPS


def in_metres(table: Table) -> list[bytes]:
    """Return a stream whose heights are metres and metres a second, with nothing in it that would settle that."""
    place = (table["time_s"], table["latitude_deg"], table["longitude_deg"])
    climb = (table["altitude_ft"] * 0.3048, table["vertical_speed_fps"] * 0.3048)
    return rows_of(*place, *climb, ground_kt(table), table["heading_true_deg"])[::EVERY]


def whole(table: Table) -> list[bytes]:
    """Return a stream with everything that a pilot needs."""
    names = ("time_s", "latitude_deg", "longitude_deg", "altitude_ft", "indicated_airspeed_kt", "heading_true_deg")
    more = (table["vertical_speed_fps"] * 60.0, ground_kt(table), table["pitch_deg"], table["bank_deg"])
    return rows_of(*(table[name] for name in names), *more)[::EVERY]


class Simulator:
    """Sends rows to a port as fast as they are read; the clock of receipt goes by them, then its user presses Ctrl-C.

    Time is the stream's own, so that a machine that stalls moves nothing.
    """

    def __init__(self, port: int) -> None:
        self._to = ("127.0.0.1", port)
        self._now_s: float | None = 1.7e9
        self._read = threading.Event()

    def clock_s(self) -> float:
        """Return the time of the row that is being read, of which the listener asks once each."""
        if self._now_s is None:
            raise KeyboardInterrupt
        self._read.set()
        return self._now_s

    @contextmanager
    def sending(self, rows: list[bytes]) -> Iterator[None]:
        """Send the rows while the block runs."""
        done = threading.Event()

        def send() -> None:
            with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
                while not self._read.wait(0.05) and not done.is_set():
                    out.sendto(rows[0], self._to)  # until somebody listens
                for row in rows[1:]:
                    self._read.clear()
                    out.sendto(row, self._to)
                    while not self._read.wait(0.05):
                        if done.is_set():
                            return
                    done.wait(A_BREATH_S)  # else one drain would read on and on
                    self._now_s = (self._now_s or 0.0) + EVERY / 60.0
                done.wait(100 * A_BREATH_S)
                self._now_s = None
                out.sendto(b"the flight is over", self._to)

        sender = threading.Thread(target=send)
        sender.start()
        try:
            yield
        finally:
            done.set()
            sender.join()


@pytest.fixture
def simulator(port: int, monkeypatch: pytest.MonkeyPatch) -> Simulator:
    """Return a simulator by whose time the listener goes."""
    made = Simulator(port)
    monkeypatch.setattr("otherseat.adapters.listener.steady_wall_clock", lambda: made.clock_s)
    return made


@pytest.fixture
def at_once(monkeypatch: pytest.MonkeyPatch) -> None:
    """Let every study end before the next row is read."""
    monkeypatch.setattr("otherseat.daemon.identify_listening.executor", AtOnce)


class AtOnce:
    """Runs a study when it is asked to."""

    def submit(self, fn: Callable[[Datagrams], Verdict], datagrams: Datagrams, /) -> "Future[Verdict]":
        """Run it."""
        future: Future[Verdict] = Future()
        future.set_result(fn(datagrams))
        return future

    def shutdown(self, **_: bool) -> None:
        """Nothing runs."""


def read_by(text: str, datagrams: Datagrams) -> list[State]:
    """Return the states that a layout makes of the datagrams."""
    intake = Intake(decoder_of(parse(text, origin="found.toml")))
    return [state for time_s, datagram in datagrams for state in intake.take(datagram, received_s=time_s)]


def test_metres_without_pitch_from_socket_to_layout(
    port: int, simulator: Simulator, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Heights in metres, no pitch: no altitude is written, how to tell is; so told, the altitude is that flown."""
    table, target = flight(4), tmp_path / "mine.toml"
    rows = in_metres(table)
    with simulator.sending(rows):
        datagrams = listen(str(port), seconds=LONG_S, units={})
    found = run_identify(datagrams, target, endpoint=str(port), units={}, asks=False)
    told = capsys.readouterr().out
    text = target.read_text(encoding="utf-8")
    chosen = text.replace('# altitude_ft = { column = 3, unit = "m"', 'altitude_ft = { column = 3, unit = "m"')
    last_ft = float(datagrams[-1][1].split(b",")[3]) / 0.3048

    assert found
    assert len(datagrams) >= len(rows)
    assert {None} == {state.altitude_ft for state in read_by(text, datagrams)}
    assert "open: feet or metres" in told
    assert "NOT IN THE LAYOUT" in told
    assert "--unit altitude_ft=m" in told
    assert text != chosen
    assert pytest.approx(last_ft, abs=0.1) == read_by(chosen, datagrams)[-1].altitude_ft

    asked_again = tmp_path / "again.toml"
    run_identify(datagrams, asked_again, endpoint=None, units={"altitude_ft": "m"}, asks=False)

    assert "NOT IN THE LAYOUT" not in capsys.readouterr().out
    assert pytest.approx(last_ft, abs=0.1) == read_by(asked_again.read_text("utf-8"), datagrams)[-1].altitude_ft


def test_calm_air_from_socket_to_layout(port: int, simulator: Simulator, tmp_path: Path) -> None:
    """In calm air near the sea the airspeed comes first in the stream, and the groundspeed is read all the same."""
    table, target = calm_flight(2, 100.0), tmp_path / "mine.toml"
    place = (table["time_s"], table["latitude_deg"], table["longitude_deg"], table["altitude_ft"])
    speeds = (table["indicated_airspeed_kt"], ground_kt(table))
    rows = rows_of(*place, table["vertical_speed_fps"] * 60.0, table["heading_true_deg"], *speeds)[::EVERY]
    with simulator.sending(rows):
        datagrams = listen(str(port), seconds=LONG_S, units={})
    run_identify(datagrams, target, endpoint=str(port), units={}, asks=False)
    last = read_by(target.read_text(encoding="utf-8"), datagrams)[-1]
    indicated_kt, groundspeed_kt = map(float, datagrams[-1][1].split(b",")[6:8])

    assert (pytest.approx(indicated_kt), pytest.approx(groundspeed_kt)) == (
        last.indicated_airspeed_kt,
        last.groundspeed_kt,
    )


@pytest.mark.usefixtures("at_once")
def test_listening_ends_when_all_is_settled(port: int, simulator: Simulator, tmp_path: Path) -> None:
    """With everything in the stream it ends by itself before the flight does, and says what was open until then."""
    target = tmp_path / "mine.toml"
    rows = whole(flight(1))
    with simulator.sending(rows):
        result = CliRunner().invoke(identify, [str(port), "--write", str(target)])

    assert 0 == result.exit_code, result.output
    assert "flying on would add nothing" in result.output
    assert "settled" not in result.output
    assert "Likely, check it:" in result.output
    assert "NOT IN THE LAYOUT" not in result.output
    assert target.exists()
    assert result.output.splitlines()[-1].endswith(f"  otherseat layout check {target} --against {port}")
    assert int(result.output.split(" datagrams in ")[0].rpartition("\n")[2]) < len(rows)


@pytest.mark.usefixtures("at_once")
def test_a_constant_speed_is_named_while_listening(
    port: int, simulator: Simulator, capsys: pytest.CaptureFixture[str]
) -> None:
    """Turned at one speed all the time: while it listens the hint is to change speed, not to turn."""
    times_s = np.arange(1_800) / 60.0
    heading = 40.0 + 150.0 * np.clip((times_s - 3.0) / 22.0, 0.0, 1.0)
    metres = np.cumsum(np.exp(1j * np.radians(heading))) * 120.0 * (1852.0 / 3600.0) / 60.0
    place = (5.6 + metres.real / 110_580.0, 151.2 + metres.imag / (111_320.0 * np.cos(np.radians(5.6))))
    rows = rows_of(times_s, *place, heading, np.full(1_800, 120.0))[::EVERY]
    with simulator.sending(rows):
        datagrams = listen(str(port), seconds=LONG_S, units={})
    told = capsys.readouterr().out
    run_identify(datagrams, None, endpoint=str(port), units={}, asks=False)

    for each in (told, capsys.readouterr().out):
        assert "change speed by 20 kt or more" in each
        assert "column 4 stays the same" in each
        assert "fly a turn of" not in each


def test_a_person_is_asked(tmp_path: Path) -> None:
    """At a terminal the question gives both numbers; the answer is in the layout, and no answer leaves it out."""
    table = flight(4)
    datagrams = [(index * EVERY / 60.0, row) for index, row in enumerate(in_metres(table))]
    last_m = float(datagrams[-1][1].split(b",")[3])
    for answer, altitude_ft in (("m", last_m / 0.3048), ("", None)):
        target = tmp_path / f"answer{answer}.toml"
        with CliRunner().isolation(input=f"{answer}\n") as (out, *_):
            run_identify(datagrams, target, endpoint=None, units={}, asks=True)
            told = out.getvalue().decode()

        assert f"{last_m:,.0f} ft or {last_m:,.0f} m?" in told or f"{last_m:,.0f} m or {last_m:,.0f} ft?" in told
        state = read_by(target.read_text(encoding="utf-8"), datagrams)[-1]
        assert altitude_ft == (None if state.altitude_ft is None else pytest.approx(state.altitude_ft, abs=0.1))


@pytest.mark.parametrize(("answer", "field"), [("indicated km/h", "indicated_airspeed_kt"), ("skip", None)])
def test_a_person_is_asked_which_airspeed(tmp_path: Path, answer: str, field: str | None) -> None:
    """At 6,000 ft kilometres an hour indicated are as many as feet a second true: the question has both in knots."""
    table = flight(5)
    place = (table["time_s"], table["latitude_deg"], table["longitude_deg"], table["altitude_ft"])
    speeds = (table["indicated_airspeed_kt"] * 1.852, table["heading_true_deg"], table["vertical_speed_fps"] * 60.0)
    rows = rows_of(*place, *speeds, ground_kt(table))[::EVERY]
    datagrams = [(index * EVERY / 60.0, row) for index, row in enumerate(rows)]
    target = tmp_path / "asked.toml"

    @click.command()
    def command() -> None:
        run_identify(datagrams, target, endpoint=None, units={}, asks=True)

    said = CliRunner().invoke(command, input=f"{answer}\n").output
    last = read_by(target.read_text("utf-8"), datagrams)[-1]
    last_kt = float(rows[-1].split(b",")[4]) / 1.852

    assert 1 == said.count("Was the airspeed (column 4) at the end")
    assert f"{last_kt:.0f} kt indicated" in said
    assert (None if field is None else pytest.approx(last_kt, abs=0.01)) == last.indicated_airspeed_kt


def test_an_airspeed_as_an_option() -> None:
    """Said beforehand nothing is asked."""
    assert {"indicated_airspeed_kt": "km/h"} == units_told(["indicated_airspeed_kt=km/h"])


def test_a_person_is_asked_without_a_vertical_speed(tmp_path: Path) -> None:
    """The question names the column too, for it is a guess that it is an altitude; the answer is in the layout."""
    table = flight(4)
    place = (table["time_s"], table["latitude_deg"], table["longitude_deg"], table["altitude_ft"] * 0.3048)
    rows = rows_of(*place, ground_kt(table), table["heading_true_deg"])[::EVERY]
    datagrams = [(index * EVERY / 60.0, row) for index, row in enumerate(rows)]

    def answered(answer: str) -> tuple[str, float | None]:
        """Return what was said, and the altitude at the end by the layout."""
        target = tmp_path / f"{answer}.toml"

        @click.command()
        def command() -> None:
            run_identify(datagrams, target, endpoint=None, units={}, asks=True)

        output = CliRunner().invoke(command, input=f"{answer}\n").output
        return output, read_by(target.read_text("utf-8"), datagrams)[-1].altitude_ft

    said, metres_ft = answered("m")
    left, skipped = answered("skip")
    metres = f"{table['altitude_ft'][-1] * 0.3048:,.0f}"

    assert f"Was the altitude (column 3) at the end {metres} ft or {metres} m?" in said
    assert pytest.approx(table["altitude_ft"][-1], abs=2.0) == metres_ft
    assert "NOT IN THE LAYOUT" not in said
    assert skipped is None
    assert "--unit altitude_ft=m" in left


def test_the_unit_as_an_option(tmp_path: Path) -> None:
    """--unit settles a capture's heights, by the command alone; what is no such unit is told as that."""
    datagrams = [(1e9 + index * EVERY / 60.0, row) for index, row in enumerate(in_metres(flight(4)))]
    path, target = kept(tmp_path, datagrams), tmp_path / "mine.toml"
    plain = CliRunner().invoke(identify, [str(path)])
    told = CliRunner().invoke(identify, [str(path), "--write", str(target), "--unit", "altitude_ft=m"])

    assert (0, 0) == (plain.exit_code, told.exit_code), told.output
    assert "NOT IN THE LAYOUT" in plain.output
    assert "NOT IN THE LAYOUT" not in told.output
    assert 'altitude_ft = { column = 3, unit = "m" }' in target.read_text(encoding="utf-8").splitlines()
    with pytest.raises(ConfigError, match="the unit is one of ft, m"):
        units_told(["altitude_ft=km"])
    with pytest.raises(ConfigError, match="did you mean altitude_ft"):
        units_told(["altitude=m"])


def test_the_elevation_of_an_airfield_nearby() -> None:
    """The invented airfield of the demo stands 38 ft above the sea (config/airfields); the open sea has none."""
    assert pytest.approx(38 * 0.3048, abs=3.0) == ground_elevation_m(-6.3052, -9.6060)
    assert ground_elevation_m(-30.0, -20.0) is None
