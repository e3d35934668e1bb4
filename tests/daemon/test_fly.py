"""`otherseat fly` as people run it: what is wrong is said in one line, with exit code 2, before any socket opens."""

import socket
from pathlib import Path

import pytest
from click.testing import CliRunner

from otherseat.daemon.cli import cli
from otherseat.daemon.client import AskError
from otherseat.daemon.fly import unheard
from otherseat.daemon.messages import HealthMessage, Message, SourceHealth
from tests.daemon.crowd import LAYOUT, datagram
from tests.running import Daemon, in_here, otherseat, running

DEMO_PLAN = 'departure = "ZZKN/07"\ndestination = "ZZPS/27L"\n'
LABELS = b"<LABELS>Time, lat-geod-deg, long-gc-deg, h-sl-ft, v-north-fps, v-east-fps, psi-deg, wow\n"


def row(time_s: float, latitude_deg: float = -6.2, longitude_deg: float = -9.4, wow: int = 0) -> bytes:
    """Return one datagram as the flight model sends it: 2,000 ft up, 100 kt due east."""
    return f"{time_s}, {latitude_deg:.7f}, {longitude_deg:.7f}, 2000, 0, 168.78, 90, {wow}\n".encode()


@pytest.mark.parametrize(
    ("plan", "message"),
    [
        pytest.param('departur = "ZZKN/07"', "plan.toml: departur: no such key; did you mean departure?", id="key"),
        pytest.param(
            'departure = "ZZKN/08"', "plan.toml: departure: no such place: ZZKN/08; nearest: ZZKN/07", id="runway"
        ),
        pytest.param('destination = "ZZPX"', "plan.toml: destination: no such place: ZZPX; nearest: ZZPS", id="field"),
        pytest.param(
            'cruise_altitude_ft = "high"', 'plan.toml: cruise_altitude_ft: must be a number, was "high"', id="kind"
        ),
        pytest.param("path_angle_deg = 30", "plan.toml: path_angle_deg: must be at most 7.5, was 30", id="bounds"),
        pytest.param("departure = ", "plan.toml: is not TOML: Invalid value (at ", id="toml"),
    ],
)
def test_a_plan_that_is_no_use(tmp_path: Path, plan: str, message: str) -> None:
    """The line names the file, the key and the nearest valid choice."""
    file = tmp_path / "plan.toml"
    file.write_text(plan, encoding="utf-8")
    result = CliRunner().invoke(cli, ["fly", "--plan", str(file), "--voice", "none"])

    assert 2 == result.exit_code
    assert message in result.stderr
    assert 1 == len(result.stderr.strip().splitlines())
    assert "" == result.stdout


@pytest.mark.parametrize(
    ("settings", "message"),
    [
        pytest.param("[buss]", "settings.toml: buss: no such key; did you mean bus?", id="table"),
        pytest.param("[bus]\nfed = 1", "settings.toml: bus.fed: no such key; did you mean feed?", id="key"),
        pytest.param("[advisories.glidepat]", "no advisory is called glidepat", id="advisory"),
        pytest.param("[advisories.glidepath]\nhigh_dg = 1", "advisories.glidepath.high_dg", id="threshold"),
        pytest.param('[[source]]\nlayout = "jsbsin"', "no layout called 'jsbsin'; did you mean jsbsim?", id="layout"),
        pytest.param(
            '[[source]]\nadapter = "layouts"', "no adapter is called layouts; did you mean layout?", id="adapter"
        ),
    ],
)
def test_settings_that_are_no_use(tmp_path: Path, settings: str, message: str) -> None:
    """A misspelt table, key, advisory, threshold, layout or adapter is told with what was probably meant."""
    file = tmp_path / "settings.toml"
    file.write_text(settings, encoding="utf-8")
    result = CliRunner().invoke(cli, ["fly", "--settings", str(file), "--voice", "none"])

    assert 2 == result.exit_code
    assert message in result.stderr
    assert 1 == len(result.stderr.strip().splitlines())


