"""Every runway known: the person's own over the world's."""

from pathlib import Path

import pytest

from otherseat.advisories.runway import UnknownPlaceError
from otherseat.config.errors import ConfigError
from otherseat.config.known_runways import known_runways
from tests.config.test_airfields import GOOD
from tests.config.test_world import SURVEYED, tables


def test_own_folder(tmp_path: Path) -> None:
    """Files in the own folder and files given lie over the demo's airfields; fixes are places."""
    (tmp_path / "airfields").mkdir()
    (tmp_path / "airfields" / "mine.toml").write_text(GOOD.replace("ZZKN", "ZZAB"), encoding="utf-8")
    given = tmp_path / "given.toml"
    fix = '\n[[fix]]\nname = "FIX1"\nlatitude_deg = 1.0\nlongitude_deg = 2.0\n'
    given.write_text(GOOD.replace("Kestrel North", "Given") + fix, encoding="utf-8")

    table = known_runways(files=[given], own=tmp_path, world=False)

    assert (table.airfield("ZZAB").name, table.airfield("ZZKN").name) == ("Kestrel North", "Given")
    assert (1.0, 2.0) == (table.place("FIX1").latitude_deg, table.place("FIX1").longitude_deg)
    assert table.place("ZZAB").latitude_deg == 40.0
    with pytest.raises(UnknownPlaceError, match="no such place: FIX2; nearest: FIX1"):
        table.place("FIX2")


def test_newer_tables(tmp_path: Path) -> None:
    """Tables of a newer download in the own folder lie over the packaged ones."""
    tables(tmp_path / "tables", SURVEYED, airports=("1,EGLL,large_airport,Auk,0.0,0.008,20",))

    table = known_runways(own=tmp_path, cache=tmp_path / "cache")

    assert table.airfield("EGLL").name == "Auk"
    assert len(table) > 60_000


def test_a_file_that_cant_be_used(tmp_path: Path) -> None:
    """A file of one's own that is wrong stops everything, named."""
    (tmp_path / "airfields").mkdir()
    bad = tmp_path / "airfields" / "bad.toml"
    bad.write_text("", encoding="utf-8")

    with pytest.raises(ConfigError) as caught:
        known_runways(own=tmp_path, world=False)

    assert f"{bad}: there is neither an [[airfield]] nor a [[fix]]" == str(caught.value)
