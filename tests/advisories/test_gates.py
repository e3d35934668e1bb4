"""Gates over time. What is within limits is judged against published cases in tests/standards."""

import pytest

from otherseat.advisories.gates import Gates, GatesParams
from otherseat.advisories.picture import Phase, Source
from otherseat.config.profiles import read_profile
from otherseat.daemon.phrasebook import Phrasebook
from tests.advisories.rows import PLAN

GEARED = "airliner"
"""Its gear goes up, and it lands with flaps."""
PROFILE = read_profile(GEARED)


def found(rates_fpm: list[float]) -> set[str]:
    """Return what is found on the way through 1,000 ft with a rate at each second."""
    check = Gates(GatesParams())
    return {
        finding.alert
        for second, rate_fpm in enumerate(rates_fpm)
        for finding in check.look(
            time_s=float(second),
            phase=Phase.FINAL,
            height_above_threshold_ft=1_005.0 + 10.0 * (len(rates_fpm) - 2 - second),
            plan=PLAN,
            profile=PROFILE,
            vertical_speed_fpm=rate_fpm,
        )
    }


def test_one_coarse_step_is_no_verdict() -> None:
    """Rates come in steps of 64 fpm from a receiver: one of 1,024 among 896 and 960 is not a sink of over 1,000."""
    assert {"gate-1000"} == found([-896.0, -960.0, -896.0, -960.0, -896.0, -1_024.0])


def test_a_steady_sink_is() -> None:
    """More than 1,000 fpm for five seconds is (FSF ALAR briefing note 7.1)."""
    assert {"gate-1000-unsettled"} == found([-1_088.0] * 6)


def test_a_rate_that_jumps_back_in_time_is_forgotten() -> None:
    """Times that go back empty the memory instead of breaking it."""
    check = Gates(GatesParams())
    for time_s in (10.0, 11.0, 3.0, 4.0):
        list(
            check.look(
                time_s=time_s,
                phase=Phase.FINAL,
                height_above_threshold_ft=1_500.0,
                plan=PLAN,
                profile=PROFILE,
                vertical_speed_fpm=-500.0,
            )
        )


def at_500(*, profile: str = "light-single", **values: object) -> set[str]:
    """Return the reasons, or `stable`, of the verdict on the way through 500 ft, 1.4 NM out."""
    check, seen = Gates(GatesParams()), set()
    for second, height_ft in enumerate((505.0, 495.0)):
        given = {"time_s": float(second), "phase": Phase.FINAL, "height_above_threshold_ft": height_ft, **values}
        found = check.look(plan=PLAN, profile=read_profile(profile), **given)  # type: ignore[arg-type]  # a table
        seen |= {str(finding.values.get("reason", "stable")) for finding in found}
    return seen


def test_a_centreline_that_the_track_meets_is_in_hand() -> None:
    """800 ft beside it and 15 degrees towards it, the turn onto final ends well before the threshold."""
    beside = {"offset_ft": 800.0, "distance_to_threshold_nm": 1.4}

    assert {"off centreline"} == at_500(**beside, course_difference_deg=0.0)
    assert {"off centreline"} == at_500(**beside, course_difference_deg=4.0)
    assert {"stable"} == at_500(**beside, course_difference_deg=-15.0)


def test_a_path_is_judged_by_more_than_the_altitude_may_be_wrong() -> None:
    """0.72 deg at 1.4 NM is about 100 ft: by an altimeter that may be its own error and its setting, reported not."""
    off = {"path_deviation_deg": -0.72, "height_above_path_ft": -90.0}

    assert {"off path"} == at_500(**off, altitude_source=Source.REPORTED)
    assert {"stable"} == at_500(**off, altitude_source=Source.COMPUTED)


@pytest.mark.parametrize(
    ("indicated_kt", "unjudged"), [(None, {"unjudged": "speed unknown"}), (PROFILE.approach_speed_kt, {})]
)
def test_stable_is_not_said_of_a_speed_that_nothing_tells(indicated_kt: float | None, unjudged: dict[str, str]) -> None:
    """Without an airspeed the rest may be in hand, and that alone is said."""
    check, seen = Gates(GatesParams()), []
    for second, height_ft in enumerate((1_005.0, 995.0)):
        seen += check.look(
            time_s=float(second),
            phase=Phase.FINAL,
            height_above_threshold_ft=height_ft,
            plan=PLAN,
            profile=PROFILE,
            indicated_airspeed_kt=indicated_kt,
        )

    assert [("gate-1000", unjudged)] == [(finding.phrase, finding.values) for finding in seen]

    said = Phrasebook.load().compose(phrase=seen[0].phrase, values=seen[0].values).text
    assert ("1,000, stable, speed unknown." if unjudged else "1,000, stable.") == said


@pytest.mark.parametrize(
    ("values", "said"),
    [
        pytest.param({"path_deviation_deg": 1.5, "height_above_path_ft": 220.0}, "off path", id="path"),
        pytest.param({"offset_ft": 800.0, "distance_to_threshold_nm": 1.4}, "off centreline", id="centreline"),
        pytest.param({"vertical_speed_fpm": -1_400.0}, "too much sink", id="sink"),
        pytest.param({"indicated_airspeed_kt": 190.0}, "speed is off", id="fast"),
        pytest.param({"indicated_airspeed_kt": 20.0}, "speed is off", id="slow"),
        pytest.param({"bank_deg": -50.0}, "too much bank", id="bank"),
        pytest.param({"gear_down": False, "profile": GEARED}, "gear is up", id="gear"),
        pytest.param({"flaps_ratio": 0.0, "profile": GEARED}, "flaps not set", id="flaps"),
    ],
)
def test_what_is_off_is_said_as_that(values: dict[str, object], said: str) -> None:
    """One thing alone out of its limits, and the words name that thing."""
    assert {said} == at_500(**values)  # type: ignore[arg-type]  # a test's table
    assert {"stable"} == at_500(profile=GEARED, gear_down=True, flaps_ratio=1.0)
