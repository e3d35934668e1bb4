"""One flight's debrief: every number against a flight whose numbers are known, and real flights by the flight model."""

import math
import re
from dataclasses import replace
from pathlib import Path

import numpy as np
import pytest

from otherseat.advisories.levels import Alert, Call, Change, Level, Part
from otherseat.daemon.debrief.approach import soon_known
from otherseat.daemon.debrief.flown import NothingFlownError, read_flown
from otherseat.daemon.debrief.open_flight import flown_of_states
from otherseat.daemon.debrief.report import Report, make_report
from otherseat.daemon.debrief.tables import alert_lines, figures, tables
from otherseat.daemon.recording_writer import RecordingWriter
from tests.daemon.debrief.made import TABLE, Landing, alert, states, write
from tests.flights.make import HERE


def debriefed(folder: Path, landing: Landing, **more: object) -> Report:
    """Record a made flight and debrief it."""
    return make_report(read_flown(write(folder / "a.mcap", landing, **more)))  # type: ignore[arg-type]  # by name


def test_touchdown(tmp_path: Path) -> None:
    """Where, how far off, how fast and how hard it touched, to one state's travel."""
    landing = Landing(offset_ft=-22.0, touchdown_ft=1_350.0, sink_fpm=210.0, groundspeed_kt=70.0)
    report = debriefed(tmp_path, landing)
    assert report.approach is not None
    touchdown = report.approach.touchdown
    assert touchdown is not None

    assert "ZZBB/09L" == report.approach.end.name
    assert 1 == report.landings
    assert 0.0 <= touchdown.beyond_threshold_ft - 1_350.0 <= 70.0 * 1.6878 / landing.rate_hz
    assert -22.0 == pytest.approx(touchdown.offset_ft, abs=0.1)
    assert 210.0 == pytest.approx(touchdown.sink_fpm or 0.0)
    assert 70.0 == touchdown.indicated_airspeed_kt


def test_miles_beside_the_rules(tmp_path: Path) -> None:
    """Each mile has the height flown, the exact one and 300 ft per NM; the sink likewise, for the speed flown."""
    report = debriefed(tmp_path, Landing(above_path_ft=80.0, groundspeed_kt=72.0, from_nm=5.5))
    three = next(mile for mile in report.miles if mile.distance_nm == 3.0)

    assert [5.0, 4.0, 3.0, 2.0, 1.0] == [mile.distance_nm for mile in report.miles]
    assert 1005.3 + 80.0 == pytest.approx(three.height_ft, abs=1.0)
    assert 1005.3 == pytest.approx(three.exact_ft, abs=0.1)
    assert 900.0 == three.rule_ft
    assert 382.1 == pytest.approx(three.exact_sink_fpm, abs=0.1)
    assert 360.0 == pytest.approx(three.rule_sink_fpm)
    assert three.exact_sink_fpm == pytest.approx(three.sink_fpm)


@pytest.mark.parametrize(
    ("landing", "words"),
    [
        pytest.param(Landing(), ["stable", "stable"], id="on-path"),
        pytest.param(Landing(above_path_ft=150.0), ["stable", "not stable: path"], id="tightens"),
        pytest.param(Landing(above_path_ft=-330.0), ["not stable: path", "not stable: path"], id="low"),
        pytest.param(Landing(offset_ft=-750.0), ["stable", "not stable: centreline"], id="offset"),
        pytest.param(Landing(groundspeed_kt=81.0), ["not stable: speed", "not stable: speed"], id="fast"),
        pytest.param(Landing(groundspeed_kt=64.0), ["not stable: speed", "not stable: speed"], id="slow"),
        pytest.param(Landing(bank_deg=32.0), ["not stable: bank", "not stable: bank"], id="bank"),
        pytest.param(Landing(from_nm=2.0), ["not passed", "stable"], id="joined-below"),
    ],
)
def test_gates(landing: Landing, words: list[str], tmp_path: Path) -> None:
    """FSF ALAR 7.1: each element outside its limit is named at the gate at which it counts."""
    assert words == [verdict.word for verdict in debriefed(tmp_path, landing).verdicts]


def test_gates_agree_with_the_voice() -> None:
    """On a real flight the page says of each gate what the live check said there."""
    flown = read_flown(HERE / "demo.mcap")
    said = {call.phrase for call in flown.calls if call.phrase.startswith("gate-")}
    words = {f"gate-{v.gate_ft:.0f}" + ("" if v.stable else "-unsettled") for v in make_report(flown).verdicts}

    assert words == said


def test_the_wrong_runway_is_named(tmp_path: Path) -> None:
    """A landing on the parallel runway is judged against that one, and the page says that it was another."""
    report = debriefed(tmp_path, Landing(offset_ft=730.0))

    assert ("approach to", "ZZBB/09R, not ZZBB/09L") in figures(report)
    assert ["stable", "stable"] == [verdict.word for verdict in report.verdicts]


