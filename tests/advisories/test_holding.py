"""Holds: sectors that meet, patterns that close. Published values stand in tests/standards."""

import math

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from otherseat.advisories import holding
from otherseat.advisories.angles import difference_deg, normal_deg
from otherseat.advisories.holding import Entry
from otherseat.advisories.real import DomainError
from otherseat.advisories.wind import track_and_groundspeed

DIRECTION = st.floats(0.0, 360.0)


@given(course_deg=DIRECTION, heading_deg=DIRECTION, right_turns=st.booleans())
def test_the_entry_is_acceptable(*, course_deg: float, heading_deg: float, right_turns: bool) -> None:
    """The entry is always one of those that will do, and there are never three."""
    fix = {"inbound_course_deg": course_deg, "heading_deg": heading_deg, "right_turns": right_turns}
    ways = holding.acceptable_entries(**fix)

    assert holding.entry(**fix) in ways
    assert 1 <= len(ways) <= 2


@given(course_deg=DIRECTION, relative_deg=st.floats(0.0, 359.9))
def test_left_hand_is_the_mirror(course_deg: float, relative_deg: float) -> None:
    """A left-hand hold takes the mirrored heading the same way in."""
    line_deg = min(abs(relative_deg - line) for line in (110.0, 180.0, 290.0))
    assume(line_deg > 1e-6)

    right = holding.entry(inbound_course_deg=course_deg, heading_deg=course_deg + relative_deg, right_turns=True)
    left = holding.entry(inbound_course_deg=course_deg, heading_deg=course_deg - relative_deg, right_turns=False)

    assert right == left


@given(course_deg=DIRECTION, heading_deg=DIRECTION, nudge_deg=st.floats(-4.9, 4.9), right_turns=st.booleans())
def test_a_small_change_of_heading_never_surprises(
    *,
    course_deg: float,
    heading_deg: float,
    nudge_deg: float,
    right_turns: bool,
) -> None:
    """Within 5 degrees the way in of the other heading is still acceptable for one of the two, so nothing jumps."""
    here = {"inbound_course_deg": course_deg, "heading_deg": heading_deg, "right_turns": right_turns}
    there = here | {"heading_deg": heading_deg + nudge_deg}

    assert holding.entry(**there) in holding.acceptable_entries(**here)


def test_every_entry_occurs_where_it_should() -> None:
    """Out of 360 headings 180 are direct, 70 teardrop and 110 parallel, as the sectors are wide."""
    ways = [
        holding.entry(inbound_course_deg=37.0, heading_deg=37.0 + step + 0.5, right_turns=True) for step in range(360)
    ]

    assert (180, 70, 110) == (ways.count(Entry.DIRECT), ways.count(Entry.TEARDROP), ways.count(Entry.PARALLEL))


def fly(
    *,
    hold: holding.Hold,
    course_deg: float,
    right_turns: bool,
    speed_kt: float,
    from_deg: float,
    wind_kt: float,
    leg_s: float,
) -> tuple[float, float, float]:
    """Return where one lap in small steps from the fix ends, in knot-seconds along and right of the course.

    And for how long the outbound straight ran abeam of the fix or beyond, as a pilot times it.
    """
    along = across = timed_s = 0.0

    def go(heading_deg: float, seconds: float) -> None:
        nonlocal along, across
        track_deg, groundspeed_kt = track_and_groundspeed(
            heading_deg=heading_deg, true_airspeed_kt=speed_kt, wind_from_deg=from_deg, wind_speed_kt=wind_kt
        )
        along += groundspeed_kt * math.cos(math.radians(track_deg - course_deg)) * seconds
        across += groundspeed_kt * math.sin(math.radians(track_deg - course_deg)) * seconds

    def turn(low_deg: float, high_deg: float) -> None:
        side = 1.0 if right_turns else -1.0
        angle_deg = normal_deg(side * (high_deg - low_deg))
        for step in range(400):
            go(low_deg + side * angle_deg * (step + 0.5) / 400, angle_deg / 3.0 / 400)

    turn(hold.inbound_heading_deg, hold.outbound_heading_deg)
    for _ in range(2_000):
        go(hold.outbound_heading_deg, hold.outbound_s / 2_000)
        timed_s += hold.outbound_s / 2_000 if along <= 0.0 else 0.0
    turn(hold.outbound_heading_deg, hold.inbound_heading_deg)
    go(hold.inbound_heading_deg, leg_s)
    return along, across, timed_s


