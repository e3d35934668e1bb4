"""Sentences from phrases and values."""

import math
import random
from importlib.metadata import entry_points
from pathlib import Path

import pytest
from structlog.testing import capture_logs

from otherseat.advisories.advisory import Advisory
from otherseat.config.settings import read_settings
from otherseat.daemon.phrasebook import Phrasebook, PhraseError, Sentence
from tests.daemon.voice.samples import sample_values

BOOK = Phrasebook.load()
HIGH = {"height_above_path_ft": 204.0, "sink_to_regain_fpm": 640.0}


def own_file(folder: Path, content: str) -> Path:
    """Write a phrase file and return its path."""
    file = folder / "own.toml"
    file.write_text(content, encoding="utf-8")
    return file


def test_a_sentence_is_read_and_heard() -> None:
    """A phrase gives the text for the screen and the words for the ear."""
    expected = Sentence(text="High, 200. Sink 650.", speech="High, two hundred. Sink six fifty.")

    assert expected == BOOK.compose(phrase="glidepath-high", values=HIGH)


@pytest.mark.parametrize("side", ["high", "low"])
def test_the_sink_rate_is_the_one_that_mends_it(side: str) -> None:
    """Off the path what is said regains it; what holds the path would keep the error."""
    rates = {"sink_to_hold_fpm": 480.0, "sink_to_regain_fpm": 250.0}
    heights = {"height_above_path_ft": 200.0, "height_below_path_ft": 200.0}
    made = Phrasebook.load().compose(phrase=f"glidepath-{side}", values={**rates, **heights})

    assert f"{side.capitalize()}, 200. Sink 250." == made.text


def test_a_value_that_stands_first() -> None:
    """It begins with a capital, as every sentence does."""
    made = Phrasebook.load().compose(phrase="gate-500-unsettled", values={"reason": "off path"})

    assert ("Off path. Go around.", "off path. Go around.") == made


def test_a_part_in_brackets_goes_with_its_value() -> None:
    """An optional part is left out when its value is missing or None."""
    missing = {"height_above_path_ft": 204.0}

    assert "High, 200." == BOOK.compose(phrase="glidepath-high", values=missing).text
    assert "High, 200." == BOOK.compose(phrase="glidepath-high", values={**missing, "sink_to_regain_fpm": None}).text


@pytest.mark.parametrize(
    ("phrase", "values", "expected"),
    [
        pytest.param("glidepath-high", {}, "Glidepath high.", id="missing"),
        pytest.param("glidepath-high", {"height_above_path_ft": math.nan}, "Glidepath high.", id="nan"),
        pytest.param("glidepath-high", {"height_above_path_ft": "much"}, "Glidepath high.", id="text"),
        pytest.param("glidepath-high", {"height_above_path_ft": 1e300}, "Glidepath high.", id="huge"),
        pytest.param("no-such-phrase.cleared", {}, "No such phrase cleared.", id="unknown"),
    ],
)
def test_what_cannot_be_composed_is_said_plainly(phrase: str, values: dict[str, float | str], expected: str) -> None:
    """The sentence falls back to the key in plain words, and that is reported once."""
    book = Phrasebook.load()
    with capture_logs() as logs:
        sentences = [book.compose(phrase=phrase, values=values) for _ in range(3)]

    assert [Sentence(expected, expected)] * 3 == sentences
    assert 1 == len(logs)


def test_every_alert_has_its_phrases() -> None:
    """Every alert of a built-in advisory has a phrase, and one for when it is mended if its policy says that."""
    advisories: list[Advisory] = [entry.load() for entry in entry_points(group="otherseat.advisories")]
    alerts = {alert for advisory in advisories for alert in advisory.alerts}
    policy = read_settings().attention.policy
    wanted = alerts | {f"{alert}.cleared" for alert in alerts if policy(alert).say_cleared}

    assert set() == wanted - BOOK.keys


@pytest.mark.parametrize("phrase", sorted(BOOK.keys))
def test_every_phrase_composes(phrase: str) -> None:
    """With values of the kind that their names promise every phrase is a sentence without a figure left in speech."""
    dice = random.Random(phrase)
    with capture_logs() as logs:
        sentence = BOOK.compose(phrase=phrase, values=sample_values(phrasebook=BOOK, phrase=phrase, dice=dice))

    assert [] == logs
    assert sentence.text.endswith((".", "!"))
    assert not any(sign.isdigit() or sign in "[]{}" for sign in sentence.speech)


