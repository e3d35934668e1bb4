"""Glidepath: what is said high, low and on the path.

Levels are common practice, no source; the path's own numbers are checked against published tables in tests/standards.
"""

import pytest

from otherseat.advisories.glidepath import Glidepath, GlidepathParams
from otherseat.advisories.levels import Level
from otherseat.advisories.picture import Phase, Source


def look(*, check: Glidepath | None = None, **changes: object) -> list[tuple[str, str, str, float]]:
    """Return (alert, level, phrase, amount) of what is seen on final at 3 NM, with changes."""
    values: dict[str, object] = {
        "time_s": 0.0,
        "phase": Phase.FINAL,
        "path_deviation_deg": 0.0,
        "height_above_path_ft": 330.0 * float(str(changes.get("path_deviation_deg", 0.0))),
        "height_above_threshold_ft": 1_000.0,
        "distance_to_threshold_nm": 3.0,
        "sink_to_hold_fpm": 480.0,
        "sink_to_regain_fpm": 600.0,
        "next_gate_ft": 500.0,
    }
    findings = (check or Glidepath(GlidepathParams())).look(**{**values, **changes})  # type: ignore[arg-type]  # a test's table
    return [(f.alert, f.level.word, f.phrase, round(f.amount, 2)) for f in findings]


@pytest.mark.parametrize(
    ("deviation_deg", "expected"),
    [
        pytest.param(0.2, [("glidepath-high", "advice", "glidepath-high", 0.5)], id="half-the-limit"),
        pytest.param(0.5, [("glidepath-high", "advice", "glidepath-high", 1.25)], id="high"),
        pytest.param(0.9, [("glidepath-high", "caution", "glidepath-high", 2.25)], id="very-high"),
        pytest.param(-0.175, [("glidepath-low", "caution", "glidepath-low", 0.5)], id="a-little-low"),
        pytest.param(-0.42, [("glidepath-low", "caution", "glidepath-low", 1.2)], id="low"),
        pytest.param(-0.7, [("glidepath-low", "warning", "glidepath-low-near", 2.0)], id="very-low"),
    ],
)
def test_degrees_from_the_path(deviation_deg: float, expected: list[tuple[str, str, str, float]]) -> None:
    """Low is one level more serious than equally high, and both grow with the deviation."""
    assert expected == look(path_deviation_deg=deviation_deg)


def test_low_near_the_ground_is_a_warning() -> None:
    """Below 300 ft any low finding is a warning."""
    assert [("glidepath-low", "warning", "glidepath-low-near", 1.2)] == look(
        path_deviation_deg=-0.42, height_above_threshold_ft=250.0
    )


@pytest.mark.parametrize(
    ("regain_fpm", "phrase"),
    [
        pytest.param(240.0, "glidepath-low", id="less-sink-regains-it"),
        pytest.param(20.0, "glidepath-low-level", id="hardly-any"),
        pytest.param(-150.0, "glidepath-low-level", id="a-climb-would"),
        pytest.param(None, "glidepath-low", id="no-gate-ahead"),
    ],
)
def test_low_is_mended_by_less_sink_or_none(regain_fpm: float | None, phrase: str) -> None:
    """The rate that holds the path would keep it low: what is said is the one that regains it, or to level off."""
    gate_ft = None if regain_fpm is None else 500.0
    low = {"path_deviation_deg": -0.42, "sink_to_regain_fpm": regain_fpm, "next_gate_ft": gate_ft}

    assert [("glidepath-low", "caution", phrase, 1.2)] == look(**low)


def test_what_cannot_be_saved_is_said_so() -> None:
    """When it is far above and no rate within limits regains the path, the phrase says so."""
    assert [("glidepath-high", "caution", "glidepath-high-lost", 2.25)] == look(
        path_deviation_deg=0.9, sink_to_regain_fpm=None, next_gate_ft=None
    )


@pytest.mark.parametrize(
    "changes",
    [
        pytest.param({"phase": Phase.CRUISE}, id="not-on-final"),
        pytest.param({"distance_to_threshold_nm": 0.3}, id="in-the-flare"),
    ],
)
def test_silent(changes: dict[str, object]) -> None:
    """Away from final, and where a degree is a few feet, it sees nothing."""
    assert [] == look(path_deviation_deg=-2.0, **changes)


@pytest.mark.parametrize("rate_fpm", [0.0, 250.0, -250.0])
def test_a_path_is_met_from_below_in_level_flight(rate_fpm: float) -> None:
    """Level above 1,000 ft, or stepping down above 1,500 ft, it waits for the path; lower down it is low.

    So fly most recorded airline arrivals: level at 2,500 to 3,000 ft, the path from below at 8 to 9 NM.
    """
    far: dict[str, object] = {"path_deviation_deg": -0.5, "distance_to_threshold_nm": 9.0}

    assert [] == look(**far, height_above_threshold_ft=2_600.0, vertical_speed_fpm=rate_fpm)
    assert [] == look(**far, height_above_threshold_ft=2_600.0, vertical_speed_fpm=-600.0)
    assert [] == look(**far, height_above_threshold_ft=1_400.0, vertical_speed_fpm=rate_fpm)
    assert [] != look(**far, height_above_threshold_ft=1_400.0, vertical_speed_fpm=-600.0)
    assert [] != look(**far, height_above_threshold_ft=900.0, vertical_speed_fpm=rate_fpm)