@given(
    course_deg=DIRECTION,
    right_turns=st.booleans(),
    speed_kt=st.floats(90.0, 230.0),
    from_deg=DIRECTION,
    share=st.floats(0.0, 0.3),
    leg_s=st.sampled_from([60.0, 90.0]),
)
def test_the_pattern_closes(
    *,
    course_deg: float,
    right_turns: bool,
    speed_kt: float,
    from_deg: float,
    share: float,
    leg_s: float,
) -> None:
    """One lap flown step by step at 3 deg/s ends over the fix within 10 m, in any wind up to 30 % of the airspeed."""
    wind = {"true_airspeed_kt": speed_kt, "wind_from_deg": from_deg, "wind_speed_kt": share * speed_kt}
    hold = holding.hold(inbound_course_deg=course_deg, right_turns=right_turns, inbound_leg_s=leg_s, **wind)
    along, across, timed_s = fly(
        hold=hold,
        course_deg=course_deg,
        right_turns=right_turns,
        speed_kt=speed_kt,
        from_deg=from_deg,
        wind_kt=share * speed_kt,
        leg_s=leg_s,
    )

    assert math.hypot(along, across) < 10.0 / 1_852.0 * 3_600.0
    assert timed_s == pytest.approx(hold.outbound_timed_s, abs=hold.outbound_s / 500)
    assert hold.lap_s == pytest.approx(120.0 + hold.outbound_s + leg_s)


def test_in_still_air_it_is_a_race_track() -> None:
    """Without wind: outbound the other way for as long as inbound."""
    hold = holding.hold(
        inbound_course_deg=40.0, right_turns=True, true_airspeed_kt=110.0, wind_from_deg=0.0, wind_speed_kt=0.0
    )

    assert (40.0, 220.0, 60.0, 60.0, 240.0) == pytest.approx(
        (
            hold.inbound_heading_deg,
            hold.outbound_heading_deg,
            hold.outbound_s,
            hold.outbound_timed_s,
            hold.lap_s,
        )
    )


def test_into_wind_outbound_is_shorter() -> None:
    """A headwind inbound pushes the turns back, so the outbound leg is short; a tailwind makes it long."""
    into, before = (
        holding.hold(
            inbound_course_deg=0.0, right_turns=True, true_airspeed_kt=120.0, wind_from_deg=from_deg, wind_speed_kt=20.0
        ).outbound_s
        for from_deg in (0.0, 180.0)
    )

    # (100 x 60 - 20 x 120) / 140 and (140 x 60 + 20 x 120) / 100
    assert (25.714, 108.0) == pytest.approx((into, before), abs=0.001)


@pytest.mark.parametrize("from_deg", [90.0, 270.0])
def test_across_the_outbound_correction_is_about_three_times(from_deg: float) -> None:
    """With a pure crosswind the exact outbound correction is two to four times the inbound one: AIM 5-3-8 j 8."""
    hold = holding.hold(
        inbound_course_deg=0.0, right_turns=True, true_airspeed_kt=120.0, wind_from_deg=from_deg, wind_speed_kt=15.0
    )
    inbound_deg = difference_deg(hold.inbound_heading_deg, 0.0)
    outbound_deg = difference_deg(hold.outbound_heading_deg, 180.0)

    assert -4.0 < outbound_deg / inbound_deg < -2.0


@pytest.mark.parametrize(("from_deg", "wind_kt"), [(0.0, 60.0), (180.0, 130.0)])
def test_a_wind_too_strong_to_hold_in(from_deg: float, wind_kt: float) -> None:
    """Blown back further in the turns than the inbound leg leads on, or blown away altogether, there is no hold."""
    with pytest.raises(DomainError, match="hold"):
        holding.hold(
            inbound_course_deg=0.0,
            right_turns=True,
            true_airspeed_kt=120.0,
            wind_from_deg=from_deg,
            wind_speed_kt=wind_kt,
        )


def test_endurance() -> None:
    """60 kg above the reserve at 30 kg an hour last two hours; nothing spare lasts no time; no flow lasts for ever."""
    assert (7_200.0, 0.0, math.inf) == (
        holding.endurance_s(fuel_kg=100.0, reserve_kg=40.0, fuel_flow_kg_per_h=30.0),
        holding.endurance_s(fuel_kg=30.0, reserve_kg=40.0, fuel_flow_kg_per_h=30.0),
        holding.endurance_s(fuel_kg=100.0, reserve_kg=40.0, fuel_flow_kg_per_h=0.0),
    )


def test_slow_aircraft_turn_at_standard_rate() -> None:
    """Up to 170 kt 25 degrees are enough for 3 deg/s; faster, the bank is the limit."""
    slow, fast = (
        holding.turn_rate_deg_per_s(true_airspeed_kt=speed_kt, flight_director=True) for speed_kt in (169.0, 250.0)
    )

    assert (3.0, 2.04) == pytest.approx((slow, fast), abs=0.005)
