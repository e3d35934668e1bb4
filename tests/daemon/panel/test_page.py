"""The page in a real browser: what it says and where it draws it."""

from collections.abc import Callable, Iterator
from typing import Any

import pytest

from otherseat.advisories.units import FT_PER_NM
from otherseat.daemon.client import Client
from otherseat.daemon.clock_words import clock_words
from tests.daemon.panel.pilot import Scene, beside, cruise, flying, high, lined_up_wrong, mended, past
from tests.daemon.panel.rig import Daemon, Served, daemon, served
from tests.scripted import final, straight

Open = Callable[..., Any]
WITHIN_PX = 2.0

READ_SIDE = """() => {
  const side = document.getElementById("side");
  const middle = (node) => {
    const box = node.getBoundingClientRect();
    return [box.x + box.width / 2, box.y + box.height / 2];
  };
  const named = [...side.querySelectorAll("text.scale:not(.height)")];
  const ticks = [...side.querySelectorAll("line.tick")].map((tick, place) =>
    [named[place].textContent === "threshold" ? 0 : Number(named[place].textContent), middle(tick)[0]]);
  const heights = [...side.querySelectorAll("text.scale.height")];
  const rules = [...side.querySelectorAll("line.rule")].map((rule, place) =>
    [Number(heights[place].textContent.replace(",", "")), middle(rule)[1]]);
  rules.push([0, middle(side.querySelector("line.ground"))[1]]);
  return { ticks, rules, own: middle(side.querySelector("[data-own=side]")) };
}"""
READ_TOP = """() => {
  const top = document.getElementById("top");
  const middle = (node) => { const box = node.getBoundingClientRect(); return box.y + box.height / 2; };
  return {
    own: middle(top.querySelector("[data-own=top]")),
    mine: middle(top.querySelector('[data-end="ZZBB/09L"]')), other: middle(top.querySelector('[data-end="ZZBB/09R"]')),
  };
}"""


@pytest.fixture
def source() -> Iterator[Daemon]:
    """Run a daemon."""
    with daemon() as running:
        yield running


@pytest.fixture
def panel(source: Daemon) -> Iterator[Served]:
    """Run its panel."""
    with served(source) as running:
        yield running


def read_off(marks: list[list[float]], value: float) -> float:
    """Return where a value lies between the marks of a drawn scale, as a reader with a ruler finds it."""
    (low, low_px), (high_, high_px) = min(marks), max(marks)
    return low_px + (value - low) / (high_ - low) * (high_px - low_px)


def test_sentences_appear_and_go(source: Daemon, panel: Served, open_page: Open) -> None:
    """An alert's sentence stands while it is true, with its level and time, and then only in the log."""
    page = open_page(panel.home)
    with flying(source, mended(source.table), states_per_s=120.0):
        page.wait_for_selector("#alerts li")
        level, text = page.inner_text("#alerts .level"), page.inner_text("#alerts .sentence")
        since = page.inner_text("#alerts .since")
        page.wait_for_selector("#quiet:visible")
        log = page.inner_text("#log")

    assert "advice" == level.lower()
    assert text.startswith("High, ")
    assert since.startswith("for ")
    assert text.split(".")[0] in log
    assert "over after" in log
    assert "Nothing to say." == page.inner_text("#quiet")


@pytest.mark.parametrize(("distance_nm", "above_ft"), [(9.0, 700.0), (4.0, 320.0), (2.6, -240.0), (0.7, 10.0)])
def test_the_side_view_is_true(
    source: Daemon, panel: Served, open_page: Open, distance_nm: float, above_ft: float
) -> None:
    """The aircraft is drawn within 2 px of where the picture's numbers lie between the drawn scales."""
    page = open_page(panel.home)
    states = list(
        final(end=source.table.end("ZZBB/09L"), distance_nm=distance_nm, above_path_ft=above_ft, seconds=15.0)
    )
    with Client(feed=source.feed, desk=source.desk) as client, flying(source, states):
        page.wait_for_function(
            "(t) => document.getElementById('clock').textContent === t", arg=clock_words(states[-1].time_s)
        )
        page.wait_for_selector("body[data-layout=approach]")
        page.wait_for_timeout(400)
        picture = next(message.body for message in client.listen("picture"))
        drawn = page.evaluate(READ_SIDE)

    assert pytest.approx(read_off(drawn["ticks"], picture.distance_to_threshold_nm), abs=WITHIN_PX) == drawn["own"][0]
    assert pytest.approx(read_off(drawn["rules"], picture.height_above_threshold_ft), abs=WITHIN_PX) == drawn["own"][1]