def test_two_daemons_on_one_port() -> None:
    """The second one names the port and leaves with exit code 2."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
        ended = otherseat("fly", "--port", str(port), "--voice", "none", "--feed", "tcp://127.0.0.1:*")

    assert 2 == ended.returncode
    assert f"port {port}" in ended.stderr


def test_two_daemons_on_one_bus() -> None:
    """The address of the bus is named likewise, before what a voice may lack, but after a slip in what was typed."""
    with running() as first:
        slip = otherseat("fly", "--port", "0", "--feed", first.feed, "--voice", "bob")
        on_feed = otherseat("fly", "--port", "0", "--feed", first.feed, "--desk", "tcp://127.0.0.1:*")
        on_desk = otherseat("fly", "--port", "0", "--feed", "tcp://127.0.0.1:*", "--desk", first.desk)

    assert 2 == slip.returncode
    assert slip.stderr.startswith("otherseat: no voice is called 'bob'; nearest: ")
    assert 1 == len(slip.stderr.strip().splitlines())
    for ended, address in ((on_feed, first.feed), (on_desk, first.desk)):
        assert 2 == ended.returncode
        assert f"{address} is taken: is another otherseat running? --feed and --desk choose others" in ended.stderr
        assert 1 == len(ended.stderr.strip().splitlines())


@pytest.mark.parametrize(("name", "at"), [("FEED", "feed"), ("DESK", "desk")])
def test_the_environment_says_where_the_bus_stands(
    name: str, at: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """It stands where displays look for it: as an option says, else the environment, else the settings."""
    settings = tmp_path / "settings.toml"
    settings.write_text('[bus]\nfeed = "tcp://127.0.0.1:*"\ndesk = "tcp://127.0.0.1:*"\n', encoding="utf-8")
    with running() as first:
        monkeypatch.setenv(f"OTHERSEAT_{name}", getattr(first, at))
        ended = otherseat("fly", "--port", "0", "--voice", "none", "--settings", str(settings))
        with running() as second:  # with options
            told = (second.feed, second.desk)

    assert 2 == ended.returncode
    assert f"{getattr(first, at)} is taken" in ended.stderr
    assert not {first.feed, first.desk} & set(told)


def test_it_flies_on_through_bad_datagrams(tmp_path: Path) -> None:
    """Empty, truncated, over-long, wrongly encoded and impossible datagrams are counted by reason; good ones count."""
    plan = tmp_path / "plan.toml"
    plan.write_text(DEMO_PLAN, encoding="utf-8")
    bad = [b"", b"12,", b"\xff\xfe\x00\x01", b"x" * 60_000, row(1.0)[:-20], b"nan, nan, nan, nan, 0, 0, 0, 0\n"]
    bad += [row(2.0, latitude_deg=123.0), row(3.0, latitude_deg=float("inf"))]
    with running("--plan", str(plan)) as daemon, daemon.client() as client, client.subscribe("picture") as pictures:
        daemon.send([LABELS, *bad, *(row(10.0 + count / 10) for count in range(20))])
        seen = []
        while not seen or seen[-1].time_s < 11.85:
            got = pictures.receive(timeout_s=10.0)
            assert got, "no picture came"
            seen += got
        status = client.ask("status")
        printed = daemon.stop()

    assert "ZZPS/27L" == seen[-1].body.runway
    assert 29 == status.sources[0].datagrams
    assert {"empty", "wrong length", "can't be read", "wrong encoding"} & set(status.sources[0].refused)
    assert "For simulation and training only" in printed
    assert 0 == daemon.process.returncode


def test_a_stream_that_nobody_can_read_is_no_flight(tmp_path: Path) -> None:
    """Junk is counted and recorded nowhere, however long it comes; the flight that follows is one recording."""
    settings = tmp_path / "settings.toml"
    settings.write_text(f'[recorder]\nfolder = "{(tmp_path / "flights").as_posix()}"\n', encoding="utf-8")
    with (
        running("--settings", str(settings)) as daemon,
        daemon.client() as client,
        client.subscribe("health") as healths,
    ):
        heard = 0
        while heard < 3:  # as many heartbeats apart, so that the daemon has looked in between whether a flight is over
            daemon.send([b"what is this?"])
            got = healths.receive(timeout_s=10.0)
            assert got, "no heartbeat came"
            heard = got[-1].body.sources[0].datagrams
        before = list(tmp_path.glob("flights/*"))
        daemon.send([LABELS, *(row(10.0 + number / 10) for number in range(5))])
        with client.subscribe("picture") as pictures:
            assert pictures.receive(timeout_s=10.0)
        printed = daemon.stop()

    assert [] == before
    assert [f"recorded {path}" for path in tmp_path.glob("flights/*")] == [
        line for line in printed.splitlines() if line.startswith("recorded ")
    ]
    assert 1 == printed.count("recorded ")


def test_the_path_when_there_is_none(tmp_path: Path) -> None:
    """Asked for the path away from any approach, the answer is that, not that something is wrong with the data."""
    plan = tmp_path / "plan.toml"
    plan.write_text("cruise_altitude_ft = 3000\n", encoding="utf-8")
    with running("--plan", str(plan)) as daemon, daemon.client() as client:
        daemon.send([LABELS, *(row(10.0 + count / 10) for count in range(5))])
        with client.subscribe("picture") as pictures:
            assert pictures.receive(timeout_s=10.0)
        with pytest.raises(AskError, match="path: not on an approach now"):
            client.ask("ask", about="path")
        with pytest.raises(AskError, match="destination: the plan names none"):
            client.ask("ask", about="destination")
        with pytest.raises(
            AskError, match="airspeed: no true airspeed is sent, and for it the stream does not send an"
        ):
            client.ask("ask", about="airspeed")


def test_plan_acknowledge_mute_and_say_at_the_desk() -> None:
    """The desk shows and takes a plan, refuses one that names no place, and says no to what does not stand."""
    with running() as daemon, daemon.client() as client:
        daemon.send([LABELS, *(row(10.0 + count / 10) for count in range(5))])
        with client.subscribe("picture") as pictures:
            assert pictures.receive(timeout_s=10.0)
        client.ask("plan.set", plan={"destination": "ZZPS/09L"})
        plan = client.ask("plan.get")
        client.ask("mute", muted=True)
        status = client.ask("status")

        assert "ZZPS/09L" == plan.arrival.name
        assert status.muted
        for verb, fields, message in (
            ("plan.set", {"plan": {"destination": "ZZPX"}}, "no such place: ZZPX; nearest: ZZPS"),
            ("acknowledge", {"id": "nothing.1"}, "no alert nothing.1 stands"),
            ("say", {"aircraft": "nobody", "text": "hello"}, "no aircraft is called nobody; heard of: own"),
        ):
            with pytest.raises(AskError, match=message):
                client.ask(verb, **fields)


def test_silence_in_flight_is_an_alert() -> None:
    """Two seconds without a datagram in the air and the daemon says that it is blind; it ends when they come again."""
    with running() as daemon, daemon.client() as client, client.subscribe("alert") as alerts:
        daemon.send([LABELS, *(row(10.0 + count / 10) for count in range(20))])
        raised = alerts.receive(timeout_s=10.0)
        with pytest.raises(AskError, match="path: nothing that can be used comes from the simulator now"):
            client.ask("ask", about="path")
        daemon.send([row(12.0 + count / 10) for count in range(20)])
        cleared = alerts.receive(timeout_s=10.0)

    assert [("silence", "raised", "caution")] == [(m.body.alert, m.body.change, m.body.level.word) for m in raised]
    assert ["Simulator is silent. I am blind."] == [m.body.text for m in raised]
    assert [("silence", "cleared")] == [(m.body.alert, m.body.change) for m in cleared]


def test_data_that_cannot_be_read_is_no_silence() -> None:
    """Datagrams that come and can't be used leave the daemon as blind, and it does not say that nothing comes."""
    with running() as daemon, daemon.client() as client, client.subscribe("alert") as alerts:
        daemon.send([LABELS, *(row(10.0 + count / 10) for count in range(20))])
        raised: list[Message] = []
        while not raised:
            daemon.send([b"another format"])
            raised = alerts.receive(timeout_s=0.2)

    assert [("silence", "Simulator data is wrong. I am blind.")] == [(m.body.alert, m.body.text) for m in raised]


