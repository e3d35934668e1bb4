"""How far the rules of thumb are off."""

import inspect

import pytest

from otherseat.advisories import air, path, rule_bands, rules_of_thumb

BANDS = rule_bands.bands()


def test_the_table_in_the_docstring_is_what_is_measured() -> None:
    """The data sheet of the rules shows today's bands; rule_bands.table(rule_bands.bands()) makes it."""
    assert rule_bands.table(BANDS) in (rules_of_thumb.__doc__ or "")


def test_every_rule_has_a_band() -> None:
    """Each rule is measured, but the hold's, whose twin is a whole pattern and whose test stands with it."""
    rules = {name for name, _ in inspect.getmembers(rules_of_thumb, inspect.isfunction) if name != "lesser"}

    assert rules - {"outbound_correction_deg"} == {band.rule for band in BANDS}


@pytest.mark.parametrize("band", BANDS, ids=[f"{band.rule}-{band.over}" for band in BANDS])
def test_a_band_is_a_band(band: rule_bands.Band) -> None:
    """The lowest error is not above the highest, and what a pilot reads says something."""
    assert band.lowest <= band.highest
    assert all((band.says, band.over, band.unit))


def band(rule: str, over: str) -> rule_bands.Band:
    """Return the band of a rule over a range."""
    return next(one for one in BANDS if one.rule == rule and over in one.over)


def test_one_point_of_the_jet_rule() -> None:
    """260 kt at FL350 is 435 by rule, 442.78 exactly (aerocalc3, as in tests/standards): that lies in the band."""
    exact_kt = air.true_airspeed_kt(calibrated_airspeed_kt=260.0, pressure_altitude_ft=35_000.0)
    measured = band("jet_true_airspeed_kt", "FL250")

    assert 442.78 == pytest.approx(exact_kt, abs=0.05)
    assert measured.lowest <= 435.0 - exact_kt <= measured.highest


def test_one_point_of_the_sink_rule() -> None:
    """At 180 kt the rule is 900 and the path takes 955 fpm (the FAA's table): 55 short, the band's end."""
    exact_fpm = path.sink_rate_to_hold_fpm(groundspeed_kt=180.0, angle_deg=3.0)

    assert 900.0 - exact_fpm == pytest.approx(band("sink_rate_fpm", "60").lowest, abs=0.05)
    assert 955.0 == pytest.approx(exact_fpm, abs=0.5)