def test_reactions(tmp_path: Path) -> None:
    """An alert's acknowledgement and end are told from when it was raised; one that stood to the end has none."""
    alerts = [
        alert("glidepath-high", raised_s=20.0, time_s=20.0),
        alert("glidepath-high", change=Change.ACKNOWLEDGED, raised_s=20.0, time_s=23.5),
        alert("glidepath-high", change=Change.CLEARED, raised_s=20.0, time_s=41.0),
        alert("wrong-runway-arrival", raised_s=60.0, time_s=60.0),
    ]
    high, wrong = debriefed(tmp_path, Landing(), alerts=alerts).reactions

    assert (3.5, 21.0, None) == (high.acknowledged_s, high.ended_s, high.began_s)
    assert (None, None) == (wrong.acknowledged_s, wrong.ended_s)
    assert wrong.has_sign


def test_counts_and_levels(tmp_path: Path) -> None:
    """An alert counts once, by the worst that it rose to; each is a line of its own; the voice is counted apart."""
    alerts = [
        alert("glidepath-high", level=Level.ADVICE, raised_s=20.0, time_s=20.0),
        alert("glidepath-high", level=Level.WARNING, raised_s=20.0, time_s=30.0),
        alert("glidepath-high", level=Level.WARNING, change=Change.CLEARED, raised_s=20.0, time_s=41.0),
        alert("wrong-runway-arrival", level=Level.CAUTION, raised_s=60.0, time_s=60.0),
    ]
    report = debriefed(tmp_path, Landing(), alerts=alerts)
    high, wrong = alert_lines(report)

    assert ("alerts", "2: 1 warning, 1 caution") in figures(report)
    assert high.startswith("0:00:20  advice, rose to warning: ")
    assert high.endswith("ended after 21 s")
    assert wrong.endswith("stood to the end")


def cleared_call(name: str, *, time_s: float, also: tuple[Part, ...] = ()) -> Call:
    """Return the call that all is right again."""
    return Call(
        time_s=time_s, aircraft="own", level=Level.CALL, phrase=f"{name}.cleared", values={}, expires_s=None, also=also
    )


def test_mended_is_what_was_told_to_be_right_again(tmp_path: Path) -> None:
    """Who turns away from an alert has ended it, and mended nothing; in what words it stood at last is told, too."""
    high, twice = "glidepath-high", "glidepath-low"
    alerts = [
        alert(high, raised_s=20.0, time_s=20.0),
        alert(high, change=Change.CLEARED, raised_s=20.0, time_s=92.0, phrase="glidepath-high-lost"),
        alert(high, number=2, raised_s=95.0, time_s=95.0),
        alert(high, number=2, change=Change.CLEARED, raised_s=95.0, time_s=99.0),
        alert(twice, raised_s=100.0, time_s=100.0),
        alert(twice, change=Change.CLEARED, raised_s=100.0, time_s=120.0),
    ]
    part = Part(phrase="glidepath-low.cleared", values={})
    calls = [cleared_call(high, time_s=100.0), cleared_call("too-fast", time_s=121.0, also=(part,))]
    report = debriefed(tmp_path, Landing(), alerts=alerts, calls=calls)
    ends = [line.partition(": ")[2] for line in alert_lines(report)]
    (table,) = [table for table in tables(report) if "ended" in table.heads]

    assert [
        "Text of glidepath-high. In the end: Text of glidepath-high-lost.  ended after 72 s",
        "Text of glidepath-high.  mended after 4 s",
        "Text of glidepath-low.  mended after 20 s",
    ] == ends
    assert ["72.0", "4.0, mended", "20.0, mended"] == [row[-1] for row in table.rows]


def test_mending_is_told_of_the_flight_model() -> None:
    """High on final is mended in the demo, and nobody can know that it was where only the alerts are recorded."""
    flown = read_flown(HERE / "demo.mcap")
    high = next(one for one in make_report(flown).reactions if one.alert == "glidepath-high")
    unheard = next(one for one in make_report(replace(flown, calls=())).reactions if one.alert == "glidepath-high")

    assert (True, False) == (high.mended, unheard.mended)
    assert high.ended_s == unheard.ended_s


def test_the_silence_at_the_end_is_nobody_s_mistake(tmp_path: Path) -> None:
    """Whoever ends his simulator has nothing to mend: it is no alert of the flight. The page says how it ended."""
    ends_s = 5_000.0
    alerts = [
        alert("glidepath-high", raised_s=20.0, time_s=20.0),
        alert("silence", raised_s=ends_s, time_s=ends_s),
        alert("silence", raised_s=ends_s, level=Level.WARNING, time_s=ends_s + 20.0),
    ]
    report = debriefed(tmp_path, Landing(), alerts=alerts)

    assert ["glidepath-high"] == [reaction.alert for reaction in report.reactions]
    assert ("alerts", "1: 1 caution") in figures(report)
    assert "the simulator fell silent before 1:23:20, and the recording ends with that" in report.unknown


