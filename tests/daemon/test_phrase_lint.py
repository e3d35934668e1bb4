"""Every phrase: short enough to be taken in, in plain or trade words, and in nobody else's wording.

Worst case   each value is the one, of those that can come up, whose words are the longest; the default voice at the
             default rate says it, and its samples are counted
Rule         what a call is about is out within SHORT_S, always; the whole of it too, unless it is listed with a reason
"""

import re
from collections.abc import Iterator
from pathlib import Path

import pytest

from otherseat.daemon.phrasebook import VALUE, Phrasebook
from otherseat.daemon.voice.render import RATE_HZ, Renderer, clauses
from otherseat.daemon.voice.spoken import FORMS
from otherseat.daemon.voice.voice import Manner, make_voice
from tests.daemon.phrase_hashes import BANNED, DIGITS, hashed, known_from_boxes, words

SHORT_S = 2.5
ROUNDING_S = 0.05
"""The voice's own chance: up to 1 % in length from one saying to the next."""
LONG_S = 4.6
NUMBER_AND_REMEDY = "how far off it is, and after a stop what mends it: the first clause is the call"
TWO_NAMES = "what is and what was planned; either alone means nothing"
ASKED = "an answer to a question, not an interruption"
TEACHING = "said after a call, in teach mode only, where nothing presses"
LONG_NUMBER = "an altitude read out in full is long in any wording"
LONGER = {
    "safety": "the caution at the start of speech, said once and whole",
    "voice-test": "a test of the voice, on the ground",
    "hold-advice": "three figures of a hold, a minute and a half before it",
    "glidepath-high": NUMBER_AND_REMEDY,
    "glidepath-low": NUMBER_AND_REMEDY,
    "top-of-descent": NUMBER_AND_REMEDY,
    "top-of-descent-passed": NUMBER_AND_REMEDY,
    "destination-passed-caution": NUMBER_AND_REMEDY,
    "joining-crossed": NUMBER_AND_REMEDY,
    "tailwind": NUMBER_AND_REMEDY,
    "wrong-runway-departure": TWO_NAMES,
    "wrong-end-departure": TWO_NAMES,
    "wrong-runway-arrival": TWO_NAMES,
    "heading-bug": TWO_NAMES,
    "fix-passed": "a fix of four letters spelled out; most are said as a word",
    "destination-passed": "half miles are said in words",
    "altitude-above": LONG_NUMBER,
    "altitude-below": LONG_NUMBER,
    "altitude-approaching": LONG_NUMBER,
    "next-gate": LONG_NUMBER,
    "plan-restored": "said once, after a restart; where it leads has to be heard",
    "path-report": ASKED,
    "destination-report": ASKED,
    "airspeed-report": ASKED,
    "wind-report": ASKED,
    "plugin-benched": "a plug-in's own name may be long",
}
"""Phrases that may take longer than SHORT_S, and why. Rules of thumb (`.rule`) may, too."""
FIRST_TOO = {"safety", "fix-passed", "destination-passed", "altitude-above", "altitude-below"} | {
    "altitude-approaching",
    "next-gate",
    "heading-bug",
    "destination-report",
}
"""Those of them that are one clause."""
CANDIDATES: dict[str, tuple[float | str, ...]] = {
    "height": (850.0, 750.0, 300.0),
    "feet": (950.0, 770.0, 370.0),
    "altitude": (11_700.0, 6_750.0, 3_170.0),
    "rate": (1_450.0, 750.0, 1_150.0),
    "heading": (277.0, 70.0),
    "course": (277.0, 70.0),
    "bearing": (277.0, 70.0),
    "turn": (77.0, 45.0),
    "runway": ("ZZKN/27R", "ZZKN/07"),
    "place": ("ZZQX", "ZZKN/27R"),
    "distance": (7.5, 11.7, 6.5, 17.0),
    "strength": (77.0, 27.0),
    "altimeter": (997.0, 1_017.0),
    "time": (2_640.0, 77.0),
    "angle": (4.7, 11.7),
}
NAMED: dict[str, float] = {
    "endurance_s": 2_640.0,
    "crosswind_kt": 27.0,
    "headwind_kt": 27.0,
    "tailwind_kt": 17.0,
    "limit_kt": 27.0,
    "deviation_kt": 27.0,
    "gust_kt": 37.0,
    "wind_speed_kt": 37.0,
}
"""What comes up of these: whole minutes of fuel, winds that somebody has limits for."""
TEXTS = {
    "entry": "teardrop",
    "side": "right",
    "reason": "off centreline",
    "unjudged": "speed unknown",
    "source": "rule of thumb",
    "advisory": "departure runway",
}
"""The longest of each that the advisories give."""
PLAIN = Path(__file__).with_name("plain_words.txt")


