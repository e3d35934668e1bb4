"""Flying orders: real flights on the model, the same from the same seed."""

import pytest

from otherseat.daemon.evaluation.catalogue import AIRCRAFT, SCENARIOS
from otherseat.daemon.evaluation.flown import Order
from otherseat.daemon.evaluation.judge import Verdict, judge
from otherseat.daemon.evaluation.squadron import fly_one, fly_orders, make_orders
from otherseat.daemon.evaluation.truth import kept_up

SHORT = Order(scenario="take-off-elsewhere", aircraft="light", size=1.0, seed=3)


def test_same_order_same_flight() -> None:
    """The same order gives the same alerts at the same times, also in another process."""
    alone = fly_one(SHORT)
    (with_others,) = fly_orders([SHORT], jobs=2)

    assert alone.error is None
    assert alone == with_others
    assert [] != alone.alerts


def test_another_seed_is_another_flight() -> None:
    """Another seed gives other conditions."""
    other = fly_one(Order(scenario=SHORT.scenario, aircraft=SHORT.aircraft, size=SHORT.size, seed=4))

    assert fly_one(SHORT).conditions != other.conditions


def test_wrong_runway_is_said_before_40_kt() -> None:
    """Lined up on another runway than planned, light single and jet are told before 40 kt."""
    flights = [
        fly_one(Order(scenario="take-off-elsewhere", aircraft=aircraft, size=1.0, seed=seed))
        for aircraft in AIRCRAFT
        for seed in range(3)
    ]

    assert {Verdict.DETECTED} == {judge(flight) for flight in flights}


@pytest.mark.parametrize(
    ("scenario", "aircraft", "size"),
    [
        ("high-untold", "light", 5.0),
        ("fast", "jet", 1.3),
        ("steep", "light", 2.0),
        ("setting", "jet", 1.3),
        ("bug", "light", 1.3),
        ("dry", "jet", 2.0),
        ("passed", "jet", 1.0),
        ("flown-through", "jet", 1.0),
        ("take-off-taxiway", "light", 1.0),
    ],
)
def test_a_fault_is_seen_in_time(scenario: str, aircraft: str, size: float) -> None:
    """A fault of each kind is flown by the model and told before it is too late."""
    flight = fly_one(Order(scenario=scenario, aircraft=aircraft, size=size, seed=8))

    assert (None, Verdict.DETECTED) == (flight.error, judge(flight))


@pytest.mark.parametrize("seed", [31134, 31386])
def test_a_jet_put_down_in_a_tailwind_flies(seed: int) -> None:
    """Without the wind in its airspeed it was put down too slow, and stalled into the sea; now it lands."""
    flight = fly_one(Order(scenario="vectors", aircraft="jet", size=0.0, seed=seed))

    assert flight.error is None
    assert {"final", "landed"} <= {point.phase for point in flight.track}
    assert abs(flight.track[-1].offset_ft) < 50.0


def test_half_a_fault_is_nothing() -> None:
    """Beside the centreline by half of what is allowed, nothing is said of it."""
    flight = fly_one(Order(scenario="aside", aircraft="light", size=0.5, seed=8))

    assert (None, Verdict.QUIET) == (flight.error, judge(flight))
    assert 0.5 == pytest.approx(kept_up(flight.sizes, for_s=10.0), abs=0.3)


def test_a_circuit_ends_where_it_began() -> None:
    """A normal circuit lands and stops on the runway that it left."""
    flight = fly_one(Order(scenario="circuit", aircraft="light", size=0.0, seed=1))
    last = flight.track[-1]

    assert flight.error is None
    assert {"take-off", "final", "landed"} <= {point.phase for point in flight.track}
    assert abs(last.offset_ft) < 50.0
    assert last.height_ft < 10.0


def test_a_flight_that_fails_is_a_result() -> None:
    """An error of one flight is told with it, and does not end the others."""
    flight = fly_one(Order(scenario="circuit", aircraft="kite", size=0.0, seed=1))

    assert "KeyError: 'kite'" == flight.error
    assert Verdict.ERROR == judge(flight)


def test_orders() -> None:
    """Normal flights are dealt out over scenarios and aircraft; every fault is flown at each of its sizes."""
    orders = make_orders(flights=40, faults=2, seed=10, aircraft=("light", "jet"))
    normal = [order for order in orders if SCENARIOS[order.scenario].normal]
    sizes = {order.size for order in orders if order.scenario == "high"}

    assert 40 == len(normal)
    assert {name for name, scenario in SCENARIOS.items() if scenario.normal} == {order.scenario for order in normal}
    assert {0.5, 1.3, 2.0} == sizes
    assert 2 * 3 * 2 == sum(order.scenario == "high" for order in orders)
    assert all(order.aircraft in SCENARIOS[order.scenario].aircraft for order in orders)
    assert [] == make_orders(flights=4, faults=2, seed=1, aircraft=("jet",), only=["overhead-join"])
