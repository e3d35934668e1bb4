"""How big a fault really is, from a trajectory that is known."""

from dataclasses import replace

import pytest

from otherseat.daemon.evaluation import truth
from otherseat.daemon.flight_model.world import World, line_of
from tests.daemon.flight_model.test_legs import VIEW

END = World.make().landing
LEVEL_FT = END.elevation_ft + END.threshold_crossing_height_ft


def at(*, to_go_nm: float, right_ft: float = 0.0, height_ft: float = 0.0, **changes: float):  # type: ignore[no-untyped-def]  # noqa: ANN201 - a view
    """Return a view so far before the threshold, right of the centreline and above the crossing height."""
    latitude_deg, longitude_deg = line_of(END).position(along_ft=-to_go_nm * 6_076.115, across_ft=right_ft)
    return replace(
        VIEW, latitude_deg=latitude_deg, longitude_deg=longitude_deg, altitude_ft=LEVEL_FT + height_ft, **changes
    )


@pytest.mark.parametrize(
    ("height_ft", "limit_deg", "expected"),
    [
        # tan 3 deg is 0.0524078, tan 3.8 deg 0.0664199, tan 2.3 deg 0.0401641 (any table); 3 NM are 18,228 ft
        pytest.param(955.3, 0.4, 0.0, id="on-it"),
        pytest.param(1_210.7, 0.4, 2.0, id="twice-too-high"),
        pytest.param(732.1, -0.35, 2.0, id="twice-too-low"),
        pytest.param(1_210.7, -0.35, -2.286, id="high-is-not-low"),
    ],
)
def test_off_path(height_ft: float, limit_deg: float, expected: float) -> None:
    """Degrees off a 3 degree path, in limits."""
    size = truth.off_path(end=END, limit_deg=limit_deg, quiet_nm=0.4)
    view = at(to_go_nm=3.0, height_ft=height_ft)

    assert END.path_angle_deg == pytest.approx(3.0)
    assert expected == pytest.approx(size(view, view.altitude_ft), abs=0.01)


def test_nobody_looks_near_the_runway() -> None:
    """Inside the nearest distance, and above the height from which it is looked at, there is no size."""
    near, high = at(to_go_nm=0.3), at(to_go_nm=3.0, height_ft=1_100.0)

    assert truth.off_path(end=END, limit_deg=0.4, quiet_nm=0.4)(near, near.altitude_ft) is None
    assert truth.off_speed(end=END, wanted_kt=65.0, limit_kt=10.0, below_ft=1_000.0)(high, high.altitude_ft) is None
    assert truth.sinking(end=END, limit_fpm=1_000.0, below_ft=900.0)(high, high.altitude_ft) is None


@pytest.mark.parametrize(("right_ft", "expected"), [(610.2, 1.0), (-610.2, -1.0)])
def test_off_centreline(right_ft: float, expected: float) -> None:
    """610.2 ft aside, 2.3 NM before the aim, are 2.5 degrees: tan 2.5 deg is 0.0436609."""
    size = truth.off_centreline(end=END, limit_deg=2.5, aim_nm=0.8, below_ft=800.0)
    view = at(to_go_nm=1.5, right_ft=right_ft, height_ft=400.0)

    assert expected == pytest.approx(size(view, view.altitude_ft), abs=0.01)


def test_speed_and_sink() -> None:
    """Knots and feet per minute, in limits."""
    view = at(to_go_nm=1.5, height_ft=400.0, airspeed_kt=78.0, vertical_speed_fpm=-1_300.0)
    fast = truth.off_speed(end=END, wanted_kt=65.0, limit_kt=10.0, below_ft=1_000.0)

    assert 1.3 == pytest.approx(fast(view, view.altitude_ft))
    assert 1.3 == pytest.approx(truth.sinking(end=END, limit_fpm=1_000.0, below_ft=900.0)(view, view.altitude_ft))


def test_altitude_and_fuel() -> None:
    """500 ft too high are two limits of 250; an hour for 30 NM at 90 kt leaves 40 minutes, 1.125 of which are 45."""
    view = at(to_go_nm=30.0, groundspeed_kt=90.0)
    dry = truth.running_dry(place=line_of(END), endurance_h=1.0, reserve_min=45.0)

    assert 2.0 == pytest.approx(truth.off_altitude(wanted_ft=5_000.0, limit_ft=250.0)(view, 5_500.0))
    assert -2.0 == pytest.approx(truth.off_altitude(wanted_ft=5_000.0, limit_ft=-250.0)(view, 5_500.0))
    assert 1.125 == pytest.approx(dry(view, 0.0), abs=0.001)


def test_behind() -> None:
    """What lies behind along the track; circling around a place never puts it behind."""
    size = truth.behind(place=line_of(END), limit_nm=1.0)
    beyond = at(to_go_nm=-2.0, track_true_deg=END.course_true_deg)
    abeam = at(to_go_nm=0.0, right_ft=6_076.115, track_true_deg=END.course_true_deg)

    assert 2.0 == pytest.approx(size(beyond, 0.0), abs=0.01)
    assert 0.0 == pytest.approx(size(abeam, 0.0), abs=0.01)


def test_beyond() -> None:
    """On the side from which the flight came it is negative, on the other positive."""
    size = truth.Beyond(end=END, limit_nm=0.5)
    first, last = size(at(to_go_nm=8.0, right_ft=6_076.115), 0.0), size(at(to_go_nm=8.0, right_ft=-6_076.115), 0.0)

    assert -2.0 == pytest.approx(first, abs=0.01)
    assert 2.0 == pytest.approx(last, abs=0.01)


@pytest.mark.parametrize(
    ("sizes", "expected"),
    [
        pytest.param([], None, id="nothing"),
        pytest.param([(0.0, 9.0), (3.0, 9.0)], None, id="too-short"),
        pytest.param([(0.0, 1.0), (2.0, 1.0), (4.0, 1.0)], 1.0, id="steady"),
        pytest.param([(0.0, 0.0), (2.0, 3.0), (4.0, 3.0), (6.0, 3.0), (8.0, 0.0)], 3.0, id="the-best-stretch"),
        pytest.param([(0.0, 0.0), (2.0, 3.0), (4.0, 0.0)], 1.0, id="a-peak-is-averaged"),
    ],
)
def test_kept_up(sizes: list[tuple[float, float]], expected: float | None) -> None:
    """The greatest mean over four seconds."""
    assert expected == pytest.approx(truth.kept_up(sizes, for_s=4.0))


@pytest.mark.parametrize(("kept", "expected"), [(1.8, True), (1.7, False)])
def test_a_fault_is_flown_when_it_came_to_nine_tenths(kept: float, expected: bool) -> None:  # noqa: FBT001 - a table
    """Nine tenths of what was meant, for as long as it must be kept."""
    sizes = [(float(second), kept) for second in range(20)]

    assert expected is truth.was_flown(meant=2.0, sizes=sizes, kept_s=10.0)


@pytest.mark.parametrize(("at_s", "expected"), [(20.0, True), (35.0, False), (8.0, False)])
def test_what_is_said_is_about_what_was_just_now(at_s: float, expected: bool) -> None:  # noqa: FBT001 - a table
    """Half a fault that was a whole one for three seconds was so only shortly after."""
    sizes = [(float(second), 1.2 if 15 <= second <= 18 else 0.5) for second in range(40)]

    assert expected is truth.was_whole(sizes=sizes, by_s=at_s)