@pytest.mark.parametrize(
    "alerts",
    [
        pytest.param(
            [
                alert("silence", raised_s=20.0, time_s=20.0),
                alert("silence", change=Change.CLEARED, raised_s=20.0, time_s=41.0),
            ],
            id="heard-again",
        ),
        pytest.param([alert("silence", raised_s=20.0, time_s=20.0)], id="states-after-it"),
        pytest.param(
            [
                alert("silence", raised_s=9_000.0, time_s=9_000.0),
                alert("silence", change=Change.CLEARED, raised_s=9_000.0, time_s=9_001.0),
            ],
            id="the-clock-began-anew",
        ),
    ],
)
def test_a_silence_in_the_middle_stays(alerts: list[Alert], tmp_path: Path) -> None:
    """The flight went on unwatched for a while, and that is told."""
    report = debriefed(tmp_path, Landing(), alerts=alerts)

    assert ["silence"] == [reaction.alert for reaction in report.reactions]
    assert not any("fell silent" in words for words in report.unknown)


def test_the_demo_s_flight() -> None:
    """Flown by the flight model: a landing on the planned end, each mistake an alert, each met after it was told."""
    report = make_report(read_flown(HERE / "demo.mcap"))
    assert report.approach is not None
    assert report.approach.touchdown is not None
    counted = {name: re.findall(r"\d+", value) for name, value in figures(report) if name in {"alerts", "said"}}
    assert all(int(whole) == sum(map(int, parts)) for whole, *parts in counted.values())
    assert [len(report.reactions), len(report.flown.calls)] == [int(counted[name][0]) for name in ("alerts", "said")]
    began = {reaction.alert: reaction.began_s for reaction in report.reactions}

    assert "ZZPS/27L" == report.approach.end.name
    assert 300.0 < report.approach.touchdown.beyond_threshold_ft < 2_000.0
    assert 0.0 < (report.approach.touchdown.sink_fpm or 0.0) < 500.0
    assert {"destination-passed", "glidepath-high", "wrong-runway-arrival"} <= set(began)
    assert 0.0 < (began["destination-passed"] or math.nan) < 200.0
    assert 0.0 == began["glidepath-high"]  # it sinks 500 fpm faster than holds the path when it is told
    assert all(0.0 < (reaction.ended_s or math.nan) < 200.0 for reaction in report.reactions)
    assert report.airborne_s > 600.0


def test_no_touchdown_is_said() -> None:
    """An approach that ends in the air is judged to its lowest point, and the debrief says so."""
    report = make_report(read_flown(HERE / "high-final.mcap"))

    assert report.approach is not None
    assert report.approach.touchdown is None
    assert any("no touchdown was seen" in words for words in report.unknown)
    assert any("no indicated airspeed" in words for words in report.unknown)


def test_an_approach_goes_on_after_a_gap() -> None:
    """Ten seconds without a datagram on short final, and a track that comes late then, do not end the approach."""
    flown = [{**told, "on_ground": False} for told in states(Landing(from_nm=5.0)) if not told["on_ground"]]
    gap = [told for told in flown if not 200.0 < float(told["time_s"]) < 210.0]
    late = [told for told in gap if float(told["time_s"]) >= 210.0][:2]
    for told in late:
        del told["track_true_deg"]
    report = make_report(flown_of_states(gap, path=Path("flight"), runways=TABLE))

    assert report.approach is not None
    assert "ZZBB/09L" == report.approach.end.name
    assert [5.0, 4.0, 3.0, 2.0, 1.0] == [mile.distance_nm for mile in report.miles]


def test_a_value_that_comes_late_is_not_waited_for_long() -> None:
    """What is not known is the next known within two seconds; later, and behind the last, it stays unknown."""
    values = np.array([np.nan, np.nan, 5.0, np.nan])

    assert [np.nan, 5.0, 5.0, np.nan] == pytest.approx(soon_known(values, np.array([0.0, 8.0, 9.0, 10.0])), nan_ok=True)


def test_nothing_flown(tmp_path: Path) -> None:
    """A recording without states is refused by name, and so is an aircraft that isn't in it."""
    RecordingWriter(tmp_path / "empty.mcap").close()

    with pytest.raises(NothingFlownError, match="empty"):
        read_flown(tmp_path / "empty.mcap")
    with pytest.raises(NothingFlownError, match="there are: own"):
        read_flown(write(tmp_path / "a.mcap", Landing()), aircraft="other")


def test_cut_recording_is_debriefed(tmp_path: Path) -> None:
    """After a power cut the rest is debriefed, and the cut is told."""
    whole = write(tmp_path / "a.mcap", Landing()).read_bytes()
    cut = tmp_path / "cut.mcap"
    cut.write_bytes(whole[: len(whole) * 6 // 10])
    report = make_report(read_flown(cut))

    assert "stable" == report.verdicts[0].word
    assert 0 == report.landings
    assert any("the recording ends early" in words for words in report.unknown)


def test_track_of_many_pieces() -> None:
    """The demo is put somewhere far away once: two pieces, no nonsense between them."""
    track = read_flown(HERE / "demo.mcap").track

    assert 2 == len(track.segments())
    assert len(track) == sum(map(len, track.segments()))
