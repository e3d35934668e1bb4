"""The page in a real browser by keyboard, by ear and in the hands of others: pairing, orders, overlay, own pages."""

import os
import re
from collections.abc import Callable, Iterator
from pathlib import Path
from typing import Any

import pytest

from otherseat.daemon.client import Client
from otherseat.daemon.clock_words import clock_words
from otherseat.daemon.panel.pairing import Role
from tests.daemon.panel.conftest import do_without
from tests.daemon.panel.pilot import Scene, cruise, flying, high, lined_up_wrong, low, past
from tests.daemon.panel.rig import Daemon, Served, daemon, served

Open = Callable[..., Any]
SCREENS = Path(os.environ.get("OTHERSEAT_SCREENS", "build/screens"))
DRAWN = "() => new Promise((done) => requestAnimationFrame(() => requestAnimationFrame(done)))"
SIZES = [(360, 740), (1024, 768), (2560, 1440)]
README = Path(__file__).parents[3] / "daemon" / "panel" / "README.md"


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


def reach(page: Any, selector: str) -> None:
    """Press Tab until the keyboard is at an element, which then shows that it is."""
    for _ in range(60):
        page.keyboard.press("Tab")
        if page.evaluate("(selector) => document.activeElement?.matches(selector) ?? false", selector):
            outline = page.evaluate("getComputedStyle(document.activeElement).outlineStyle")
            assert "none" != outline, f"{selector} does not show that the keyboard is there"
            return
    pytest.fail(f"Tab never reaches {selector}")


def pair(page: Any, panel: Served, role: Role = Role.OPERATOR) -> None:
    """Pair a browser by the form."""
    page.goto(f"{panel.home}/pair")
    page.fill("#code", panel.pairing.code(role))
    page.click("button")
    page.wait_for_selector("#alerts", state="attached")


def test_everything_can_be_done_by_keyboard(source: Daemon, panel: Served, open_page: Open) -> None:
    """Without a pointer: pair as operator, acknowledge, mute, change the runway, choose another paper."""
    page = open_page(panel.home)
    with flying(source, high(source.table)):
        reach(page, "a[href='/pair']")
        page.keyboard.press("Enter")
        page.wait_for_selector("#code:focus")
        page.keyboard.type(panel.pairing.code(Role.OPERATOR))
        page.keyboard.press("Enter")
        page.wait_for_selector("#alerts button")
        reach(page, "#alerts button")
        page.keyboard.press("Enter")
        page.wait_for_function("() => document.getElementById('reply').textContent === 'Acknowledged.'")
        page.wait_for_selector("#alerts .since:has-text('acknowledged')")
        reach(page, "#mute")
        page.keyboard.press("Space")
        page.wait_for_function("() => document.getElementById('reply').textContent === 'The voice is muted.'")
        reach(page, "#runways button[aria-label$='ZZBB 09R']")
        page.keyboard.press("Enter")
        page.wait_for_function("() => document.getElementById('reply').textContent === 'Plan: landing on ZZBB/09R.'")
        reach(page, "[name=theme]")
        page.keyboard.press("ArrowRight")
        theme = page.evaluate("document.documentElement.dataset.theme")

    assert "dark" == theme
    with Client(feed=source.feed, desk=source.desk) as client:
        assert "ZZBB/09R" == client.ask("plan.get").plan.destination


def test_a_viewer_sees_no_orders(source: Daemon, panel: Served, open_page: Open) -> None:
    """A page that may only look offers the way to pair and nothing to press at an alert."""
    page = open_page(panel.home)
    with flying(source, high(source.table)):
        page.wait_for_selector("#alerts li")

    assert page.is_hidden("#orders")
    assert page.is_hidden("#alerts button")
    assert page.is_visible("#only-looking")


def test_a_code_in_the_address_is_filled_in_and_hidden(panel: Served, open_page: Open) -> None:
    """A camera's address fills in the code, which then no longer stands in the address; the person still taps."""
    code = panel.pairing.code(Role.VIEWER)
    page = open_page(f"{panel.home}/pair#{code}")
    page.wait_for_function("() => document.getElementById('code').value !== ''")

    assert code == page.input_value("#code")
    assert f"{panel.home}/pair" == page.url
    page.click("button")
    page.wait_for_url(f"{panel.home}/")


