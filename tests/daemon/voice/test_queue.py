"""Who speaks next."""

import pytest

from otherseat.advisories.levels import Level
from otherseat.daemon.voice.queue import LONE_PATIENCE_S, PATIENCE_S, ROOM, SpeechQueue, Utterance, start_by_s


def words(
    speech: str, level: Level = Level.ADVICE, *, alert: str | None = None, by_s: float | None = None
) -> Utterance:
    """Return a sentence that wants to be said."""
    return Utterance(speech=speech, level=level, alert_id=alert or speech, start_by_s=by_s)


def said(queue: SpeechQueue, *, now_s: float = 0.0) -> list[str]:
    """Let everything that waits be said, each to its end, and return what was."""
    spoken = []
    while (utterance := queue.next(now_s=now_s)) is not None:
        spoken.append(utterance.speech)
        queue.done()
    return spoken


def test_the_most_serious_first() -> None:
    """Warning, caution, advice, call; within a level, first come first said."""
    queue = SpeechQueue()
    for speech, level in [("c", Level.CALL), ("a1", Level.ADVICE), ("k", Level.CAUTION), ("a2", Level.ADVICE)]:
        queue.add(words(speech, level))
    queue.add(words("w", Level.WARNING))

    assert ["w", "k", "a1", "a2", "c"] == said(queue)


@pytest.mark.parametrize(
    ("standing", "coming", "expected"),
    [
        (Level.CALL, Level.WARNING, True),
        (Level.CAUTION, Level.WARNING, True),
        (Level.WARNING, Level.WARNING, False),
        (Level.ADVICE, Level.CAUTION, False),
    ],
)
def test_what_cuts_in(standing: Level, coming: Level, *, expected: bool) -> None:
    """Only a warning cuts, and only what is less serious."""
    queue = SpeechQueue()
    queue.add(words("standing", standing))
    queue.next(now_s=0.0)

    assert expected == queue.add(words("coming", coming))


@pytest.mark.parametrize(("level", "expected"), [(Level.CAUTION, ["w", "cut"]), (Level.ADVICE, ["w"])])
def test_what_was_cut(level: Level, expected: list[str]) -> None:
    """A cut caution comes again after the warning; cut advice does not."""
    queue = SpeechQueue()
    queue.add(words("cut", level))
    queue.next(now_s=0.0)
    queue.add(words("w", Level.WARNING))
    queue.cut()

    assert expected == said(queue)


def test_a_newer_sentence_of_the_same_alert() -> None:
    """An alert has one sentence waiting: the newest."""
    queue = SpeechQueue()
    queue.add(words("old", alert="high.1"))
    queue.add(words("new", alert="high.1"))

    assert ["new"] == said(queue)
    assert 1 == queue.given_up


def test_what_cleared_is_not_said() -> None:
    """Waiting sentences of a cleared alert vanish; one that is being said is to be ended."""
    queue = SpeechQueue()
    queue.add(words("being said", alert="high.1"))
    queue.next(now_s=0.0)
    queue.add(words("waits", alert="low.1"))

    assert not queue.drop("low.1")
    assert queue.drop("high.1")
    assert [] == said(queue)


@pytest.mark.parametrize(("now_s", "expected"), [(5.0, ["a"]), (5.1, [])])
def test_stale_sentences_die(now_s: float, expected: list[str]) -> None:
    """A sentence that may no longer start is not said."""
    queue = SpeechQueue()
    queue.add(words("a", by_s=5.0))

    assert expected == said(queue, now_s=now_s)


@pytest.mark.parametrize(
    ("level", "alert_id", "expires_s", "expected"),
    [
        pytest.param(Level.ADVICE, "a.1", 12.0, 12.0, id="told"),
        pytest.param(Level.CALL, None, None, 10.0 + PATIENCE_S[Level.CALL], id="call"),
        pytest.param(Level.ADVICE, "a.1", None, 10.0 + PATIENCE_S[Level.ADVICE], id="advice"),
        pytest.param(Level.WARNING, "a.1", None, None, id="standing"),
        pytest.param(Level.WARNING, None, None, 10.0 + LONE_PATIENCE_S, id="nobody-can-take-it-back"),
    ],
)
def test_patience(level: Level, alert_id: str | None, expires_s: float | None, expected: float | None) -> None:
    """Calls and advice wait a little, cautions and warnings while they stand."""
    assert expected == start_by_s(level=level, alert_id=alert_id, now_s=10.0, expires_s=expires_s)


def test_a_flood_keeps_what_matters() -> None:
    """Of a thousand sentences the most serious stay, and the queue stays short."""
    queue = SpeechQueue()
    for number in range(1_000):
        queue.add(
            words(
                f"w{number}" if number % 100 == 0 else f"a{number}",
                Level.WARNING if number % 100 == 0 else Level.ADVICE,
            )
        )

    spoken = said(queue)
    assert ROOM == len(spoken)
    assert [f"w{number}" for number in range(0, 1_000, 100)] == spoken[:10]
    assert 1_000 - ROOM == queue.given_up


def test_mute() -> None:
    """Muted, what is being said ends, what waits vanishes, and what comes is given up until the voice is back."""
    queue = SpeechQueue()
    queue.add(words("being said", Level.WARNING))
    queue.next(now_s=0.0)
    queue.add(words("waits"))

    assert queue.mute(on=True)
    queue.add(words("meanwhile", Level.WARNING))
    assert [] == said(queue)
    assert not queue.mute(on=False)
    queue.add(words("after"))
    assert ["after"] == said(queue)


def test_said_again() -> None:
    """A sentence whose device was lost goes back to the front."""
    queue = SpeechQueue()
    queue.add(words("lost", Level.CAUTION))
    queue.next(now_s=0.0)
    queue.add(words("next", Level.CAUTION))
    queue.again()

    assert ["lost", "next"] == said(queue)
