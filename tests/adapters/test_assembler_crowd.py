"""Many aircraft in one stream."""

from otherseat.adapters.assembler import FORGET_S, MAX_AIRCRAFT, Assembler


def states_of(assembler: Assembler, aircraft: str, *, received_s: float) -> list[str]:
    """Return the aircraft of the States that one message of this aircraft makes."""
    message = {"aircraft": aircraft, "time_s": received_s, "latitude_deg": -41.5, "longitude_deg": -150.0}
    return [state.aircraft for state in assembler.take([message], received_s=received_s)]


def full(received_s: float) -> Assembler:
    """Return an assembler that knows as many aircraft as it may, all heard at this time."""
    assembler = Assembler()
    for number in range(MAX_AIRCRAFT):
        assert [f"c{number}"] == states_of(assembler, f"c{number}", received_s=received_s)
    return assembler


def test_each_aircraft_keeps_its_name() -> None:
    """States of a thousand aircraft in one stream carry the name of their own."""
    assembler = full(100.0)

    assert [["c0"], ["c999"]] == [states_of(assembler, aircraft, received_s=100.1) for aircraft in ("c0", "c999")]


def test_a_stream_of_new_names_does_not_push_anybody_out() -> None:
    """While everybody is heard there is no room for one more, and it is counted."""
    assembler = full(100.0)

    assert [] == states_of(assembler, "one-more", received_s=101.0)
    assert 1 == assembler.too_many_aircraft
    assert ["c0"] == states_of(assembler, "c0", received_s=101.1)


def test_who_was_not_heard_for_long_makes_room() -> None:
    """An aircraft that was not heard for a minute makes room for a new one; the others stay."""
    assembler = full(100.0)
    for number in range(1, MAX_AIRCRAFT):
        states_of(assembler, f"c{number}", received_s=100.0 + FORGET_S)

    assert ["one-more"] == states_of(assembler, "one-more", received_s=100.5 + FORGET_S)
    assert [] == states_of(assembler, "c0", received_s=101.0 + FORGET_S)
    assert ["c1"] == states_of(assembler, "c1", received_s=101.0 + FORGET_S)
