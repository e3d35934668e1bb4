"""Gates over time. What is within limits is judged against published cases in tests/standards."""

from otherseat.advisories.gates import Gates, GatesParams
from otherseat.advisories.picture import Phase
from otherseat.config.profiles import read_profile
from tests.advisories.rows import PLAN

PROFILE = read_profile("airliner")


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
