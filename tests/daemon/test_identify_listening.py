"""The studies while `otherseat identify` listens: how often, what is said of each, and when it is enough."""

import itertools
from collections.abc import Callable
from concurrent.futures import Future
from dataclasses import replace

import pytest

from otherseat.adapters.identify import Certainty, Verdict
from otherseat.daemon.identify_command import Datagrams
from otherseat.daemon.identify_listening import Progress, lasting
from tests.adapters.flown import flight
from tests.daemon.test_identify_command import EVERY, AtOnce, whole


def test_studies_every_ten_seconds_and_two_must_agree(capsys: pytest.CaptureFixture[str]) -> None:
    """A study is begun after 20 s and every 10 s from then; one that settles all does not end it, two alike do."""
    studied: list[int] = []

    def known(datagrams: Datagrams) -> Verdict:
        studied.append(len(datagrams))
        return run(datagrams)

    rows = whole(flight(1))
    times_s = [index * EVERY / 60.0 for index in range(len(rows))]
    whole_verdict = study_of(list(zip(times_s, rows, strict=True)))
    verdicts = itertools.chain([study_of([])], itertools.repeat(whole_verdict))

    def run(_datagrams: Datagrams) -> Verdict:
        return next(verdicts)

    progress = Progress(known, AtOnce(), seconds=120.0)
    came: list[tuple[float, bytes]] = []
    ended_s = None
    for item in zip(times_s, rows, strict=True):
        came.append(item)
        if progress.step(came):
            ended_s = item[0]
            break
    told = capsys.readouterr().out

    assert ended_s is not None
    assert [20.0, 30.0, 40.0] == [pytest.approx((count - 1) * EVERY / 60.0, abs=0.1) for count in studied]
    assert ended_s == pytest.approx(40.0, abs=0.2)
    assert 3 == told.count("known: ")
    assert 2 == told.count("known: nothing yet")
    assert 2 == told.count("indicated airspeed")
    assert 1 == told.count("flying on would add nothing")


def test_what_was_known_is_not_taken_back_in_silence(capsys: pytest.CaptureFixture[str]) -> None:
    """A name that two studies were sure of, and the next one is not, is named."""
    rows = whole(flight(1))
    times_s = [index * EVERY / 60.0 for index in range(len(rows))]
    sure = study_of(list(zip(times_s, rows, strict=True)))
    less = replace(sure, claims=[c for c in sure.claims if c.field != "heading_true_deg"], up_and_down=False)
    verdicts = iter([replace(sure, up_and_down=False), replace(sure, up_and_down=False), less])
    progress = Progress(lambda _datagrams: next(verdicts), AtOnce(), seconds=120.0)
    came: list[tuple[float, bytes]] = []
    for second in range(46):
        came.append((float(second), b""))
        progress.step(came)
    lines = capsys.readouterr().out.splitlines()

    assert ["        no longer known: heading true; two studies in a row must agree"] == [
        line for line in lines if "no longer" in line
    ]
    assert any("what changes with height" in line for line in lines)


def test_it_ends_when_nothing_more_comes_of_it() -> None:
    """An airspeed that may be one or another at this height is no reason to fly on."""
    rows = whole(flight(1))
    times_s = [index * EVERY / 60.0 for index in range(len(rows))]
    sure = study_of(list(zip(times_s, rows, strict=True)))
    claims = [
        replace(claim, certainty=Certainty.OPEN) if claim.field == "indicated_airspeed_kt" else claim
        for claim in sure.claims
    ]
    ended: dict[bool, float] = {}
    for up_and_down in (True, False):
        verdict = replace(sure, claims=claims, up_and_down=up_and_down)
        progress = Progress(lambda _datagrams, verdict=verdict: verdict, AtOnce(), seconds=120.0)  # type: ignore[misc]
        came: list[tuple[float, bytes]] = []
        for second in range(90):
            came.append((float(second), b""))
            if progress.step(came):
                ended[up_and_down] = second
                assert 0 < progress.settled_by <= len(came)
                break

    assert {True: pytest.approx(51.0, abs=3.0)} == ended


