"""The assembler: ages, ticks, time, late and repeated messages, jumps, and what it derives."""

from collections.abc import Mapping

import pytest

from otherseat.adapters.assembler import MAX_AIRCRAFT, Assembler
from otherseat.advisories.state import Fields, State

HERE: Fields = {"latitude_deg": 10.0, "longitude_deg": 20.0}


def feed(assembler: Assembler, *messages: tuple[float, Mapping[str, object]]) -> list[State]:
    """Return the States that messages, each with its time of receipt, make."""
    return [s for received_s, message in messages for s in assembler.take([dict(message)], received_s=received_s)]  # type: ignore[arg-type]  # tests pass what a wire may


def test_a_state_leaves_on_every_position() -> None:
    """What came in other messages is in the State that the next position calls for."""
    states = feed(
        Assembler(), (0.0, HERE), (0.1, {"pitch_deg": 3.0}), (0.2, {"bank_deg": 4.0}), (0.3, HERE), (0.4, HERE)
    )

    assert [(0.0, None, None), (0.3, 3.0, 4.0), (0.4, 3.0, 4.0)] == [
        (s.time_s, s.pitch_deg, s.bank_deg) for s in states
    ]


def test_without_positions_every_message_calls_for_a_state() -> None:
    """A stream that sends no position still says what it knows."""
    assert [3.0, 4.0] == [s.pitch_deg for s in feed(Assembler(), (0.0, {"pitch_deg": 3.0}), (0.1, {"pitch_deg": 4.0}))]


def test_stale_fields_are_not_told() -> None:
    """A field older than stale_s is None, and back when it comes again."""
    states = feed(
        Assembler(stale_s=1.0),
        (0.0, {"pitch_deg": 3.0}),
        (0.9, HERE),
        (1.5, HERE),
        (1.6, {"pitch_deg": 5.0}),
        (1.7, HERE),
    )

    assert [3.0, 3.0, None, 5.0] == [s.pitch_deg for s in states]


def test_refused_fields_leave_the_others_alone() -> None:
    """Out of bounds, infinite, or of the wrong kind: counted, the rest of the message counts. NaN tells nothing."""
    assembler = Assembler()
    [state] = feed(
        assembler,
        (
            0.0,
            {
                **HERE,
                "pitch_deg": 91.0,
                "mach": float("inf"),
                "on_ground": 1.0,
                "true_airspeed_kt": float("nan"),
                "bank_deg": 5.0,
            },
        ),
    )

    assert (None, None, None, 5.0) == (state.pitch_deg, state.mach, state.on_ground, state.bank_deg)
    assert state.true_airspeed_kt is None
    assert {"pitch_deg": 1, "mach": 1, "on_ground": 1} == assembler.refused_fields


def test_directions_and_longitude_are_made_normal() -> None:
    """Directions come out in [0, 360), longitude in [-180, 180)."""
    [state] = feed(Assembler(), (0.0, {"latitude_deg": 1.0, "longitude_deg": 190.0, "heading_true_deg": -10.0}))

    assert (-170.0, 350.0) == (state.longitude_deg, state.heading_true_deg)


def test_the_simulator_s_time_counts_while_it_comes() -> None:
    """Messages without a time take the last one; without any, the time of receipt counts."""
    states = feed(
        Assembler(), (100.0, {**HERE, "time_s": 7.0}), (100.1, HERE), (100.2, {**HERE, "time_s": 7.2}), (109.0, HERE)
    )

    assert [7.0, 7.0, 7.2, 109.0] == [s.time_s for s in states]


def test_a_paused_simulator_still_speaks() -> None:
    """While the simulator's time stands still its messages go on making States of that time."""
    paused = {**HERE, "time_s": 7.0, "paused": True}

    assert [7.0] * 3 == [s.time_s for s in feed(Assembler(), (0.0, paused), (1.0, paused), (60.0, paused))]


def test_late_messages_are_dropped() -> None:
    """A datagram overtaken by a newer one makes no State and changes nothing."""
    assembler = Assembler()
    states = feed(
        assembler,
        (0.0, {**HERE, "time_s": 7.0}),
        (0.1, {"latitude_deg": 9.0, "time_s": 6.9}),
        (0.2, {**HERE, "time_s": 7.1}),
    )

    assert [(7.0, 10.0), (7.1, 10.0)] == [(s.time_s, s.latitude_deg) for s in states]
    assert 1 == assembler.late


@pytest.mark.parametrize("period_s", [3600.0, 86_400.0, 2**32 / 1e3])
def test_wrapped_clocks_go_on(period_s: float) -> None:
    """A clock that starts again after an hour, a day, or 32 bits of milliseconds goes on without a jump."""
    assembler = Assembler()
    states = feed(
        assembler,
        (0.0, {**HERE, "time_s": period_s - 0.5}),
        (1.0, {**HERE, "time_s": 0.5}),
        (2.0, {**HERE, "time_s": 1.5}),
    )

    assert [pytest.approx(period_s + t) for t in (-0.5, 0.5, 1.5)] == [s.time_s for s in states]
    assert 0 == assembler.jumps


def test_a_jump_back_forgets() -> None:
    """A simulator that starts again is believed, and nothing remembered holds."""
    assembler = Assembler()
    states = feed(assembler, (0.0, {**HERE, "time_s": 500.0, "pitch_deg": 3.0}), (1.0, {**HERE, "time_s": 3.0}))

    assert [(500.0, 3.0), (3.0, None)] == [(s.time_s, s.pitch_deg) for s in states]
    assert 1 == assembler.jumps


def test_speeds_are_derived_and_named() -> None:
    """0.001 deg of latitude a second at 10 N (110,607 m to a degree) is 215.0 kt; 10 ft a second is 600 ft/min."""
    assembler = Assembler()
    moving = [(t, {"latitude_deg": 10.0 + t * 0.001, "longitude_deg": 20.0, "altitude_ft": 10.0 * t}) for t in range(4)]
    state = feed(assembler, *moving)[-1]

    assert pytest.approx(215.0, abs=0.1) == state.groundspeed_kt
    assert pytest.approx(0.0, abs=1e-6) == state.track_true_deg
    assert pytest.approx(600.0) == state.vertical_speed_fpm
    assert {"groundspeed_kt", "track_true_deg", "vertical_speed_fpm"} == assembler.computed()


def test_what_is_sent_is_not_derived() -> None:
    """A field that the source sends stays as it was sent, and is not named as computed."""
    assembler = Assembler()
    moving = [(t, {"latitude_deg": 10.0 + t * 0.001, "longitude_deg": 20.0, "groundspeed_kt": 90.0}) for t in range(4)]

    assert 90.0 == feed(assembler, *moving)[-1].groundspeed_kt
    assert {"track_true_deg"} == assembler.computed()


def test_aircraft_are_kept_apart() -> None:
    """Each aircraft has its own memory; a stream of ever new names does not fill the memory."""
    assembler = Assembler()
    states = feed(assembler, (0.0, {**HERE, "aircraft": "a", "pitch_deg": 1.0}), (0.1, {**HERE, "aircraft": "b"}))

    assert [("a", 1.0), ("b", None)] == [(s.aircraft, s.pitch_deg) for s in states]

    feed(assembler, *((1.0, {**HERE, "aircraft": f"n{n}"}) for n in range(MAX_AIRCRAFT)))

    assert 2 == assembler.too_many_aircraft
