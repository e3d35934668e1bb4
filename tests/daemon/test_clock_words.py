"""One clock for the same call, wherever it is read."""

import dataclasses
import io
from datetime import UTC, datetime, timedelta
from pathlib import Path

import pytest
from rich.console import Console

from otherseat.daemon.clock_words import CLOCK_WIDTH, clock_words
from otherseat.daemon.debrief.pages import to_html
from otherseat.daemon.demo_report import print_call
from otherseat.daemon.fly import Printer
from otherseat.daemon.messages import Kind
from tests.daemon.debrief.made import Landing
from tests.daemon.debrief.test_report import debriefed
from tests.daemon.samples import call
from tests.daemon.test_page import page_of
from tests.daemon.test_scene import message, scene_of


@pytest.mark.parametrize("time_s", [0.0, 59.99, 640.9, 3_599.999, 36_000.0, 86_399.5, 86_400.0, 1_782_903_661.7])
def test_the_second_that_has_begun(time_s: float) -> None:
    """It is the time of day that the standard library tells, cut to the second."""
    told = (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(seconds=time_s)).strftime("%H:%M:%S")

    assert told == clock_words(time_s).zfill(CLOCK_WIDTH)


def test_the_same_call_has_the_same_time_everywhere(tmp_path: Path) -> None:
    """What was said at 640.9 s has one time: on the screen, in fly's lines, in the demo's, in the debrief."""
    said = dataclasses.replace(call(), time_s=640.9, text="High, 200 ft.")
    screen = page_of(scene_of(message(Kind.CALL, said)))
    line, demo = io.StringIO(), io.StringIO()
    Printer(line).said(said, said.text)
    print_call(Console(file=demo, width=100), said)
    report = debriefed(tmp_path, Landing())
    flown = dataclasses.replace(report.flown, calls=(said,))
    debrief = to_html(dataclasses.replace(report, flown=flown), caution="")

    assert [1, 1, 1, 1] == [text.count("0:10:40") for text in (screen, line.getvalue(), demo.getvalue(), debrief)]
