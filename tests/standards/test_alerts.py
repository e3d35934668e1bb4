"""Levels against 14 CFR 25.1322, and the height that a recovery takes."""

from otherseat.advisories import path
from otherseat.advisories.levels import Level
from tests.standards.topic import Answers, Case, Topic

WORDS = "how an alert is shown or said, which is tested where that is done"
TERRAIN = "terrain, of which nothing is known here"
TOPIC = Topic(
    name="alerts",
    left_out={
        "Attention-getting senses": WORDS,
        "Alert removed when the condition ends": WORDS,
        "Colour": WORDS,
        "Colour, advisory (rule text)": WORDS,
        "Colour, advisory (stricter published summary)": WORDS,
        "Number of colours": WORDS,
        "Colour of lights, older rule still in parts 23/27": WORDS,
        "Voice call-out height, non-precision approach": TERRAIN,
        "Required alert functions, class B": TERRAIN,
        "Required terrain clearance by phase": TERRAIN,
    },
    unjudged={"awareness": WORDS, "response": WORDS},
)
LEVELS = {"warning": Level.WARNING, "caution": Level.CAUTION, "advisory": Level.ADVICE}


@TOPIC.answer
def rank(*, level: str) -> Answers:
    """Answer the order of the levels, the most serious first."""
    return {"rank": sorted(LEVELS.values(), reverse=True).index(LEVELS[level]) + 1}


@TOPIC.answer
def recovery(*, descent_rate_fpm: float, pilot_delay_s: float, pull_up_g: float) -> Answers:
    """Answer the height lost."""
    whole_ft = path.height_to_level_off_ft(sink_rate_fpm=descent_rate_fpm, delay_s=pilot_delay_s, pull_up_g=pull_up_g)
    pull_ft = path.height_to_level_off_ft(sink_rate_fpm=descent_rate_fpm, delay_s=0.0, pull_up_g=pull_up_g)
    return {"total_loss_ft": whole_ft, "pull_up_loss_ft": pull_ft, "delay_loss_ft": whole_ft - pull_ft}


@TOPIC.parametrize
def test_published_value(case: Case) -> None:
    """Levels and recoveries are as published."""
    assert [] == TOPIC.misses(case)