def test_a_path_that_was_met_is_left_at_any_height() -> None:
    """Once on the path nobody steps down: 0.5 deg below it at 2,600 ft is low."""
    check = Glidepath(GlidepathParams())
    high: dict[str, object] = {"height_above_threshold_ft": 2_600.0, "distance_to_threshold_nm": 8.0}

    assert [] != look(check=check, **high)
    assert [("glidepath-low", "caution")] == [row[:2] for row in look(check=check, **high, path_deviation_deg=-0.5)]


def test_high_is_not_asked_of_a_turn_or_a_go_around() -> None:
    """Who still turns onto final flies farther than the centreline, and who climbs goes around."""
    assert [] == look(path_deviation_deg=0.6, course_difference_deg=-20.0)
    assert [] == look(path_deviation_deg=0.6, vertical_speed_fpm=500.0)
    assert [] != look(path_deviation_deg=0.6, course_difference_deg=-10.0, vertical_speed_fpm=-500.0)


def test_an_altimeter_is_believed_less() -> None:
    """By an altimeter less than 75 ft (AIM 7-2-3) and a hectopascal is nothing, and little more no warning."""
    near: dict[str, object] = {
        "path_deviation_deg": -0.8,
        "distance_to_threshold_nm": 1.0,
        "height_above_threshold_ft": 280.0,
        "altitude_source": Source.COMPUTED,
    }

    assert [0.0] == [amount for *_, amount in look(**near, height_above_path_ft=-100.0)]
    assert ["caution"] == [level for _, level, *_ in look(**near, height_above_path_ft=-110.0)]
    assert ["warning"] == [level for _, level, *_ in look(**near, height_above_path_ft=-200.0)]


def test_less_than_an_altimeter_can_tell_is_nothing() -> None:
    """39 ft is inside an altimeter and its setting, whatever its angle near the runway."""
    near: dict[str, object] = {"path_deviation_deg": -0.6, "distance_to_threshold_nm": 0.5}

    assert [0.0] == [amount for *_, amount in look(**near, height_above_path_ft=-39.0)]
    assert [1.71] == [amount for *_, amount in look(**near, height_above_path_ft=-41.0)]


def test_below_the_last_gate_there_is_none_to_mend_it_by() -> None:
    """A little high at 300 ft is advice, not a lost approach."""
    assert [("glidepath-high", "advice", "glidepath-high", 1.25)] == look(
        path_deviation_deg=0.5, height_above_threshold_ft=300.0, sink_to_regain_fpm=None, next_gate_ft=None
    )


UNTOLD: dict[str, object] = {
    "runway_source": "track",
    "path_deviation_deg": 2.1,
    "height_above_path_ft": 900.0,
    "height_above_threshold_ft": 2_220.0,
    "distance_to_threshold_nm": 4.0,
    "groundspeed_kt": 90.0,
}
"""900 ft above the path to a runway that no plan names, 4 NM out: 160 s to go, in which 480 ft/min lose 1,280 ft."""


def seen_untold(*, seconds: float = 10.0, **changes: object) -> bool:
    """Say whether it is seen to be high once that has gone on for so long."""
    check = Glidepath(GlidepathParams())
    look(check=check, **{**UNTOLD, **changes})
    return [] != look(check=check, **{**UNTOLD, **changes}, time_s=seconds)


def test_a_runway_that_is_flown_over_is_not_meant() -> None:
    """Far above the path to a runway that no plan names nobody is about to land; a planned one is."""
    assert not seen_untold(vertical_speed_fpm=0.0)
    assert seen_untold(vertical_speed_fpm=0.0, runway_source="plan")
    assert seen_untold(vertical_speed_fpm=0.0, path_deviation_deg=0.5)


def test_who_comes_down_to_a_runway_means_it() -> None:
    """Sinking along the path, 900 ft above it, is high without a plan as well, from when on it is no gust."""
    assert seen_untold(vertical_speed_fpm=-480.0)
    assert not seen_untold(vertical_speed_fpm=-480.0, seconds=2.0)


@pytest.mark.parametrize(
    ("told", "vertical_speed_fpm", "expected"),
    [
        pytest.param({}, -300.0, True, id="crosses-at-1420"),
        pytest.param({}, -240.0, False, id="crosses-at-1580"),
        pytest.param({"flaps_ratio": 0.0}, -480.0, True, id="in-crosses-at-940"),
        pytest.param({"flaps_ratio": 0.0}, -420.0, False, id="in-crosses-at-1100"),
        pytest.param({"flaps_ratio": 0.33}, 0.0, True, id="out-and-level"),
        pytest.param({"flaps_ratio": 0.0, "path_deviation_deg": 0.5}, 0.0, False, id="in-and-level"),
    ],
)
def test_where_a_descent_leads_tells_what_is_meant(
    told: dict[str, object], vertical_speed_fpm: float, *, expected: bool
) -> None:
    """Higher than 1,500 ft over the threshold a field is crossed, and with the flaps in at 1,000 ft joined."""
    assert expected is seen_untold(**told, vertical_speed_fpm=vertical_speed_fpm)


def test_a_climb_is_never_advised_as_a_sink_rate() -> None:
    """Far below the path the rate to regain is level flight at the least."""
    findings = list(
        Glidepath(GlidepathParams()).look(
            time_s=0.0,
            phase=Phase.FINAL,
            path_deviation_deg=-1.0,
            height_above_path_ft=-300.0,
            height_above_threshold_ft=700.0,
            distance_to_threshold_nm=3.0,
            sink_to_hold_fpm=480.0,
            sink_to_regain_fpm=-200.0,
            next_gate_ft=1_000.0,
        )
    )

    assert [Level.WARNING] == [finding.level for finding in findings]
    assert 0.0 == findings[0].values["sink_to_regain_fpm"]