def test_own_phrases_lie_over_the_packaged_ones(tmp_path: Path) -> None:
    """A user's file changes the phrases that it holds and no other."""
    book = Phrasebook.load(own_file(tmp_path, '[phrases]\nsilence = "No data."\n'))

    assert "No data." == book.compose(phrase="silence", values={}).text
    assert "High, 200. Sink 650." == book.compose(phrase="glidepath-high", values=HIGH).text


def test_plugin_phrases_lie_beneath() -> None:
    """A plug-in's phrase serves where the house has none, and never replaces one; a broken one is left out."""
    extra = {"own": "Own {500:height}.", "silence": "Replaced.", "broken": "{x:nonsense}"}
    with capture_logs() as logs:
        book = Phrasebook.load(extra=extra)

    assert Sentence("Own 500.", "Own five hundred.") == book.compose(phrase="own", values={})
    assert "Simulator is silent. I am blind." == book.compose(phrase="silence", values={}).text
    assert ["broken"] == [entry["phrase"] for entry in logs]


def test_international_digits() -> None:
    """With icao the digits are the words of ICAO Annex 10 volume II, 5.2.1.4.3.1, as spelled for a synthesiser."""
    book = Phrasebook.load(digits="icao")
    values = {"wind_from_deg": 345.0, "wind_speed_kt": 19.0}

    assert "Wind tree fower fife at wun niner." == book.compose(phrase="wind-report", values=values).speech


def test_another_language_is_one_file(tmp_path: Path) -> None:
    """Phrases and number words of another language come from one file, whatever its way of counting."""
    digits = ["null", "eins", "zwei", "drei", "vier", "fuenf", "sechs", "sieben", "acht", "neun"]
    cardinals = [f"<{number}>" for number in range(100)]
    hundreds = [f"{digit}hundert" for digit in digits[1:]]
    content = f"""
[phrases]
glidepath-high = "{{height_above_path_ft:height}} zu hoch."
[words]
digits = {digits}
digits_icao = {digits}
cardinals = {cardinals}
hundreds = {hundreds}
thousand = "{{}}tausend"
one_thousand = "eintausend"
minus = "minus"
point = "Komma"
half_mile = "eine halbe Meile"
and_a_half = "{{}}einhalb"
sides = {{ L = "links", R = "rechts", C = "Mitte" }}
alphabet = {{ A = "alfa" }}
[words.units]
mile = ["Meile", "Meilen"]
"""
    book = Phrasebook.load(own_file(tmp_path, content))
    spoken = book.compose(phrase="glidepath-high", values={"height_above_path_ft": 1_240.0})

    assert Sentence("1,200 zu hoch.", "eintausend zweihundert zu hoch.") == spoken
    assert "drei vier eins" == book.words.digit_words("341")


@pytest.mark.parametrize(
    ("content", "message"),
    [
        pytest.param("[phrases", "own.toml: Expected", id="toml"),
        pytest.param('[phrase]\na = "b"', "own.toml: phrase: Extra inputs", id="table"),
        pytest.param("[phrases]\na = 1", "own.toml: phrases.a: ", id="kind"),
        pytest.param('[phrases]\na = "{x:hight}"', "own.toml: phrases.a: no form is called 'hight'; nearest: height"),
        pytest.param('[phrases]\na = "{x}"', "own.toml: phrases.a: a bracket stands alone", id="no-form"),
        pytest.param('[phrases]\na = "[x"', "own.toml: phrases.a: a bracket stands alone", id="open"),
        pytest.param("[words]\nminus = 'm'", "own.toml: words.", id="words"),
    ],
)
def test_a_phrase_file_that_is_no_use(tmp_path: Path, content: str, message: str) -> None:
    """The error names the file, the key and the nearest valid choice."""
    with pytest.raises(PhraseError) as caught:
        Phrasebook.load(own_file(tmp_path, content))

    assert message in str(caught.value)


def test_a_phrase_file_that_is_not_there(tmp_path: Path) -> None:
    """A missing file is a phrase error too."""
    with pytest.raises(PhraseError, match=r"gone\.toml"):
        Phrasebook.load(tmp_path / "gone.toml")


def test_what_is_made_ahead() -> None:
    """The sentences to make ready are those without values and those whose heights and rates are few."""
    ahead = set(BOOK.ahead())

    assert {"On path.", "High, two hundred. Sink six fifty.", "High, nine hundred fifty. Sink six fifty."} <= ahead
    assert not any("zulu" in speech for speech in ahead)
