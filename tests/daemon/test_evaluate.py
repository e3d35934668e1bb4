"""The command: a table, pictures of what to look at, and readable errors."""

import json
from pathlib import Path
from xml.etree import ElementTree as ET

from click.testing import CliRunner

from otherseat.daemon.evaluate import evaluate
from otherseat.daemon.evaluation.catalogue import SCENARIOS
from otherseat.daemon.evaluation.flown import Order
from otherseat.daemon.evaluation.pictures import draw
from otherseat.daemon.evaluation.squadron import fly_one
from otherseat.daemon.flight_model.world import World


def test_table(tmp_path: Path) -> None:
    """Each aircraft has its row, on the terminal as in the file, and it says how many flights there were."""
    file = tmp_path / "table.json"
    options = ["--flights", "0", "--faults", "2", "--jobs", "1", "--only", "take-off-elsewhere", "--table", str(file)]
    result = CliRunner().invoke(evaluate, options)

    assert 0 == result.exit_code, result.output
    assert "100%" in result.output
    assert "4 flights, 0 to look at" in result.output
    table = json.loads(file.read_text(encoding="utf-8"))
    assert [("light", 2, 100.0), ("jet", 2, 100.0)] == [
        (row["aircraft"], row["flown"], row["detected_percent"]) for row in table["faults"]
    ]
    assert all(0.0 <= row["least_lead_s"] <= row["median_lead_s"] for row in table["faults"])
    assert (4, []) == (table["flights"], table["to_look_at"])


def test_scenarios_are_listed() -> None:
    """`--only list` names every scenario."""
    assert list(SCENARIOS) == CliRunner().invoke(evaluate, ["--only", "list"]).output.split()


def test_unknown_scenario() -> None:
    """A name that is not in the catalogue brings the nearest one that is."""
    result = CliRunner().invoke(evaluate, ["--only", "circiut"])

    assert 2 == result.exit_code
    assert "did you mean circuit?" in result.output


def test_picture(tmp_path: Path) -> None:
    """A picture is an SVG that names the scenario, the seed and what was said."""
    flown = fly_one(Order(scenario="take-off-elsewhere", aircraft="light", size=1.0, seed=3))
    file = draw(flown, world=World.make(), folder=tmp_path)
    text = file.read_text(encoding="utf-8")

    assert "{http://www.w3.org/2000/svg}svg" == ET.fromstring(text).tag  # noqa: S314 - drawn a moment ago
    assert "take-off-elsewhere-light-1-3.svg" == file.name
    assert "wrong-runway-departure" in text
