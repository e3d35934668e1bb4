"""`otherseat brief`: text, page, HTML, and what it says when something is wrong."""

import re
from pathlib import Path

import pypdfium2
import pytest
from click.testing import CliRunner, Result

from otherseat.daemon.brief.command import brief
from otherseat.daemon.brief.page import MARGIN_IN
from otherseat.daemon.extras import how_to_install
from otherseat.daemon.fly import CAUTION_LINE

PLAN = """
departure = "ZZKN/07"
destination = "ZZPS/27L"
cruise_altitude_ft = 6500
approach_speed_kt = 70
"""
DAY = [
    *("--wind", "330/18", "--cruise-wind", "310/25", "--temperature", "-12", "--altimeter", "1003"),
    *("--cruise-speed", "105", "--hold", "255R"),
]


@pytest.fixture
def plan(tmp_path: Path) -> str:
    """Return the path of a plan between the demo's islands."""
    path = tmp_path / "hop.toml"
    path.write_text(PLAN, encoding="utf-8")
    return str(path)


def run(*arguments: str) -> Result:
    """Run the command."""
    return CliRunner().invoke(brief, arguments)


def test_text(plan: str) -> None:
    """The card as text has every part, and the caution."""
    result = run(plan, *DAY)

    assert result.exit_code == 0, result.output
    for title in (
        "Way",
        "Day",
        "Start down",
        "Wind 330",
        "Hold",
        "Runway 27L",
        "Path",
        "Gates",
        "Sink",
        "Approach lights",
    ):
        assert title in result.output
    assert CAUTION_LINE.split(".")[0] in result.output
    assert re.search(r"^  1 +368 +300 +532 +570$", result.output, re.MULTILINE)
    assert "27R lies 700 ft to the right: easily mistaken" in result.output
    assert "crosswind from the right on 27L" in result.output


def test_the_plan_s_own_weather_hold_and_minimum(tmp_path: Path) -> None:
    """A report, a hold and a decision altitude in the plan need no options; an option wins over the report."""
    path = tmp_path / "hop.toml"
    path.write_text(PLAN + REPORT, encoding="utf-8")
    result = run(str(path))

    assert result.exit_code == 0, result.output
    for words in ("Wind 330° true, 18 kt", "1,003 hPa", "\N{MINUS SIGN}12 °C", "left turns", "29 in gusts"):
        assert words in result.output
    assert re.search(r"^  decision +1\.0 +5\d\d", result.output, re.MULTILINE)
    assert "Wind 270° true, 5 kt" in run(str(path), "--wind", "270/5").output


REPORT = """
weather = "METAR ZZPS 121755Z 33018G31KT 9999 M12/M15 Q1003"
decision_altitude_ft = 540

[hold]
at = "ZZPS"
inbound_magnetic_deg = 266
turns = "left"
"""


def test_what_is_not_known_is_said(plan: str, tmp_path: Path) -> None:
    """Without weather and speeds the card has what it can, and names what it lacks."""
    empty = tmp_path / "empty.toml"
    empty.write_text("", encoding="utf-8")

    assert "no wind" in run(plan).output
    assert "Gates" in run(plan).output
    assert "no runway end to land on: no path, no gates" in run(str(empty)).output


def test_page(plan: str, tmp_path: Path) -> None:
    """The PDF is one A5 page with text in it, none of which runs over the page's edge or another word."""
    pdf, png = tmp_path / "card.pdf", tmp_path / "card.png"
    result = run(plan, *DAY, "--pdf", str(pdf), "--png", str(png))
    document = pypdfium2.PdfDocument(pdf)
    page = document[0]
    width_pt, height_pt = page.get_size()
    text = page.get_textpage()
    boxes = [text.get_rect(number) for number in range(text.count_rects())]
    words = text.get_text_bounded()
    document.close()

    assert result.exit_code == 0, result.output
    assert png.stat().st_size > 50_000
    assert (148, 210) == (round(width_pt / 72 * 25.4), round(height_pt / 72 * 25.4))
    assert "ZZKN/07 to ZZPS/27L" in words
    assert "easily mistaken" in words
    assert CAUTION_LINE.split(".")[0] in words
    assert all(18.0 < left and right < width_pt - 18.0 and 12.0 < bottom for left, bottom, right, _ in boxes)
    assert not list(overlapping(boxes))


