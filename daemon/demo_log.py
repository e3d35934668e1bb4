"""What the demo heard: from the pilot's process what was flown, from the bus what was said; and what that proves."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from otherseat.advisories.levels import Change, Level
from otherseat.daemon.flight_model.scenes import LegName, Mistake
from otherseat.daemon.messages import AlertMessage, CallMessage


@dataclass(frozen=True, slots=True)
class FlownScene:
    """A scene as the pilot announced it."""

    number: int
    name: str
    told: str
    time_s: float


@dataclass(frozen=True, slots=True)
class Kept:
    """One mistake, and how the promise about it was kept."""

    mistake: Mistake
    rises: tuple[tuple[Level, float], ...]
    """The level at which it was raised and every higher one that it reached, each with the seconds after it began."""
    cleared_after_s: float | None

    @property
    def said_after_s(self) -> float | None:
        """When it was said first; None when never."""
        return self.rises[0][1] if self.rises else None

    @property
    def ok(self) -> bool:
        """Whether it was said and cleared in time."""
        return (
            self.said_after_s is not None
            and 0.0 <= self.said_after_s <= self.mistake.said_within_s
            and self.cleared_after_s is not None
            and self.cleared_after_s <= self.mistake.cleared_within_s
        )


@dataclass(slots=True)
class DemoLog:
    """Everything heard so far, in the order in which it came. All times are simulated seconds."""

    scenes: list[FlownScene] = field(default_factory=list)
    legs: dict[LegName, float] = field(default_factory=dict)
    calls: list[CallMessage] = field(default_factory=list)
    alerts: list[AlertMessage] = field(default_factory=list)
    remarks: list[str] = field(default_factory=list)
    """Lines of the pilot's process that were no events."""
    end_s: float | None = None
    datagrams: int = 0
    lost: int = 0

    def flown(self, event: dict[str, object]) -> FlownScene | None:
        """Take in what the pilot's process told; return the scene when one begins."""
        match event:
            case {
                "event": "scene",
                "scene": int(number),
                "name": str(name),
                "told": str(told),
                "time_s": float(time_s),
            }:
                self.scenes.append(FlownScene(number=number, name=name, told=told, time_s=time_s))
                return self.scenes[-1]
            case {"event": "leg", "scene": int(number), "leg": int(leg), "time_s": float(time_s)}:
                self.legs[(number, leg)] = time_s
            case {"event": "end", "time_s": float(time_s), "datagrams": int(datagrams), "lost": int(lost)}:
                self.end_s, self.datagrams, self.lost = time_s, datagrams, lost
        return None

    def scene_at(self, time_s: float) -> FlownScene | None:
        """Return the scene that was being flown."""
        begun = [scene for scene in self.scenes if scene.time_s <= time_s]
        return begun[-1] if begun else None

    def kept(self, mistakes: Sequence[Mistake]) -> list[Kept]:
        """Return how each promise was kept, for the mistakes that were flown."""
        return [self._kept(mistake) for mistake in mistakes if mistake.begins in self.legs]

    def _kept(self, mistake: Mistake) -> Kept:
        changes = [alert for alert in self.alerts if alert.alert == mistake.alert]
        cleared = [alert.time_s for alert in changes if alert.change is Change.CLEARED]
        mended_s = self.legs.get(mistake.mended)
        return Kept(
            mistake=mistake,
            rises=tuple((alert.level, alert.time_s - self.legs[mistake.begins]) for alert in _rises(changes)),
            cleared_after_s=cleared[-1] - mended_s if cleared and mended_s is not None else None,
        )

    def unpromised(self, mistakes: Sequence[Mistake]) -> Iterator[AlertMessage]:
        """Yield every alert above advice that no mistake accounts for."""
        promised = {mistake.alert for mistake in mistakes}
        seen: set[str] = set()
        for alert in self.alerts:
            if alert.level > Level.ADVICE and alert.alert not in promised and alert.id not in seen:
                seen.add(alert.id)
                yield alert


def _rises(changes: Sequence[AlertMessage]) -> Iterator[AlertMessage]:
    """Yield the alert as it was raised, and whenever it was more serious than ever before."""
    highest: Level | None = None
    for alert in changes:
        if alert.change is not Change.CLEARED and (highest is None or alert.level > highest):
            highest = alert.level
            yield alert