def test_it_is_not_silent_while_something_is_open(capsys: pytest.CaptureFixture[str]) -> None:
    """Studies that find the same say one line each, the same one: how long it still takes, and what is open.

    The height of the moment, which is another one every time, is no news.
    """
    heights = itertools.count(2_500, 70)

    def verdict(_datagrams: Datagrams) -> Verdict:
        return Verdict(cannot_tell=[f"height: {next(heights):,} ft or m", "airspeed: turn", "track: turn"])

    progress = Progress(verdict, AtOnce(), seconds=120.0)
    came: list[tuple[float, bytes]] = []
    for second in range(66):
        came.append((float(second), b""))
        assert not progress.step(came)
    lines = capsys.readouterr().out.splitlines()

    assert [
        "  21 s  known: nothing yet",
        "        open: height: 2,500 ft or m",
        "        open: airspeed: turn",
        "        open: track: turn",
        *(
            f"  {at} s  nothing new, what you flew counts; {120 - at} s left at most; "
            f"still open: height: {height:,} ft or m; open too: airspeed, track"
            for at, height in ((31, 2_570), (41, 2_640), (51, 2_710), (61, 2_780))
        ),
    ] == lines
    assert lasting("key a was 12 ft or 12 m, within 0.3%") == lasting("key a was 1,300 ft or 1,300 m, within 2.0%")
    assert lasting("column 3 is at 5 ft") != lasting("column 4 is at 5 ft")


def test_a_slow_study_is_not_waited_for_in_silence(capsys: pytest.CaptureFixture[str]) -> None:
    """A study that does not end leaves a line every fifteen seconds, with the open thing of the last that did."""

    class Once:
        """Ends the first study alone."""

        def __init__(self) -> None:
            self.count = 0

        def submit(self, run: Callable[[Datagrams], Verdict], datagrams: Datagrams, /) -> "Future[Verdict]":
            """Run the first."""
            future: Future[Verdict] = Future()
            self.count += 1
            if self.count == 1:
                future.set_result(run(datagrams))
            return future

    progress = Progress(lambda _datagrams: Verdict(cannot_tell=["altitude: climb"]), Once(), seconds=120.0)
    came: list[tuple[float, bytes]] = []
    for second in range(56):
        came.append((float(second), b""))
        progress.step(came)

    assert [" 36", " 51"] == [
        line.partition(" s  ")[0][1:] for line in capsys.readouterr().out.splitlines() if "still open" in line
    ]


def test_the_lines_come_in_the_order_of_their_times(capsys: pytest.CaptureFixture[str]) -> None:
    """A study that took half a minute is said at the time when it ended, with how much of the flight it is of."""

    class Late:
        """Ends every study 28 s after it began."""

        def __init__(self) -> None:
            self.began: list[tuple[int, Future[Verdict]]] = []

        def submit(self, _run: Callable[[Datagrams], Verdict], _datagrams: Datagrams, /) -> "Future[Verdict]":
            """Begin one."""
            future: Future[Verdict] = Future()
            self.began.append((len(came), future))
            return future

    runner = Late()
    progress = Progress(lambda _datagrams: Verdict(), runner, seconds=120.0)
    came: list[tuple[float, bytes]] = []
    for second in range(120):
        came.append((float(second), b""))
        for number, (begun, future) in enumerate(runner.began):
            if second - begun >= 28 and not future.done():
                future.set_result(Verdict(cannot_tell=[f"altitude: climb {number} times"]))
        progress.step(came)
    lines = capsys.readouterr().out.splitlines()
    said_s = [int(line.partition(" s  ")[0]) for line in lines if not line.startswith("     ")]

    assert sorted(said_s) == said_s
    assert len(said_s) > 4
    assert " 49 s  known: nothing yet (by the first 20 s)" in lines[0]


def study_of(datagrams: Datagrams) -> Verdict:
    """Return the study itself."""
    from otherseat.adapters.identify import identify as study  # noqa: PLC0415 - the command has the same name

    return study(datagrams)