@pytest.mark.parametrize("day", [[], DAY[:2], DAY[:6], DAY], ids=["bare", "wind", "temperature", "all"])
def test_nothing_runs_past_the_margin(day: list[str], plan: str, tmp_path: Path) -> None:
    """Wherever the tables come to stand, no note and no point is wider than its column."""
    run(plan, *day, "--pdf", str(tmp_path / "card.pdf"))
    document = pypdfium2.PdfDocument(tmp_path / "card.pdf")
    text = document[0].get_textpage()
    boxes = [text.get_rect(number) for number in range(text.count_rects())]
    margin_pt = document[0].get_width() - MARGIN_IN * 72
    document.close()

    assert boxes
    assert [] == [box for box in boxes if box[2] > margin_pt + 0.5]
    assert not list(overlapping(boxes))


def test_what_was_written_is_said(plan: str, tmp_path: Path) -> None:
    """Each file that is asked for is named once it is there."""
    files = [tmp_path / f"card.{kind}" for kind in ("pdf", "png", "html")]
    options = [word for file in files for word in (f"--{file.suffix[1:]}", str(file))]

    assert [f"wrote {file}" for file in files] == run(plan, *options).output.splitlines()


def test_loose_words() -> None:
    """A plan in one line needs no quotes around it, as long as the shell leaves the > alone."""
    loose = run("ZZKN/07", ">", "ZZPS/27L", "alt", "2500")

    assert 0 == loose.exit_code
    assert run("ZZKN/07 > ZZPS/27L alt 2500").output == loose.output


def test_a_way_against_the_final_is_said(plan: str) -> None:
    """Whoever arrives on 086 for a runway of 270 is told that there is more to fly than the legs."""
    against = "is against the final on 27L"

    assert against in run(plan).output
    assert "to fly to the threshold, exact" in run(plan).output
    assert against not in run("ZZKN/07 > ZZPS/09L").output


def test_a_low_cruise_is_said() -> None:
    """A cruise hardly above an airfield, or below one, is worth a second look. ZZPS lies at 164 ft."""
    assert "the cruise at 160 ft is not above ZZPS" in run("ZZKN/07 > ZZPS/27L alt 160").output
    assert "the cruise at 600 ft is only 436 ft above ZZPS" in run("ZZKN/07 > ZZPS/27L alt 600").output
    assert "the cruise at" not in run("ZZKN/07 > ZZPS/27L alt 664").output


def rows_of(output: str, title: str) -> list[list[str]]:
    """Return the lines of one part of the card, cut where columns are."""
    lines = output.partition(f"\n{title}\n")[2].partition("\n\n")[0].splitlines()
    return [re.split(r"  +", line.strip()) for line in lines]


def test_the_start_down_can_be_worked_out_again() -> None:
    """The rule's parts are beside it and add up, slowing down among them: nobody gets 11.4 NM from 2,336 ft alone."""
    rows = rows_of(run("ZZKN/07 > ZZPS/27L alt 2500 app 65").output, "Start down")
    told = {name: float(value.split()[0]) for name, value in (row for row in rows if len(row) > 1)}
    parts = [told[what] for what in ("1,336 ft, 3 NM per 1,000 ft", "41 kt, 1 NM per 10 kt", "1,000 ft, 300 ft per NM")]

    assert [4.0, 4.1, 3.3] == parts
    assert sum(parts) == pytest.approx(told["by rule, in all"], abs=0.15)
    assert rows[-1] == ["(41 kt slower in level flight, 1,336 ft down to 1,000 ft above the field, then down the path)"]


def test_nothing_to_slow_down_is_no_part() -> None:
    """Whoever cruises at the approach's speed has no such row."""
    output = run("ZZKN/07 > ZZPS/27L alt 2500 app 65", "--cruise-speed", "65").output

    assert "1,336 ft, 3 NM per 1,000 ft" in output
    assert "1 NM per 10 kt" not in output
    assert "slower" not in output


@pytest.mark.parametrize(
    ("words", "options", "note"),
    [
        ("app 65", [], "(the cruise speed is that of the profile light single: 110 kt true)"),
        ("cruise 95", [], "(the cruise speed is that of the plan: 95 kt true)"),
        ("app 65", ["--cruise-speed", "90"], None),
    ],
)
def test_whose_cruise_speed(words: str, options: list[str], note: str | None) -> None:
    """A speed that was not given for the brief is told with where it comes from."""
    rows = rows_of(run(f"ZZKN/07 > ZZPS/27L alt 2500 {words}", *options).output, "Day")

    assert (note is not None) == ("cruise speed" in rows[-1][0])
    assert note is None or rows[-1] == [note]


