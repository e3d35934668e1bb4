"""Open flight: whatever file holds a flight, as Flown: our recordings, or tracks that others recorded."""

from collections.abc import Sequence
from pathlib import Path

from otherseat.advisories.plan import Plan, ResolvedPlan
from otherseat.advisories.runway import RunwayTable
from otherseat.daemon.debrief.flown import Flown, choose, read_flown
from otherseat.daemon.debrief.track import TrackMaker
from otherseat.daemon.recording import SUFFIX


def open_flown(
    path: Path,
    *,
    aircraft: str | None = None,
    runways: RunwayTable | None = None,
    plan: ResolvedPlan | None = None,
    layout: str | None = None,
) -> Flown:
    """Return the flight in a file; runways, plan and layout are for tracks, which have none of their own.

    With a layout a recording's raw datagrams are decoded by it, as of a capture that holds nothing else.

    Raises RecordingError, NothingFlownError, ImportTrackError or OSError.
    """
    if path.suffix.lower() == SUFFIX and layout is None:
        return read_flown(path, aircraft=aircraft)
    from otherseat.daemon import imports  # noqa: PLC0415 - only tracks of others need it

    return flown_of_states(
        imports.read_track(path, layout=layout), path=path, aircraft=aircraft, runways=runways, plan=plan
    )


def flown_of_states(
    states: Sequence[dict[str, float | bool | str]],
    *,
    path: Path,
    aircraft: str | None = None,
    runways: RunwayTable | None = None,
    plan: ResolvedPlan | None = None,
) -> Flown:
    """Return states from elsewhere as a flight to which nobody listened."""
    maker = TrackMaker()
    for state in states:
        maker.add(state)
    tracks = maker.tracks(runways=runways, plan=plan)
    chosen = choose(tracks, aircraft=aircraft, file=path)
    return Flown(
        name=path.stem,
        aircraft=chosen,
        track=tracks[chosen],
        runways=runways or RunwayTable(),
        plan=plan or ResolvedPlan(plan=Plan()),
        started_s=_epoch(tracks[chosen]["time_s"][0]),
    )


def _epoch(time_s: float) -> float | None:
    """Return a time if it can be a wall clock's: tracks count from 1970."""
    return float(time_s) if time_s > 1e8 else None  # noqa: PLR2004 - years after any simulator's own time
