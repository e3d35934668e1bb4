"""Doctor words: how the lines of doctor's report begin, and what two parts of it say alike."""

from otherseat.advisories.plan import Plan

FINE, WRONG, BLANK = "fine  ", "WRONG ", "      "
UNHEARD = 'if that is meant, `otherseat fly --voice none`, or engine = "none" under [voice] in the settings'


def plan_words(plan: Plan) -> str:
    """Return where a plan leads from and to, in a few words."""
    if plan == Plan():
        return "none; the runway that you track to will do"
    return f"{plan.departure or 'anywhere'} to {plan.destination or 'anywhere'}"
