"""The plan across a restart: given back within the flight, and to no other."""

from pathlib import Path

import pytest

from otherseat.advisories.plan import Fix, Hold, Plan
from otherseat.config.plan_memory import LONGEST_GAP_S, Sighting, drop_old_plans, keep_plan, recall_plan

PLAN = Plan(
    departure="ZZKN/13",
    destination="ZZPS/27L",
    route=(Fix(name="FIX1", latitude_deg=1.5, longitude_deg=2.5, altitude_ft=3_000),),
    hold=Hold(at="FIX1", inbound_magnetic_deg=210),
    weather="ZZPS 00000KT 9999 Q1013",
)
SEEN = Sighting(aircraft="own", wall_s=1_000.0, time_s=500.0, latitude_deg=-40.0, longitude_deg=179.99)


@pytest.mark.parametrize(
    ("changed", "expected"),
    [
        pytest.param({}, PLAN, id="at-once"),
        pytest.param({"wall_s": 1_060.0, "time_s": 560.0, "longitude_deg": -179.99}, PLAN, id="flown-on"),
        pytest.param({"wall_s": 1_060.0}, PLAN, id="paused"),
        pytest.param({"wall_s": 1_060.0, "latitude_deg": -39.0}, None, id="too-far-to-have-flown"),
        pytest.param({"wall_s": 2_700.0, "time_s": 2_200.0, "latitude_deg": -39.0}, PLAN, id="far-after-long"),
        pytest.param({"wall_s": 2_900.0, "time_s": 2_400.0}, None, id="too-long-ago"),
        pytest.param({"wall_s": 1_060.0, "time_s": 3.0}, None, id="simulator-began-anew"),
        pytest.param({"wall_s": 900.0}, None, id="clock-set-back"),
        pytest.param({"aircraft": "other"}, None, id="another-aircraft"),
    ],
)
def test_same_flight(tmp_path: Path, changed: dict[str, float | str], expected: Plan | None) -> None:
    """The plan comes back only where the aircraft can be on the same flight."""
    keep_plan(folder=tmp_path / "new", plan=PLAN, seen=SEEN)

    assert expected == recall_plan(folder=tmp_path / "new", now=SEEN.model_copy(update=changed))


def test_newest(tmp_path: Path) -> None:
    """The newest plan of each aircraft is kept, whatever its id, and nothing else lies about."""
    other = SEEN.model_copy(update={"aircraft": "../ZZ 1/" + 50 * "é"})
    keep_plan(folder=tmp_path, plan=Plan(destination="ZZPS"), seen=SEEN)
    keep_plan(folder=tmp_path, plan=PLAN, seen=SEEN)
    keep_plan(folder=tmp_path, plan=Plan(destination="ZZKN"), seen=other)

    assert PLAN == recall_plan(folder=tmp_path, now=SEEN)
    assert Plan(destination="ZZKN") == recall_plan(folder=tmp_path, now=other)
    assert len(list(tmp_path.iterdir())) == 2


@pytest.mark.parametrize("content", [b"", b"{", b'{"seen": 1}', b"\xff\xfe", b'{"seen": {}, "plan": {"x": 1}}'])
def test_spoilt(tmp_path: Path, content: bytes) -> None:
    """A file that can't be read is no memory."""
    keep_plan(folder=tmp_path, plan=PLAN, seen=SEEN)
    (kept,) = tmp_path.iterdir()
    kept.write_bytes(content)

    assert recall_plan(folder=tmp_path, now=SEEN) is None


def test_old_plans_are_dropped(tmp_path: Path) -> None:
    """What is older than the longest gap goes; what a flight may still want stays, as does what is no plan."""
    keep_plan(folder=tmp_path, plan=PLAN, seen=SEEN)
    (kept,) = tmp_path.iterdir()
    other = tmp_path / "notes.json"
    other.write_text("{}", encoding="utf-8")
    written_s = kept.stat().st_mtime

    drop_old_plans(tmp_path, wall_s=written_s + LONGEST_GAP_S)
    assert {kept, other} == set(tmp_path.iterdir())
    drop_old_plans(tmp_path, wall_s=written_s + LONGEST_GAP_S + 1.0)
    assert [other] == list(tmp_path.iterdir())
    drop_old_plans(tmp_path / "none", wall_s=written_s)


def test_folder_that_cant_be_made(tmp_path: Path) -> None:
    """Where nothing can be written the caller is told."""
    (tmp_path / "file").write_text("", encoding="utf-8")

    with pytest.raises(OSError, match="file"):
        keep_plan(folder=tmp_path / "file", plan=PLAN, seen=SEEN)
