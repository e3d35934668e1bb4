"""The README says what is so: its promises, its commands, its caution, its links."""

import re
from pathlib import Path

from otherseat.daemon.cli import COMMANDS
from otherseat.daemon.debrief.flown import read_flown
from otherseat.daemon.flight_model.scenes import MISTAKES

ROOT = Path(__file__).parent.parent
README = (ROOT / "README.md").read_text(encoding="utf-8")


def test_its_promises_are_the_demo_s() -> None:
    """Each mistake of the demo stands in the table with the seconds that the demo holds itself to."""
    promised = re.findall(r'^\| .+ \| "(?:.+)".* \| (\d+) s of .+ \|$', README, flags=re.MULTILINE)

    assert [f"{mistake.said_within_s:.0f}" for mistake in MISTAKES] == promised


def test_its_sentences_are_the_ones_that_are_spoken() -> None:
    """What it quotes is what the demo said first of each mistake when it was recorded."""
    said: dict[str, str] = {}
    for call in read_flown(ROOT / "tests" / "flights" / "demo.mcap").calls:
        said.setdefault((call.alert_id or "").rpartition(".")[0], call.speech)

    assert [said[mistake.alert] for mistake in MISTAKES] == re.findall(
        r'^\| .+ \| "(.+?)".* \| \d+ s of .+ \|$', README, flags=re.MULTILINE
    )


def test_it_names_every_command() -> None:
    """No command is missing from the list, and none in the list is missing from the program."""
    named = set(re.findall(r"^\| `otherseat (\w+)", README, flags=re.MULTILINE))

    assert set(COMMANDS) == named


def test_it_opens_with_the_job_and_the_caution() -> None:
    """The job comes first, and what this must not be used for before anything can be started."""
    assert README.startswith("# Otherseat\n\nYou fly alone")
    assert README.index("not certified") < README.index("```sh")


def test_its_links_lead_somewhere() -> None:
    """Pictures and files that it names are there."""
    links = re.findall(r"\]\(([^)#]+)\)", README)

    assert [] == [link for link in links if not (ROOT / link).exists()]