def test_what_is_not_heard_is_told() -> None:
    """Some seconds after the start: where to send, or what finds out the format; nothing once an aircraft is heard."""
    source = SourceHealth(name="jsbsim", adapter="layout", address="127.0.0.1:47800")
    health = HealthMessage(seat="here", version="0", uptime_s=5.0, sources=(source,))
    unusable = health.model_copy(update={"sources": (source.model_copy(update={"datagrams": 9}),)})

    assert "nothing has come yet: have the simulator send to 127.0.0.1:47800" in unheard(health)
    assert "`otherseat identify` finds out the format" in unheard(unusable)
    assert "" == unheard(unusable.model_copy(update={"aircraft": ("own",)}))


def read_until(daemon: Daemon, words: str) -> str:
    """Return what it prints up to these words, which its line breaks may part; fails when it ends without them."""
    assert daemon.process.stdout is not None
    printed = ""
    while words not in printed:
        line = daemon.process.stdout.readline()
        assert line, printed
        printed = " ".join([printed, *line.split()])
    return printed


def test_what_it_waits_for_and_what_a_stream_leaves_blind_is_told(tmp_path: Path) -> None:
    """Who waits for the simulator reads soon where it listens, and then which checks lack what the stream lacks."""
    layout = tmp_path / "flat.toml"
    kept = [line for line in LAYOUT.splitlines() if not line.startswith("altitude_ft")]
    layout.write_text("\n".join(kept), encoding="utf-8")
    with running("--layout", str(layout), "--no-recording") as daemon:
        read_until(daemon, f"have the simulator send to {daemon.udp[0]}:{daemon.udp[1]}")
        daemon.send([datagram(0, 0.2 * count, 0.0) for count in range(10)])  # the simulator is started later
        printed = read_until(daemon, "blind for want of altitude_ft:")
        printed += " " + " ".join(daemon.stop().split())

    blinded = printed.partition("for want of altitude_ft: ")[2].partition(" blind for")[0]
    assert {"altitude", "gates", "glidepath"} <= set(blinded.split(", "))


def test_a_layout_that_is_not_there() -> None:
    """Who misspells a layout's file is told where layouts come from."""
    ended = in_here("fly", "--layout", "nope.toml", "--voice", "none")

    assert 2 == ended.exit_code
    assert "nope.toml: no such file or directory; `otherseat layout list` names the packaged ones" in ended.stderr
