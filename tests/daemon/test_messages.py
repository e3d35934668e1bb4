"""What leaves on the feed, and what comes back out of it."""

import dataclasses
import json
import math
from pathlib import Path

import msgpack
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from otherseat.advisories.levels import Alert, Call, Change, Level
from otherseat.advisories.picture import PICTURE_FIELDS, Phase, Picture
from otherseat.advisories.state import STATE_FIELDS, State, within_bounds
from otherseat.daemon.messages import (
    SCHEMA,
    AlertMessage,
    CallMessage,
    Kind,
    MessageError,
    adapter_of,
    alert_message,
    decode,
    level_of,
    split,
    topic_of,
)
from otherseat.daemon.packing import encode
from tests.daemon.samples import BODIES, alert

GOLDEN = Path(__file__).parent / "golden" / "messages.json"


def packed(kind: Kind, body: object) -> bytes:
    """Return the second frame of a message."""
    return encode(kind, body, session="0badcafe", seq=7, time_s=640.5)


def unpacked(kind: Kind, body: object) -> dict[str, object]:
    """Return the body as another language would see it."""
    seen: dict[str, object] = msgpack.unpackb(packed(kind, body))["body"]
    return seen


@pytest.mark.parametrize("kind", list(Kind))
def test_round_trip(kind: Kind) -> None:
    """Every kind comes back as it left."""
    message = decode(topic_of(kind, None if kind is Kind.HEALTH else "own"), packed(kind, BODIES[kind]))

    assert (kind, "0badcafe", 7, 640.5) == (message.kind, message.session, message.seq, message.time_s)
    assert BODIES[kind] == message.body


@pytest.mark.parametrize("kind", list(Kind))
def test_golden_bytes(kind: Kind) -> None:
    """The bytes of a message are part of the contract: they change only with the contract."""
    golden = json.loads(GOLDEN.read_text(encoding="utf-8"))

    assert golden[kind.value] == packed(kind, BODIES[kind]).hex()


@pytest.mark.parametrize("kind", list(Kind))
def test_additions_are_ignored(kind: Kind) -> None:
    """A reader takes a message that has fields which it does not know, on every floor."""
    envelope = msgpack.unpackb(packed(kind, BODIES[kind]))
    envelope["news"] = 1
    _add(envelope["body"])

    message = decode(topic_of(kind, "own"), msgpack.packb(envelope))

    assert BODIES[kind] == message.body


OPEN_MAPS = {"values", "live", "refused", "refused_fields", "benched", "counters"}
"""Maps whose keys are data."""


def _add(value: object) -> None:
    if isinstance(value, list):
        for item in value:
            _add(item)
    elif isinstance(value, dict):
        for name, item in value.items():
            if name not in OPEN_MAPS:
                _add(item)
        value["news"] = {"a": [1, None]}


def test_no_second_list_of_fields() -> None:
    """State and picture travel under exactly the names that the engine gave their fields."""
    assert STATE_FIELDS | {"computed"} == set(adapter_of(Kind.STATE).json_schema()["properties"])
    assert PICTURE_FIELDS == set(adapter_of(Kind.PICTURE).json_schema()["properties"])


@pytest.mark.parametrize(("body", "message"), [(Alert, AlertMessage), (Call, CallMessage)])
def test_alert_and_call_add_only_words(body: type, message: type) -> None:
    """An alert and a call travel as they are, and with their words."""
    names = {field.name for field in dataclasses.fields(body)}

    assert names | {"text", "speech"} == {field.name for field in dataclasses.fields(message)}


def test_levels_travel_as_words() -> None:
    """A display reads warning, not 3."""
    assert "caution" == unpacked(Kind.ALERT, alert())["level"]


@pytest.mark.parametrize("word", ["WARNING", "Warning", "3", "", "word", "_missing_", None, 3])
def test_only_the_levels_words_are_levels(word: object) -> None:
    """Nothing but the four words is a level."""
    with pytest.raises(ValueError, match="no such level"):
        level_of(word)


@pytest.mark.parametrize("level", list(Level))
def test_every_level_has_its_word(level: Level) -> None:
    """The word leads back to the level."""
    assert level is level_of(level.word)


@pytest.mark.parametrize("number", [math.nan, math.inf, -math.inf, np.float64("nan"), np.float64("-inf")])
def test_what_is_not_finite_is_missing(number: float) -> None:
    """NaN and infinity never leave; they are left out like any missing value."""
    state = State(time_s=1.0, altitude_ft=number)
    high = alert_message(
        dataclasses.replace(_alert(), values={"height_ft": number, "runway": "07"}), text="High.", speech="High."
    )

    assert "altitude_ft" not in unpacked(Kind.STATE, state)
    assert {"runway": "07"} == unpacked(Kind.ALERT, high)["values"]


def _alert() -> Alert:
    return Alert(
        id="x.1",
        alert="x",
        aircraft="own",
        change=Change.RAISED,
        level=Level.ADVICE,
        phrase="x",
        values={},
        raised_s=1.0,
        time_s=1.0,
    )