@pytest.mark.parametrize("offset_ft", [-600.0, 350.0])
def test_the_view_from_above_is_true(source: Daemon, panel: Served, open_page: Open, offset_ft: float) -> None:
    """The aircraft is drawn as far beside the runway, measured by the parallel 0.12 NM away, within 2 px."""
    page = open_page(panel.home)
    end = source.table.end("ZZBB/09L")
    states = final(end=end, distance_nm=4.0, offset_ft=offset_ft, seconds=15.0)
    with flying(source, states):
        page.wait_for_function("(t) => document.getElementById('clock').textContent === t", arg=clock_words(15.0))
        page.wait_for_selector("body[data-layout=approach]")
        page.wait_for_timeout(400)
        drawn = page.evaluate(READ_TOP)

    per_ft = (drawn["other"] - drawn["mine"]) / (0.12 * FT_PER_NM)
    assert pytest.approx(drawn["mine"] + offset_ft * per_ft, abs=WITHIN_PX) == drawn["own"]


@pytest.mark.parametrize(
    ("scene", "layout", "sentence"),
    [
        (lined_up_wrong, "ground", "the plan has ZZAA 09"),
        (cruise, "route", "ZZBB is"),
        (past, "route", "ZZBB is behind"),
        (high, "approach", "On final for ZZBB 09L"),
    ],
)
def test_the_layout_follows_the_phase(  # noqa: PLR0917 - pytest passes fixtures by name
    source: Daemon, panel: Served, open_page: Open, scene: Scene, layout: str, sentence: str
) -> None:
    """On the ground, en route and on the approach the page has another layout, and says where one is."""
    states = list(scene(source.table))
    page = open_page(panel.home)
    with flying(source, states[:: max(1, len(states) // 60)]):
        page.wait_for_selector(f"body[data-layout={layout}]")
        page.wait_for_function(f"() => document.getElementById('situation').textContent.includes('{sentence}')")
        sides = page.is_visible("#side")

    assert (layout == "approach") is sides


def test_the_numbers_name_their_source(source: Daemon, panel: Served, open_page: Open) -> None:
    """True airspeed says whether it was reported, computed or by rule of thumb; teaching shows the rule beside it."""
    page = open_page(f"{panel.home}/?teach=1")
    with flying(source, high(source.table)):
        page.wait_for_selector("[data-number=airspeed] .value")
        note = page.inner_text("[data-number=airspeed] .note")
        rule = page.inner_text("[data-number=hold] .rule-of-thumb")
        page.uncheck("#teach")
        hidden = page.is_hidden("[data-number=hold] .rule-of-thumb")

    assert note in {"reported", "computed", "rule of thumb"}
    assert "Rule: 5 \N{MULTIPLICATION SIGN} groundspeed, 450 fpm" == rule
    assert hidden


def test_what_is_blind_says_what_it_waits_for(source: Daemon, panel: Served, open_page: Open) -> None:
    """A check that can't see names what has not arrived."""
    page = open_page(panel.home)
    here = source.table.end("ZZAA/09")
    states = straight(
        latitude_deg=here.latitude_deg,
        longitude_deg=here.longitude_deg,
        track_true_deg=90.0,
        groundspeed_kt=90.0,
        altitude_ft=3_000.0,
        seconds=5.0,
        heading_true_deg=None,
    )
    with flying(source, states):
        page.wait_for_selector("#live .is-blind")

    assert "waits for" in page.inner_text("#live .is-blind >> nth=0")


def test_far_below_the_path_it_is_to_level_off(source: Daemon, panel: Served, open_page: Open) -> None:
    """Too low to sink before the gate, the page gives no rate to regain the path by, as the voice does not."""
    page = open_page(panel.home)
    with flying(source, final(end=source.table.end("ZZBB/09L"), distance_nm=2.9, above_path_ft=-485.0, seconds=0.5)):
        page.wait_for_selector("[data-number=regain] .value")
        told = page.inner_text("[data-number=regain] .value"), page.inner_text("[data-number=regain] .note")

    assert ("level off", "") == told


def test_far_beside_there_is_no_path(source: Daemon, panel: Served, open_page: Open) -> None:
    """Miles beside the centreline neither page nor overlay tells a height above the path; both do on the final."""
    page, overlay = open_page(panel.home), open_page(f"{panel.home}/overlay")
    with flying(source, high(source.table)):
        page.wait_for_selector("#side", state="visible")
        overlay.wait_for_function("() => document.getElementById('path').textContent.includes('above the path')")
    with flying(source, beside(source.table)):
        page.wait_for_function(
            "() => document.getElementById('situation').textContent"
            ".endsWith('Not on the final approach of ZZBB 09L, but 2.5 NM right of it.')"
        )
        overlay.wait_for_function("() => !document.getElementById('path').textContent.includes('the path')")
        told = page.inner_text("#numbers"), page.is_visible("#side"), page.is_visible("figure.sink")

    assert "path" not in told[0]
    assert told[1:] == (False, False)


@pytest.mark.parametrize("scene", [high, cruise, lined_up_wrong])
def test_the_page_fits(source: Daemon, panel: Served, open_page: Open, scene: Scene) -> None:
    """Nothing runs out of the side of a phone, a tablet or a wall, in plain and in big type."""
    page = open_page(panel.home)
    too_wide = []
    with flying(source, scene(source.table)):
        page.wait_for_selector("#numbers dd")
        for width, height in ((360, 740), (1024, 768), (3840, 2160)):
            page.set_viewport_size({"width": width, "height": height})
            for big in (True, False):
                page.set_checked("#big", big)
                if page.evaluate("document.documentElement.scrollWidth") > width:
                    too_wide.append((width, big))

    assert [] == too_wide


def test_red_and_amber_are_kept_for_alerts(source: Daemon, panel: Served, open_page: Open) -> None:
    """While nothing stands, no stroke, letter or ground by day or in the dark has a strong red or amber."""
    page = open_page(f"{panel.home}/?theme=day")
    with flying(source, final(end=source.table.end("ZZBB/09L"), distance_nm=5.0, seconds=60.0)):
        page.wait_for_selector("#side .trail")
        found = {}
        for theme in ("day", "dark"):
            page.check(f"[name=theme][value={theme}]")
            found[theme] = page.evaluate(STRONG_REDS)

    assert {"day": [], "dark": []} == found


STRONG_REDS = """() => {
  const found = new Set();
  for (const node of document.querySelectorAll("body, body *")) {
    const style = getComputedStyle(node);
    for (const name of ["color", "backgroundColor", "borderTopColor", "fill", "stroke"]) {
      const [r, g, b, a = 1] = (style[name].match(/[\\d.]+/g) ?? []).map(Number);
      if (a < 0.1 || !(r >= 0)) continue;
      const [most, least] = [Math.max(r, g, b), Math.min(r, g, b)];
      const strong = most === r && r - b > 110 && b < 110 && most - least > 110;
      if (strong) found.add(`${node.nodeName} ${name} ${style[name]}`);
    }
  }
  return [...found];
}"""


def test_the_page_s_clock_is_everybody_s(panel: Served, open_page: Open) -> None:
    """A moment reads on the page as it does in the terminal and in the debrief."""
    times_s = [0.0, 59.99, 640.5, 3_599.999, 86_399.5, 86_400.0, 1_782_903_661.7, -0.5]
    said = open_page(panel.home).evaluate("(all) => import('/words.js').then((words) => all.map(words.clock))", times_s)

    assert [clock_words(time_s) for time_s in times_s] == said
