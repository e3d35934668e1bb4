"""Glidepath: what is said high, low and on the path.

Levels are common practice, no source; the path's own numbers are checked against published tables in tests/standards.
"""

import pytest

from otherseat.advisories.glidepath import Glidepath, GlidepathParams
from otherseat.advisories.levels import Level
from otherseat.advisories.picture import Phase


def look(**changes: object) -> list[tuple[str, str, str, float]]:
    """Return (alert, level, phrase, amount) of what is seen on final at 3 NM, with changes."""
    values: dict[str, object] = {
        "phase": Phase.FINAL,
        "path_deviation_deg": 0.0,
        "height_above_path_ft": 0.0,
        "height_above_threshold_ft": 1_000.0,
        "distance_to_threshold_nm": 3.0,
        "sink_to_hold_fpm": 480.0,
        "sink_to_regain_fpm": 600.0,
        "next_gate_ft": 500.0,
    }
    findings = Glidepath(GlidepathParams()).look(**{**values, **changes})  # type: ignore[arg-type]  # a test's table
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


def test_what_cannot_be_saved_is_said_so() -> None:
    """When no rate within limits regains the path the phrase says so, as a caution."""
    assert [("glidepath-high", "caution", "glidepath-high-lost", 1.25)] == look(
        path_deviation_deg=0.5, sink_to_regain_fpm=None, next_gate_ft=None
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


def test_a_climb_is_never_advised_as_a_sink_rate() -> None:
    """Far below the path the rate to regain is level flight at the least."""
    findings = list(
        Glidepath(GlidepathParams()).look(
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
