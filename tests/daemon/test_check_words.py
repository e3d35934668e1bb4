"""What is said of the checks: at work, waiting for their moment, blind for good, or off."""

from otherseat.advisories.engine import Engine
from otherseat.advisories.state import BOUNDS, State
from otherseat.daemon import plugins
from otherseat.daemon.check_words import POSITION, check_words, sorted_out
from tests.scripted import make_plan, make_table


def test_never_is_told_from_not_now() -> None:
    """What only the simulator can send is named with the checks that it blinds; what is worked out comes in time."""
    live = {
        "implausible": "live",
        "glidepath": "lacks height_above_path_ft, next_gate_ft",
        "heading-bug": "lacks heading_bug_deg",
        "fuel": "lacks fuel_kg, closing_speed_kt",
        "gates": "switched off",
    }

    assert [
        "checks at work now: implausible",
        "wait for their moment, such as a runway or a plan: glidepath",
        "blind for want of fuel_kg: fuel",
        "blind for want of heading_bug_deg: heading-bug",
        "off: gates, switched off",
    ] == check_words(live)


def test_what_would_do_instead_is_told() -> None:
    """An indicated airspeed is worked out from a true one and a temperature."""
    told = check_words({"approach-speed": "lacks indicated_airspeed_kt"})

    assert (
        "blind for want of indicated_airspeed_kt (or a true one with outside_air_temperature_c): approach-speed" in told
    )


def test_without_an_altitude_the_path_is_blind() -> None:
    """What rests on an altitude is blind with it where none is sent, and waits where one is."""
    waiting = {"glidepath": "lacks height_above_path_ft, next_gate_ft", "centreline": "lacks offset_ft"}
    sent, unsent = sorted_out(waiting), sorted_out({**waiting, "altitude": "lacks altitude_ft"})

    assert (["centreline", "glidepath"], {}) == (sent.waiting, sent.blind)
    assert (["centreline"], {"altitude_ft": ["altitude", "glidepath"]}) == (unsent.waiting, unsent.blind)


def test_what_is_shown_as_told_comes_or_never() -> None:
    """A stream without position or airspeed leaves checks blind, from its first state on."""
    table = make_table()
    engine = Engine(aircraft="own", runways=table, plan=make_plan(table), advisories=plugins.advisories())
    engine.step(State(time_s=1.0, altitude_ft=2_000.0))

    assert {"latitude_deg, longitude_deg"} <= set(sorted_out(engine.live()).blind)
    assert "approach-speed" in sorted_out(engine.live()).blind["indicated_airspeed_kt, latitude_deg, longitude_deg"]
    engine.step(State(time_s=2.0, altitude_ft=2_000.0, latitude_deg=10.0, longitude_deg=20.3))

    assert "approach-speed" in sorted_out(engine.live()).blind["indicated_airspeed_kt"]


def test_without_a_position_nothing_waits() -> None:
    """Whatever else is sent: a check that can't work without a position never will, and is named as blind for it."""
    table = make_table()
    engine = Engine(aircraft="own", runways=table, plan=make_plan(table), advisories=plugins.advisories())
    sent = {name: (low + high) / 2.0 for name, (low, high) in BOUNDS.items() if name not in POSITION}
    engine.step(State(**{**sent, "time_s": 1.0, "altitude_ft": 3_000.0, "groundspeed_kt": 90.0}))  # type: ignore[arg-type] - the numbers' names
    checks = sorted_out(engine.live())

    assert [] == checks.waiting
    assert ["latitude_deg, longitude_deg"] == list(checks.blind)
    assert {"arrival-runway", "centreline", "destination", "glidepath", "runway-ahead"} <= set(*checks.blind.values())
    assert {"altitude", "implausible"} <= set(checks.working)


def test_where_no_groundspeed_is_sent_it_rests_on_the_position() -> None:
    """A groundspeed is worked out of positions, so without both its checks are blind."""
    lacking = {"implausible": "lacks groundspeed_kt", "departure-runway": "lacks latitude_deg, longitude_deg"}

    assert {"latitude_deg, longitude_deg": ["departure-runway", "implausible"]} == sorted_out(lacking).blind
    assert ["implausible"] == sorted_out({"implausible": "lacks groundspeed_kt"}).waiting


def test_an_airspeed_that_is_worked_out_blinds_nothing() -> None:
    """True airspeed, altitude and temperature are an airspeed: no check is called blind for want of one."""
    table = make_table()
    engine = Engine(aircraft="own", runways=table, plan=make_plan(table), advisories=plugins.advisories())
    engine.step(State(time_s=1.0, altitude_ft=2_000.0, true_airspeed_kt=90.0, outside_air_temperature_c=11.0))

    assert "indicated_airspeed_kt" not in ", ".join(sorted_out(engine.live()).blind)


def test_every_check_has_its_place() -> None:
    """Each of an engine's checks is named once; before anything has come none is at work, and none is called blind."""
    table = make_table()
    engine = Engine(aircraft="own", runways=table, plan=make_plan(table), advisories=plugins.advisories())
    before = check_words(engine.live())
    engine.step(State(time_s=1.0, latitude_deg=10.0, longitude_deg=20.3, altitude_ft=2_000.0))
    names = [name for line in check_words(engine.live()) for name in line.rpartition(": ")[2].split(", ")]

    assert "checks at work now: none yet" == before[0]
    assert not any("blind" in line for line in before)
    assert sorted(engine.live()) == sorted(set(names) - {"none yet"})
    assert len(set(names)) == len(names)