@pytest.mark.parametrize(
    ("scene", "theme"),
    [(high, "day"), (low, "day"), (cruise, "day"), (lined_up_wrong, "day"), (low, "dark"), (low, "night")],
)
def test_no_serious_barrier(source: Daemon, panel: Served, open_page: Open, scene: Scene, theme: str) -> None:
    """axe-core finds no serious or critical fault, in no layout and on no paper, on an operator's page."""
    try:
        from axe_playwright_python.sync_playwright import Axe  # noqa: PLC0415 - an extra of the tests
    except ImportError:
        do_without('the extra is missing: pip install -e ".[browser]"')
    page = open_page(panel.home)
    pair(page, panel)
    page.check(f"[name=theme][value={theme}]")
    with flying(source, scene(source.table)):
        page.wait_for_selector("body[data-fresh=fresh]")
        page.wait_for_timeout(300)
        # The policy forbids strangers' scripts; the tester is let in by the browser's own back door.
        found = Axe().run(page).response["violations"]

    assert [] == [
        (fault["id"], node["html"][:120])
        for fault in found
        if fault["impact"] in {"serious", "critical"}
        for node in fault["nodes"]
    ]


def test_a_screen_reader_hears_each_sentence_once(source: Daemon, panel: Served, open_page: Open) -> None:
    """A warning is announced at once, anything else in a pause, with its level."""
    page = open_page(panel.home)
    with flying(source, low(source.table)):
        page.wait_for_function("() => document.getElementById('say-now').textContent !== ''")

    assert page.inner_text("#say-now").startswith("warning: Low by ")
    assert "assertive" == page.get_attribute("#say-now", "aria-live")
    assert "polite" == page.get_attribute("#say", "aria-live")


@pytest.mark.parametrize("scene", [high, past, lined_up_wrong])
def test_screens(source: Daemon, panel: Served, open_page: Open, scene: Scene) -> None:
    """The page as it looks on a phone, a tablet and a monitor, by day and at night, is kept for people to look at."""
    SCREENS.mkdir(parents=True, exist_ok=True)
    page = open_page(panel.home)
    states = list(scene(source.table))
    flown = states[: len(states) * 2 // 3 : 4]
    with flying(source, flown, states_per_s=200.0):
        page.wait_for_function(
            "(t) => document.getElementById('clock').textContent === t", arg=clock_words(flown[-1].time_s)
        )
        for theme in ("day", "night"):
            page.check(f"[name=theme][value={theme}]")
            page.mouse.wheel(0, -10_000)
            for width, height in SIZES:
                page.set_viewport_size({"width": width, "height": height})
                page.evaluate(DRAWN)
                page.screenshot(path=SCREENS / f"{scene.__name__}-{width}x{height}-{theme}.png")

    assert 6 == len(list(SCREENS.glob(f"{scene.__name__}-*.png")))


def test_the_overlay_is_transparent_and_short(source: Daemon, panel: Served, open_page: Open) -> None:
    """The overlay has nothing behind it, and says the sentence, the path difference and the caution."""
    page = open_page(f"{panel.home}/overlay")
    with flying(source, high(source.table)):
        page.wait_for_function("() => document.getElementById('sentence').textContent.includes('High')")
        path = page.inner_text("#path")
        grounds = page.evaluate(
            "[document.documentElement, document.body].map((e) => getComputedStyle(e).backgroundColor)"
        )

    assert {"rgba(0, 0, 0, 0)"} == set(grounds)
    assert path.endswith("ft above the path")
    assert page.inner_text(".safety").startswith("For simulation and training. Not certified.")


def test_a_page_of_ones_own_as_the_guide_has_it(source: Daemon, open_page: Open, tmp_path: Path) -> None:
    """The page and the script that the guide prints work as they stand, next to ours."""
    html, script = re.findall(r"```(?:html|js)\n(.*?)```", README.read_text(encoding="utf-8"), flags=re.DOTALL)
    (tmp_path / "big.html").write_text(html, encoding="utf-8")
    (tmp_path / "big.js").write_text(script, encoding="utf-8")
    with served(source, own_pages=tmp_path) as panel:
        page = open_page(f"{panel.home}/own/big.html")
        with flying(source, high(source.table)):
            page.wait_for_function("() => document.body.textContent.includes('ft above the path')")
            page.wait_for_function("() => document.body.textContent.includes('High, ')")
