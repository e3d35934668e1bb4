"""The identifier on exports that it has never seen, and on streams with nothing in them."""

import json
from collections.abc import Callable, Iterator
from dataclasses import replace

import numpy as np
import pytest

from otherseat.adapters.identify import Certainty, Claim, Verdict, identify
from otherseat.adapters.identify.report import layout_text, words
from otherseat.adapters.intake import Intake
from otherseat.adapters.layout import decoder_of
from otherseat.adapters.layout_file import parse
from otherseat.adapters.units_table import UNITS
from otherseat.advisories.state import State
from tests.adapters.flown import Table, flight
from tests.adapters.formats import Format, Sent, make

KINDS = ("text", "headed", "pairs", "json", "msgpack", "binary", "records")
EXPORTS = [
    pytest.param(kind, seed, rate_hz, id=f"{kind}-{seed}") for kind in KINDS for seed, rate_hz in ((0, 60), (1, 20))
]
NEEDED = {"latitude_deg", "longitude_deg", "altitude_ft", "vertical_speed_fpm", "indicated_airspeed_kt"}
OVER_GROUND = ({"groundspeed_kt"}, {"velocity_north_kt", "velocity_east_kt"})
WAYS = {"heading_true_deg", "track_true_deg"}
SURE_TOO_SOON = [(8, 120), (11, 30), (18, 80), (27, 40), (28, 40), (33, 100), (51, 120), (129, 120), (137, 30)]
"""Binary exports and seconds of them where parts of floats once passed for pitch, bank, speed, heading or position."""
SHARE_RIGHT = 0.9
"""Of the samples; a direction passes through north, and the study thins its samples out."""


def swift(seed: int) -> Table:
    """Return a flight at twenty rows a second, where sixty are not what is tried."""
    return {name: values[::3] for name, values in flight(seed).items()}


