"""What the engine makes of real flights: python -m tests.real_traffic.table (needs the extra `traffic`; minutes).

Prints Markdown: how often the runway was named right, and what would have been said per 100 arrivals under each plan.
"""

from collections import Counter
from collections.abc import Iterator, Sequence
from functools import cache

from otherseat.advisories.levels import Level
from otherseat.config.known_runways import known_runways
from otherseat.config.settings import read_settings
from otherseat.daemon import plugins
from tests.real_traffic.hearing import MARKS_NM, MODES, Crew, Heard, Said, hear_landing, hear_surface
from tests.real_traffic.landings import Landing, landings
from tests.real_traffic.samples import folder, recordings, surface_recordings

OPEN = "can't tell"
INSTALL = "pip install -e '.[traffic]'"


@cache
def crew() -> Crew:
    """Return the engine's parts, as the daemon has them."""
    return Crew(runways=known_runways(), advisories=plugins.advisories(), settings=read_settings(None))


@cache
def flown() -> tuple[Landing, ...]:
    """Return every recorded landing; none when the package is not installed."""
    root = folder()
    return () if root is None else tuple(landings(recordings(root), runways=crew().runways))


@cache
def heard(mode: str) -> tuple[Heard, ...]:
    """Return what the engine makes of each of them under a plan."""
    return tuple(hear_landing(landing, mode=mode, crew=crew()) for landing in flown())


@cache
def rolled() -> tuple[Heard, ...]:
    """Return what the engine makes of the recordings of an airport's surface."""
    root = folder()
    return (
        ()
        if root is None
        else tuple(
            hear_surface(one.reports, name=f"{one.sample} {one.aircraft}", departure=None, pressure_ft=0.0, crew=crew())
            for one in surface_recordings(root)
        )
    )


def ordinary(mode: str) -> list[Heard]:
    """Return those that were flown to arrive, and for nothing else."""
    return [one for one, landing in zip(heard(mode), flown(), strict=True) if not landing.recording.special]


def named(mode: str) -> dict[float, Counter[str]]:
    """Return, at each mark, how often the right end, another, or none could be named."""
    counts: dict[float, Counter[str]] = {mark_nm: Counter() for mark_nm in MARKS_NM}
    for one, landing in zip(heard(mode), flown(), strict=True):
        for mark_nm, name in one.named.items():
            counts[mark_nm][_verdict(name, landing)] += 1
    return counts


def _verdict(name: str | None, landing: Landing) -> str:
    if name is None:
        return OPEN
    return "right" if name == landing.end.name else "wrong"


def said_per_hundred(flights: Sequence[Heard]) -> dict[Said, float]:
    """Return how often each phrase was said at each level, per 100 flights."""
    total: Counter[Said] = Counter()
    for one in flights:
        total += one.spoken
    return {said: 100.0 * count / len(flights) for said, count in total.items()}


def per_hundred_at(flights: Sequence[Heard], level: Level) -> float:
    """Return how many alerts reached a level, per 100 flights."""
    return 100.0 * sum(count for one in flights for (_, at), count in one.worst.items() if at is level) / len(flights)


def lines() -> Iterator[str]:
    """Yield the tables."""
    if not flown():
        yield f"no recordings: {INSTALL}"
        return
    yield f"{len(flown())} landings, {len(ordinary('end'))} of them ordinary arrivals"
    yield from ("", "| NM before the threshold | right | can't tell | wrong |", "| ---: | ---: | ---: | ---: |")
    for mark_nm, count in named("none").items():
        yield f"| {mark_nm:g} | {count['right']} | {count[OPEN]} | {count['wrong']} |"
    surface = sum((one.surface for one in rolled()), Counter[str]())
    rolls = sum(1 for one in rolled() if one.surface)
    yield f"\nRolls: {surface['right']} positions in {rolls} movements named right, {surface['wrong']} not"
    shown = {mode: said_per_hundred(ordinary(mode)) for mode in MODES}
    yield from ("", "Said per 100 ordinary arrivals, by plan:", "")
    yield f"| phrase | level | {' | '.join(MODES)} |"
    yield "| --- | --- |" + " ---: |" * len(MODES)
    for phrase, level in sorted({said for table in shown.values() for said in table}, key=lambda s: (-s[1], s[0])):
        figures = " | ".join(f"{shown[mode].get((phrase, level), 0.0):.1f}" for mode in MODES)
        yield f"| {phrase} | {level.word} | {figures} |"


if __name__ == "__main__":
    for line in lines():
        print(line, flush=True)  # noqa: T201 - a command's output