def worst(phrase: str, book: Phrasebook) -> str:
    """Return the longest speech of a phrase."""
    values: dict[str, float | str] = {}
    for name, form in _slots(book.templates[phrase]):
        choice = (TEXTS[name],) if form == "text" else (NAMED[name],) if name in NAMED else CANDIDATES[form]
        values[name] = max(choice, key=lambda value, form=form: len(FORMS[form](book.words, value).speech))  # type: ignore[misc]
    if {"high_ft", "low_ft"} <= values.keys():
        del values["low_ft"]
    return book.compose(phrase=phrase, values=values).speech


def _slots(template: str) -> Iterator[tuple[str, str]]:
    """Yield the name and the form of every value; a plain number is none."""
    return ((name, form) for name, form in re.findall(VALUE, template) if not name.replace(".", "").isdigit())


BOOK = Phrasebook.load()
PHRASES = sorted(BOOK.templates)
SPOKEN = {phrase: worst(phrase, BOOK) for phrase in PHRASES}


@pytest.fixture(scope="module")
def voice() -> Iterator[Renderer]:
    """Return the default voice at its default rate."""
    renderer = Renderer(make=lambda manner: make_voice(name="espeak", manner=manner), manner=Manner())
    yield renderer
    renderer.close()


def seconds(voice: Renderer, speech: str) -> float:
    """Return how long it takes to say."""
    return len(voice.words(speech=speech)) / RATE_HZ


def test_the_whole_is_short(voice: Renderer) -> None:
    """Nothing takes longer than 2.5 s but what is listed with its reason, and that ends as well."""
    took = {phrase: seconds(voice, speech) for phrase, speech in SPOKEN.items() if phrase != "safety"}
    limits = {
        phrase: LONG_S if phrase in LONGER or phrase.endswith(".rule") else SHORT_S + ROUNDING_S for phrase in took
    }

    assert {} == {phrase: (took[phrase], SPOKEN[phrase]) for phrase in took if took[phrase] > limits[phrase]}


def test_what_it_is_about_comes_first(voice: Renderer) -> None:
    """The first clause of every call is out within 2.5 s."""
    first = {
        phrase: clauses(speech)[0]
        for phrase, speech in SPOKEN.items()
        if phrase not in FIRST_TOO and not phrase.endswith(".rule")
    }
    took = {phrase: seconds(voice, speech) for phrase, speech in first.items()}

    assert {} == {phrase: (took[phrase], first[phrase]) for phrase in took if took[phrase] > SHORT_S + ROUNDING_S}


def test_no_exception_outlives_its_phrase(voice: Renderer) -> None:
    """Every listed phrase exists and does need more than is allowed, so that the list can't rot."""
    assert set() == (set(LONGER) | FIRST_TOO) - set(PHRASES)

    needless = [phrase for phrase in LONGER if seconds(voice, SPOKEN[phrase]) < SHORT_S - 4 * ROUNDING_S]
    assert [] == needless


def test_only_plain_and_trade_words() -> None:
    """Every word that is spoken stands in the list of plain and trade words beside this test."""
    known = set(PLAIN.read_text(encoding="utf-8").split())

    assert {} == {
        phrase: unknown for phrase, speech in SPOKEN.items() if (unknown := sorted(set(words(speech)) - known))
    }


@pytest.mark.parametrize("phrase", PHRASES)
def test_nobody_else_s_wording(phrase: str) -> None:
    """No run of one to four words is one that people know from a box, in the ear or on the screen."""
    assert [] == known_from_boxes(SPOKEN[phrase])
    assert [] == known_from_boxes(re.sub(VALUE, " 0 ", BOOK.templates[phrase]))


def test_the_check_bites() -> None:
    """A wording whose hash is kept is found inside a sentence, whatever its case and stops, and others are not."""
    box = " ".join(("mini" + "mums", "and", "more"))

    assert ["mini" + "mums"] == known_from_boxes(box.upper())
    assert ["sink" + " rate"] == known_from_boxes("Mind your Sink" + "-Rate, please.")
    assert ["pull" + " up"] == known_from_boxes("now pull" + ", up!")
    assert [] == known_from_boxes("High, two hundred. Sink eight fifty.")
    assert hashed("high") not in BANNED
    assert {DIGITS} == {len(one) for one in BANNED}