def test_a_long_way_stays_on_the_page(tmp_path: Path) -> None:
    """A plan of eighty fixes is still one tidy page: the first and the last legs, and how many are left out."""
    fixes = "".join(
        f'[[route]]\nname = "FIX{number}"\nlatitude_deg = {-6.3 + number / 100:.2f}\nlongitude_deg = -9.5\n'
        for number in range(80)
    )
    plan = tmp_path / "long.toml"
    plan.write_text(PLAN + fixes, encoding="utf-8")
    result = run(str(plan), *DAY, "--pdf", str(tmp_path / "long.pdf"))
    document = pypdfium2.PdfDocument(tmp_path / "long.pdf")
    text = document[0].get_textpage()
    boxes = [text.get_rect(number) for number in range(text.count_rects())]
    words = text.get_text_bounded()
    document.close()

    assert result.exit_code == 0, result.output
    assert "... 71 more ..." in words
    assert not list(overlapping(boxes))


def overlapping(boxes: list[tuple[float, float, float, float]]) -> list[tuple[object, object]]:
    """Return the pairs of text boxes that cover each other by more than a hair."""
    hair = 0.8
    return [
        (one, other)
        for number, one in enumerate(boxes)
        for other in boxes[number + 1 :]
        if min(one[2], other[2]) - max(one[0], other[0]) > hair and min(one[3], other[3]) - max(one[1], other[1]) > hair
    ]


def test_html_needs_nothing_else(plan: str, tmp_path: Path) -> None:
    """The HTML file has the card, a drawing and the caution, and asks for nothing from outside."""
    html = tmp_path / "card.html"
    result = run(plan, *DAY, "--html", str(html))
    page = html.read_text(encoding="utf-8")

    assert result.exit_code == 0, result.output
    assert "<svg" in page
    assert "Port Sallow" in page
    assert CAUTION_LINE.split(".")[0] in page
    assert not re.findall(r"""(?:src|href)\s*=\s*["'](?!#)|@import|url\((?!#)""", page)


@pytest.mark.parametrize(
    ("arguments", "words"),
    [
        (["--wind", "windy"], "windy is no wind; write 270/15"),
        (["--wind", "400/10"], "400/10 is no wind"),
        (["--hold", "270"], "270 is no hold; write 270R"),
        (["--temperature", "100"], "temperature"),
    ],
)
def test_wrong_values(plan: str, arguments: list[str], words: str) -> None:
    """A value that can't be is answered with one that can."""
    result = run(plan, *arguments)

    assert result.exit_code == 2
    assert words in result.output


def test_a_planned_speed_past_sound(tmp_path: Path) -> None:
    """A plan whose true airspeed is supersonic is one line that says so, exit code 2."""
    path = tmp_path / "plan.toml"
    path.write_text(PLAN + "cruise_speed_kt = 690\n", encoding="utf-8")
    result = run(str(path))

    assert result.exit_code == 2
    assert "690 kt at 6,500 ft is faster than sound" in result.output


def test_unknown_place(tmp_path: Path) -> None:
    """A plan to nowhere is one line that names the nearest place, exit code 2."""
    path = tmp_path / "plan.toml"
    path.write_text('destination = "ZZPX"', encoding="utf-8")
    result = run(str(path))

    assert result.exit_code == 2
    assert "destination" in result.output
    assert "ZZPS" in result.output


def test_without_the_drawing_libraries(plan: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Without matplotlib the text still works, and a page is one line that says what to install."""
    monkeypatch.setitem(__import__("sys").modules, "otherseat.daemon.brief.page", None)
    result = run(plan, "--pdf", str(tmp_path / "card.pdf"))

    assert result.exit_code == 2
    assert how_to_install("pages") in result.output
    assert run(plan).exit_code == 0


def test_a_plan_in_one_line(plan: str) -> None:
    """A plan in one line gives the same card as the file with the same plan."""
    from_file, from_line = run(plan), run("ZZKN/07 > ZZPS/27L alt 6500 app 70")

    assert from_line.exit_code == 0, from_line.output
    assert from_file.output == from_line.output


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ("ZZKN/07 > ZZPX", "no airfield is called ZZPX; did you mean ZZPS"),
        ("none.toml", "none.toml: can't be read: no such file"),
        ("ZZPS " * 200, "put > between two places"),
    ],
    ids=["line", "file", "longer-than-a-name"],
)
def test_neither_a_line_nor_a_file(given: str, words: str) -> None:
    """A line that is wrong is told as a line, a file that is not there as a file."""
    result = run(given)

    assert (2, True) == (result.exit_code, words in result.output)