@pytest.mark.parametrize("number", [np.float32(0.5), np.float64(0.5), np.float16(0.5)])
def test_numbers_of_array_libraries_become_plain(number: float) -> None:
    """A number from an array library travels as a float."""
    picture = Picture(time_s=1.0, aircraft="own", phase=Phase.FINAL, offset_ft=number)
    high = alert_message(dataclasses.replace(_alert(), values={"offset_ft": number}), text="", speech="")

    assert [0.5, 0.5] == [unpacked(Kind.PICTURE, picture)["offset_ft"], high.values["offset_ft"]]
    assert float is type(high.values["offset_ft"])


def test_float32_nan_does_not_hide() -> None:
    """A NaN in a number that msgpack itself can't pack is missing as well."""
    picture = Picture(time_s=1.0, aircraft="own", phase=Phase.FINAL, offset_ft=np.float32("nan"))  # type: ignore[arg-type]  # what a careless plug-in does

    assert unpacked(Kind.PICTURE, picture).get("offset_ft") is None


def test_missing_values_are_left_out() -> None:
    """What was not reported costs no byte."""
    assert {"time_s": 1.0, "aircraft": "own", "on_ground": False} == unpacked(
        Kind.STATE, State(time_s=1.0, on_ground=False)
    )


@pytest.mark.parametrize("topic", [b"", b"news.own", b"State.own", b"\xff\xfe", b"mark.00", b"states"])
def test_foreign_topics(topic: bytes) -> None:
    """A topic that is not ours is refused by name."""
    with pytest.raises(MessageError, match="no such topic"):
        decode(topic, packed(Kind.STATE, BODIES[Kind.STATE]))


def test_topic_keeps_dots_of_the_aircraft() -> None:
    """The first dot ends the kind; the aircraft's id may have dots of its own."""
    assert (Kind.ALERT, "a.b") == split(topic_of(Kind.ALERT, "a.b"))


def test_every_truncation_is_refused() -> None:
    """A frame that was cut is a MessageError, wherever it was cut."""
    whole = packed(Kind.ALERT, BODIES[Kind.ALERT])

    for length in range(len(whole)):
        with pytest.raises(MessageError):
            decode(b"alert.own", whole[:length])


@pytest.mark.parametrize("bit", range(8))
def test_flipped_bits_are_a_message_or_an_error(bit: int) -> None:
    """A damaged frame is read or refused with a MessageError, and nothing else."""
    whole = packed(Kind.STANDING, BODIES[Kind.STANDING])
    for place in range(len(whole)):
        damaged = bytearray(whole)
        damaged[place] ^= 1 << bit
        try:
            decode(b"standing.own", bytes(damaged))
        except MessageError:
            continue


def test_another_schema_is_refused() -> None:
    """A reader does not guess at a contract that it does not know."""
    envelope = msgpack.unpackb(packed(Kind.STATE, BODIES[Kind.STATE])) | {"schema": SCHEMA + 1}

    with pytest.raises(MessageError, match="schema 2"):
        decode(b"state.own", msgpack.packb(envelope))


@given(
    st.fixed_dictionaries(
        {"time_s": st.floats()},
        optional={
            "aircraft": st.text(max_size=5),
            "altitude_ft": st.floats() | st.integers(),
            "on_ground": st.booleans() | st.floats(),
            "bank_deg": st.floats(-200.0, 200.0),
        },
    ),
    st.sampled_from([None, ("groundspeed_kt",)]),
)
def test_a_state_travels_alike_however_it_was_made(
    values: dict[str, float | bool | str], computed: tuple[str, ...] | None
) -> None:
    """What a source told and was checked is packed as it is: field by field that is what the state holds."""
    kept, _ = within_bounds({"aircraft": "own", "time_s": 0.0, **values})
    assume({"time_s", "aircraft"} <= kept.keys())
    told = State.of_checked(kept, computed=computed)
    by_hand = State(**kept, computed=computed)  # type: ignore[arg-type]  # names and kinds were checked

    assert by_hand == told
    assert unpacked(Kind.STATE, by_hand) == unpacked(Kind.STATE, told)
    assert "aircraft" in unpacked(Kind.STATE, State.accept({"time_s": 1.0})[0])


def test_a_changed_state_travels_changed() -> None:
    """Nothing that a state was made of is left in another that was made of it."""
    state, _ = State.accept({"time_s": 1.0, "bank_deg": 3.0})
    assert state is not None
    changed = dataclasses.replace(state, bank_deg=None, pitch_deg=2.0)

    assert {"time_s": 1.0, "aircraft": "own", "pitch_deg": 2.0} == unpacked(Kind.STATE, changed)
    with pytest.raises(dataclasses.FrozenInstanceError):
        state.bank_deg = 4.0  # type: ignore[misc]  # what is tested
