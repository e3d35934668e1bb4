"""The contributors' guide has the summary table that the command prints."""

from pathlib import Path

from tests.standards.table import lines

GUIDE = Path(__file__).parents[2] / "DEVELOPERS.md"


def test_the_guide_has_the_table() -> None:
    """Every topic stands in the guide with as many cases, values and exceptions as there are today."""
    guide = GUIDE.read_text(encoding="utf-8").splitlines()
    counts = ["|".join(line.split("|")[:5]) + "|" for line in lines()]

    assert [] == [count for count in counts if not any(line.startswith(count) for line in guide)]