def sent_at(claim: Claim, export: Format) -> Sent | None:
    """Return what was really sent where the claim points, bytes of it included."""
    place = claim.column.place
    key = (
        (place["group"], place["item"])
        if "group" in place
        else (place.get("column", place.get("key", place.get("at"))),)
    )
    if key in export.truth:
        return export.truth[key]
    inside = [s for k, s in export.truth.items() if "at" in place and k[0] <= place["at"] < k[0] + int(s.kind[1:]) // 8]
    return inside[0] if inside else None


def is_right(claim: Claim, export: Format) -> bool:
    """Say whether the claim names the field that is there, and gives the values that it had."""
    sent = sent_at(claim, export)
    if sent is None or sent.name != claim.field:
        return False
    worth = UNITS[sent.unit].factor
    truth = sent.values[:: max(1, len(sent.values) // 1200)] * worth
    read = claim.column.values * UNITS[claim.unit].factor * claim.scale * claim.sign
    count = min(len(truth), len(read))
    step = (sent.scale if sent.kind[0] == "i" else 10.0**-sent.decimals) * worth
    allowed = 1e-4 * np.ptp(truth) + 1.01 * step + 1e-6 * np.abs(truth).max()
    return bool(np.quantile(np.abs(truth[:count] - read[:count]), SHARE_RIGHT) <= allowed)


@pytest.mark.parametrize(("kind", "seed", "rate_hz"), EXPORTS)
def test_finds_what_a_pilot_needs(kind: str, seed: int, rate_hz: int) -> None:
    """Position, altitude, speeds and a direction are found in every export, and nothing sure is wrong."""
    table = {20: swift, 60: flight}[rate_hz](seed)
    export = make(kind, table, seed * 7 + len(kind))
    verdict = identify(export.datagrams)
    right = {claim.field for claim in verdict.written() if is_right(claim, export)}
    offered = {each.field for claim in verdict.open() for each in (claim, *claim.others) if is_right(each, export)}

    assert set() == NEEDED - right - (offered & {"indicated_airspeed_kt"})  # at that height it may be a true one too
    assert any(fields <= right for fields in OVER_GROUND)
    assert right & WAYS
    assert [] == surely_wrong(verdict, export)


def surely_wrong(verdict: Verdict, export: Format) -> list[str]:
    """Return the fields of the claims that are sure and are not what was sent."""
    return [c.field for c in verdict.claims if c.certainty is Certainty.SURE and not is_right(c, export)]


@pytest.mark.parametrize(("seed", "seconds"), SURE_TOO_SOON)
def test_nothing_is_sure_too_soon(seed: int, seconds: int) -> None:
    """After however little of a binary stream nothing sure is wrong."""
    count = seconds * 60
    export = make("binary", {name: values[:count] for name, values in flight(seed).items()}, seed)

    assert [] == surely_wrong(identify(export.datagrams), export)


def test_a_byte_of_an_engine_s_number_is_no_pitch() -> None:
    """One byte of the revolutions goes with the climb as a pitch does."""
    export = make("binary", flight(6), 6)
    claim = identify(export.datagrams).claim("pitch_deg")

    assert claim is None or is_right(claim, export)


@pytest.mark.long
@pytest.mark.timeout(3600)
@pytest.mark.parametrize("kind", KINDS)
def test_nothing_sure_is_wrong_on_many(kind: str) -> None:
    """Over forty more exports of each kind no sure claim is wrong, after half a minute, a minute and two."""
    wrong = []
    for seed in range(100, 140):
        for seconds in (30, 60, 120):
            table = {name: values[: seconds * 60] for name, values in flight(seed).items()}
            export = make(kind, table, seed)
            wrong += [(seed, seconds, field) for field in surely_wrong(identify(export.datagrams), export)]

    assert [] == wrong


def read_by(layout: str, export: Format) -> list[State]:
    """Return the States that a layout makes of an export."""
    intake = Intake(decoder_of(parse(layout, origin="identified.toml")))
    return [state for time_s, datagram in export.datagrams for state in intake.take(datagram, received_s=time_s)]


@pytest.mark.parametrize("kind", KINDS)
def test_layout_is_ready_to_use(kind: str) -> None:
    """The layout that is written reads the stream: the last State is where the flight ended, within 3 m and 2 kt."""
    table = swift(2)
    export = make(kind, table, 3)
    last = read_by(layout_text(identify(export.datagrams), name="identified"), export)[-1]

    assert pytest.approx(table["latitude_deg"][-1], abs=3e-5) == last.latitude_deg
    assert pytest.approx(table["longitude_deg"][-1], abs=3e-5) == last.longitude_deg
    assert pytest.approx(table["altitude_ft"][-1], abs=5.0) == last.altitude_ft
    assert pytest.approx(table["indicated_airspeed_kt"][-1], abs=2.0) == last.indicated_airspeed_kt


def stream(kind: str) -> Iterator[bytes]:
    """Yield a minute of something that no aircraft sends."""
    draw = np.random.default_rng(5)
    count = 3_600
    walk = np.cumsum(draw.normal(0, 1, (count, 16)), axis=0)
    seconds = np.arange(count) / 60.0
    sines = np.sin(
        np.outer(seconds, 2 * np.pi / draw.uniform(5, 90, 16)) + draw.uniform(0, 6, 16)
    ) * 10 ** draw.uniform(-1, 3, 16)
    sound = (8_000 * np.sin(np.arange(count * 160) / 8_000 * 2 * np.pi * 440)).astype("<i2").reshape(count, 160)
    makers: dict[str, Callable[[int], bytes]] = {
        "random bytes": lambda _: draw.bytes(200),
        "random lengths": lambda _: draw.bytes(int(draw.integers(1, 300))),
        "constant bytes": lambda _: b"\x01\x02hello" * 9,
        "constant text": lambda _: b"1.5,2.5,3.5\n",
        "random text": lambda _: (",".join(f"{x:.3f}" for x in draw.normal(0, 50, 12)) + "\n").encode(),
        "words": lambda _: b"the wind is from the west",
        "sound": lambda i: sound[i].tobytes(),
        "slow sines": lambda i: sines[i].astype("<f4").tobytes(),
        "slow sines as text": lambda i: (",".join(f"{v:.6f}" for v in sines[i]) + "\n").encode(),
        "random walks": lambda i: walk[i].tobytes(),
        "random walks as json": lambda i: json.dumps({f"k{n}": x for n, x in enumerate(walk[i].tolist())}).encode(),
        "counter": lambda i: i.to_bytes(4, "big") + bytes(20),
        "empty": lambda _: b"",
    }
    for index in range(count):
        yield makers[kind](index)


@pytest.mark.parametrize(
    "kind",
    [
        "random bytes",
        "random lengths",
        "constant bytes",
        "constant text",
        "random text",
        "words",
        "sound",
        "slow sines",
        "slow sines as text",
        "random walks",
        "random walks as json",
        "counter",
        "empty",
    ],
)
def test_nothing_is_found_in_nothing(kind: str) -> None:
    """A stream without an aircraft in it gives no layout, and the report says so."""
    verdict = identify([(index / 60.0, datagram) for index, datagram in enumerate(stream(kind))])

    assert not verdict.found()
    assert "Nothing found" in words(verdict)
    with pytest.raises(ValueError, match="nothing was found"):
        layout_text(verdict, name="none")


def test_straight_and_level_is_not_enough() -> None:
    """Without a turn and a climb nothing is sure, and the report says what to fly."""
    table = {name: values[:1200] for name, values in flight(0).items()}
    straight = {**table, "heading_true_deg": np.full(1200, 90.0)}
    straight["latitude_deg"] = np.full(1200, 47.0)
    straight["longitude_deg"] = -122.0 + np.arange(1200) * 1e-5
    straight["north_fps"], straight["east_fps"] = np.zeros(1200), np.full(1200, 149.5)
    verdict = identify(make("text", straight, 5).datagrams)

    assert [] == [c.field for c in verdict.claims if c.certainty is Certainty.SURE and c.field != "time_s"]
    assert "turn" in words(verdict)


def test_standards_are_named() -> None:
    """A stream of an open standard is told by its adapter's name."""
    sentence = b"$GPGGA,123519,4807.038,N,01131.000,E,1,08,0.9,545.4,M,46.9,M,,*47\r\n"

    assert "nmea" == identify([(index / 10.0, sentence) for index in range(600)]).known_as


def test_empty_verdict_reads_well() -> None:
    """A verdict on no datagrams at all can be printed."""
    assert "no datagram came" in words(identify([]))
    assert isinstance(identify([]), Verdict)


def rows_of(*columns: np.ndarray) -> list[bytes]:
    """Return lines of text of these columns."""
    return [(",".join(f"{value:.7f}" for value in row) + "\n").encode() for row in zip(*columns, strict=True)]


def timed(table: dict[str, np.ndarray], datagrams: list[bytes]) -> list[tuple[float, bytes]]:
    """Return the datagrams with the flight's own times."""
    return list(zip(table["time_s"].tolist(), datagrams, strict=True))


def test_every_altitude_and_airspeed_at_once() -> None:
    """True and indicated airspeed are told apart; of several altitudes the highest is taken, and the doubt is said."""
    t = swift(4)
    knots = 0.3048 / (1852.0 / 3600.0)
    rows = rows_of(
        t["height_agl_ft"] - 200.0,
        t["latitude_deg"],
        t["longitude_deg"],
        t["altitude_ft"],
        t["true_airspeed_fps"] * knots,
        t["indicated_airspeed_kt"],
        np.hypot(t["north_fps"], t["east_fps"]) * knots,
        t["heading_true_deg"],
        t["vertical_speed_fps"] * 60.0,
    )
    verdict = identify(timed(t, rows))
    columns = {claim.field: claim.column.place["column"] for claim in verdict.claims}

    assert (3, 4, 5, 6) == tuple(
        columns[name] for name in ("altitude_ft", "true_airspeed_kt", "indicated_airspeed_kt", "groundspeed_kt")
    )
    assert any(text.startswith("which altitude") for text in verdict.cannot_tell)


def test_magnetic_heading() -> None:
    """A heading 12 deg less than the true one is called magnetic, with the variation in the reason, not in the layout.

    A layout is used for years and everywhere, and a variation in it would go before that of the runway at hand.
    """
    table = swift(4)
    export = make("text", {**table, "heading_true_deg": (table["heading_true_deg"] - 12.0) % 360.0}, 7)
    verdict = identify(export.datagrams)
    claim = verdict.claim("heading_magnetic_deg")

    assert claim is not None
    assert "+12" in claim.why or "+11." in claim.why
    assert "the layout has none" in claim.why
    assert "magnetic_variation_deg" not in layout_text(verdict, name="found")


def test_several_messages_in_one_stream() -> None:
    """Messages told apart by a tag, at different rates, make a layout with a message each."""
    t = swift(4)
    speed = np.hypot(t["north_fps"], t["east_fps"])
    datagrams: list[tuple[float, bytes]] = []
    for i, time_s in enumerate(t["time_s"].tolist()):
        if i % 2 == 0:
            place = f"{t['latitude_deg'][i]:.7f} {t['longitude_deg'][i]:.7f} {t['altitude_ft'][i]:.1f} {speed[i]:.2f}"
            datagrams.append((time_s, f"PLACE {place}\n".encode()))
        air = f"{t['indicated_airspeed_kt'][i]:.2f} {t['heading_true_deg'][i]:.2f} {t['vertical_speed_fps'][i]:.2f}"
        datagrams.append((time_s, f"AIR {air}\n".encode()))
    verdict = identify(datagrams)
    layout = parse(layout_text(verdict, name="both"), origin="both.toml")

    assert {"PLACE", "AIR"} == {message.tag for message in layout.message}
    assert NEEDED | {"groundspeed_kt", "heading_true_deg"} <= {claim.field for claim in verdict.claims}


@pytest.mark.parametrize("pace", [4.0, 0.5])
@pytest.mark.parametrize(("kind", "seed"), [("headed", 12), ("json", 12), ("binary", 14)])
def test_another_pace_is_noticed(kind: str, seed: int, pace: float) -> None:
    """Played faster or slower than real time, a stream with a clock is worked out all the same, and it says so."""
    export = make(kind, swift(1), seed)
    played = replace(export, datagrams=[(time_s / pace, datagram) for time_s, datagram in export.datagrams])
    verdict = identify(played.datagrams)
    right = {claim.field for claim in verdict.written() if is_right(claim, export)}

    assert {"time_s"} | NEEDED <= right
    assert f"{pace:.3g} times as fast" in words(verdict)


@pytest.mark.parametrize(("kind", "seed"), [("text", 12), ("json", 12), ("binary", 14)])
def test_a_machine_that_stalls(kind: str, seed: int) -> None:
    """What waited while the machine did something else has the times at which it went on: the clock is found yet."""
    export = make(kind, swift(1), seed)
    stalls_s = [(begun_s, begun_s + 1.8) for begun_s in (14.0, 31.0, 55.0, 62.0)]
    late = [
        (next((end_s for begun_s, end_s in stalls_s if begun_s < time_s < end_s), time_s), datagram)
        for time_s, datagram in ((time_s - export.datagrams[0][0], datagram) for time_s, datagram in export.datagrams)
    ]
    right = {claim.field for claim in identify(late).written() if is_right(claim, export)}

    assert {"time_s"} | NEEDED <= right


def test_a_coarse_clock() -> None:
    """A clock that moves a quarter of a second at a time is a clock, and nothing fails over two equal times."""
    table = swift(4)
    speed = np.hypot(table["north_fps"], table["east_fps"])
    names = ("latitude_deg", "longitude_deg", "altitude_ft", "heading_true_deg", "vertical_speed_fps", "bank_deg")
    rows = rows_of(np.floor(table["time_s"] * 4.0) / 4.0, *(table[name] for name in names), speed)
    columns = {claim.field: claim.column.place["column"] for claim in identify(timed(table, rows)).written()}

    assert {"time_s": 0, "latitude_deg": 1, "longitude_deg": 2, "bank_deg": 6}.items() <= columns.items()


def test_a_counter_is_no_clock() -> None:
    """A column that counts datagrams runs as evenly as a clock; the movement says that it is none."""
    table = swift(4)
    count = np.arange(len(table["time_s"]), dtype=float)
    speed = np.hypot(table["north_fps"], table["east_fps"])
    names = ("latitude_deg", "longitude_deg", "altitude_ft", "heading_true_deg", "vertical_speed_fps")
    verdict = identify(timed(table, rows_of(count, *(table[name] for name in names), speed)))

    assert verdict.found()
    assert verdict.claim("time_s") is None
    assert pytest.approx(1.0) == verdict.pace


def test_without_a_clock_the_advice_names_the_pace() -> None:
    """Played four times as fast and without a clock in it, nothing can be told, and the advice is real speed."""
    table = swift(4)
    names = ("latitude_deg", "longitude_deg", "altitude_ft", "heading_true_deg", "indicated_airspeed_kt")
    datagrams = rows_of(*(table[name] for name in names))
    verdict = identify([(time_s / 4.0, row) for time_s, row in timed(table, datagrams)])

    assert not verdict.found()
    assert "at real speed" in words(verdict)
