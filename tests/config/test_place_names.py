"""Names of places, without accents."""

import pytest

from otherseat.advisories.runway import Airfield
from otherseat.config.known_runways import known_runways, known_world
from otherseat.config.place_names import fields_named, plain


@pytest.mark.parametrize(
    ("name", "expected"),
    [("Zürich", "zurich"), ("Ærø", "aero"), ("ŁÓDŹ", "lodz"), ("İzmir", "izmir"), ("Þórs\xadhöfn", "thorshofn")],
)
def test_plain(name: str, expected: str) -> None:
    """A letter with an accent is the letter; others are those that are written in their place."""
    assert expected == plain(name)


def found(text: str) -> list[Airfield]:
    """Return what is found of the packaged tables."""
    table = known_runways()
    return fields_named(text, own=table.find(""), world=known_world().columns, table=table)


def test_the_open_tables() -> None:
    """The open tables write names as their country does."""
    assert ["LSZH"] == [field.ident for field in found(" ZURICH airport ")]
    assert found("") == []
    assert 25 == len(found("airport"))
