"""What a few evaluated flights come to, as JSON: python -m tests.daemon.evaluation.fingerprint [FLIGHTS] [SEED].

The same seed gives the same text on every Python; compare the outputs of two interpreters.
"""

import json
import sys
from dataclasses import asdict

from otherseat.daemon.evaluation.flown import Flown
from otherseat.daemon.evaluation.judge import judge
from otherseat.daemon.evaluation.squadron import fly_one, make_orders

ONLY = ("straight-in", "circuit", "take-off-elsewhere")


def told(flown: Flown) -> dict[str, object]:
    """Return everything that a report is made of, floats in full."""
    return {
        "order": asdict(flown.order),
        "conditions": flown.conditions,
        "runway": flown.runway,
        "verdict": judge(flown).value,
        "alerts": [[a.time_s, a.id, a.change.value, a.level.word, a.phrase, dict(a.values)] for a in flown.alerts],
        "track": [
            [point.time_s, point.to_go_nm, point.offset_ft, point.height_ft, point.phase] for point in flown.track
        ],
        "began_s": flown.began_s,
        "too_late_s": flown.too_late_s,
        "ended_s": flown.ended_s,
        "error": flown.error,
    }


def fingerprint(*, flights: int, seed: int) -> str:
    """Return the flights as text."""
    orders = make_orders(flights=flights, faults=1, seed=seed, aircraft=("light", "jet"), only=ONLY)
    return json.dumps([told(fly_one(order)) for order in orders], indent=1, sort_keys=True)


if __name__ == "__main__":
    given = [int(word) for word in sys.argv[1:]]
    print(fingerprint(flights=given[0] if given else 1, seed=given[1] if given[1:] else 7))  # noqa: T201 - its output
