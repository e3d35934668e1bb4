"""What is answered when the pilot asks, and when nothing should be."""

from dataclasses import replace

import pytest

from otherseat.advisories.airdata import altitude_error_ft
from otherseat.advisories.picture import Phase, Picture, Source
from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.answers import answer_of, why_not
from otherseat.daemon.final_approach import ON_PATH_FT
from otherseat.daemon.phrasebook import Phrasebook


def picture(*, along_nm: float, offset_ft: float) -> Picture:
    """Return an aircraft 250 ft above the path of an approach, so far out and so far beside it."""
    return Picture(
        time_s=1.0,
        aircraft="own",
        phase=Phase.CRUISE,
        altitude_ft=3_000.0,
        runway="ZZPS/27L",
        distance_to_threshold_nm=along_nm,
        offset_ft=offset_ft,
        height_above_path_ft=250.0,
    )


@pytest.mark.parametrize(
    ("along_nm", "offset_nm"), [(6.0, 0.0), (6.0, 3.0), (6.0, -3.0), (0.2, 0.1)], ids=["on", "right", "left", "short"]
)
def test_the_path_is_told_on_the_approach(along_nm: float, offset_nm: float) -> None:
    """Within 30 degrees of the centreline, seen from the threshold, the height above the path means something."""
    phrase, values = answer_of("path", picture(along_nm=along_nm, offset_ft=offset_nm * FT_PER_NM))

    assert ("path-report", 250.0) == (phrase, values["high_ft"])


@pytest.mark.parametrize(
    ("about", "known", "expected"),
    [
        ("wind", {}, "the stream does not send a heading or an airspeed or a groundspeed or a track"),
        ("wind", {"heading_true_deg": 1.0, "groundspeed_kt": 90.0, "track_true_deg": 1.0}, "send an airspeed"),
        ("airspeed", {}, "the stream does not send an indicated airspeed"),
        ("destination", {"destination": "ZZPS"}, "the stream does not send a position"),
    ],
)
def test_what_lacks_is_named(about: str, known: dict[str, float | str], expected: str) -> None:
    """Who asks for what can't be told hears which data would be needed."""
    now = replace(picture(along_nm=5.0, offset_ft=0.0), **known)  # type: ignore[arg-type]  # a table of values

    assert why_not(about, now).endswith(expected)


@pytest.mark.parametrize(
    ("source", "told"), [(Source.RULE_OF_THUMB, {"source": "rule of thumb"}), (Source.COMPUTED, {})]
)
def test_a_number_by_rule_of_thumb_is_told_as_that(source: Source, told: dict[str, str]) -> None:
    """A wind is no better than the airspeed that it was worked out by."""
    wind = {"wind_from_true_deg": 120.0, "wind_speed_kt": 15.0, "wind_source": source}
    airspeed = {"true_airspeed_kt": 110.0, "true_airspeed_source": source}
    now = replace(picture(along_nm=5.0, offset_ft=0.0), **wind, **airspeed)

    for about in ("wind", "airspeed"):
        values = answer_of(about, now)[1]
        assert told == {name: value for name, value in values.items() if name == "source"}


def test_a_wind_that_is_not_worked_out_yet() -> None:
    """With all that it takes the answer is that it needs some steady flight."""
    flown = {"heading_true_deg": 1.0, "groundspeed_kt": 90.0, "track_true_deg": 1.0, "true_airspeed_kt": 95.0}

    assert "steady flight" in why_not("wind", replace(picture(along_nm=5.0, offset_ft=0.0), **flown))


@pytest.mark.parametrize(("offset_nm", "side"), [(13.5, "right"), (-4.0, "left"), (19.9, "right")])
def test_the_path_is_not_told_far_beside_it(offset_nm: float, side: str) -> None:
    """Who is miles beside the final approach hears no height above its path, but where he is."""
    beside = picture(along_nm=6.0, offset_ft=offset_nm * FT_PER_NM)

    assert (None, {}) == answer_of("path", beside)
    assert f"but {abs(offset_nm)} NM {side} of its centreline" in why_not("path", beside)


def test_a_runway_thousands_of_miles_away_has_no_side() -> None:
    """Who flies elsewhere hears when the path is told, not how far left of that runway's centreline he is."""
    elsewhere = picture(along_nm=6.0, offset_ft=-491.3 * FT_PER_NM)

    assert (None, {}) == answer_of("path", elsewhere)
    assert "it is told within 20 NM of the runway" in why_not("path", elsewhere)


@pytest.mark.parametrize(
    ("height_ft", "regain_fpm", "expected"),
    [
        pytest.param(250.0, 800.0, {"high_ft": 250.0, "sink_fpm": 800.0}, id="high"),
        pytest.param(-250.0, 150.0, {"low_ft": 250.0, "sink_fpm": 150.0}, id="low"),
        pytest.param(900.0, None, {"high_ft": 900.0}, id="high-beyond-mending"),
        pytest.param(-400.0, -100.0, {"low_ft": 400.0}, id="low-and-to-climb"),
        pytest.param(-300.0, 20.0, {"low_ft": 300.0}, id="low-and-hardly-any-sink"),
        pytest.param(-26.0, 380.0, {"low_ft": 26.0, "sink_fpm": 380.0}, id="a-little-low"),
    ],
)
def test_one_sink_rate_is_told(height_ft: float, regain_fpm: float | None, expected: dict[str, float]) -> None:
    """Off the path it is the one that regains it, never the one that would keep the error."""
    now = picture(along_nm=5.0, offset_ft=0.0)
    asked = replace(now, height_above_path_ft=height_ft, sink_to_hold_fpm=400.0, sink_to_regain_fpm=regain_fpm)

    assert ("path-report", expected) == answer_of("path", asked)


@pytest.mark.parametrize(
    ("height_ft", "hold_fpm", "said"),
    [
        pytest.param(-3.0, 450.0, "On the path. Sink 450.", id="a-hair-low"),
        pytest.param(0.0, 450.0, "On the path. Sink 450.", id="exactly"),
        pytest.param(24.0, 450.0, "On the path. Sink 450.", id="hardly-high"),
        pytest.param(-24.0, None, "On the path.", id="no-groundspeed"),
        pytest.param(-26.0, 450.0, "Low, 30. Sink 400.", id="low"),
        pytest.param(26.0, 450.0, "High, 30. Sink 400.", id="high"),
    ],
)
def test_on_the_path_is_said_so(height_ft: float, hold_fpm: float | None, said: str) -> None:
    """Within the limit of the screens nobody hears "Low, 0", but "On the path", with the sink that holds it."""
    now = picture(along_nm=5.0, offset_ft=0.0)
    asked = replace(now, height_above_path_ft=height_ft, sink_to_hold_fpm=hold_fpm, sink_to_regain_fpm=400.0)
    phrase, values = answer_of("path", asked)

    assert phrase is not None
    assert said == Phrasebook.load().compose(phrase=phrase, values=values).text


def test_on_the_path_is_nothing_that_is_warned_of() -> None:
    """Of less than the altitude may be wrong there is no finding, so "on the path" is never said beside a caution."""
    assert ON_PATH_FT < altitude_error_ft(Source.REPORTED)
