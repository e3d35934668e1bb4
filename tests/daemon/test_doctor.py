"""`doctor` and `status`: what they say when all is well and when it is not."""

import socket
import threading
import time
from pathlib import Path
from types import SimpleNamespace

import miniaudio
import platformdirs
import pytest

from otherseat.adapters.adapter import Reason
from otherseat.config.settings import read_settings
from otherseat.daemon.client import Client
from otherseat.daemon.discretion import Discretion
from otherseat.daemon.doctor import _voice
from otherseat.daemon.doctor_asks import Told, say_told
from otherseat.daemon.messages import HealthMessage, SourceHealth
from otherseat.daemon.source_words import QUIET_S, SEVERAL, deaf
from otherseat.daemon.tune import MEANING
from otherseat.daemon.voice.player import NO_DEVICE
from tests.daemon.crowd import LAYOUT
from tests.daemon.test_fly import DEMO_PLAN, LABELS, row
from tests.faults.rig import row as crowd_row
from tests.running import in_here, otherseat, running


def test_status_without_a_daemon() -> None:
    """No daemon is a line that says how to start one, and exit code 1."""
    ended = in_here("status", "--desk", "tcp://127.0.0.1:9")

    assert 1 == ended.exit_code
    assert "start one with `otherseat fly`" in ended.stderr


def test_the_environment_says_where_the_desk_is(monkeypatch: pytest.MonkeyPatch) -> None:
    """Without an option a command asks the desk that OTHERSEAT_DESK names, as displays do."""
    with running() as daemon:
        monkeypatch.setenv("OTHERSEAT_DESK", daemon.desk)
        ended = in_here("status")

    assert 0 == ended.exit_code
    assert f"{daemon.udp[0]}:{daemon.udp[1]}: 0 datagrams" in ended.stdout


def test_status_of_a_daemon() -> None:
    """It tells where the daemon listens and how much came."""
    with running() as daemon:
        ended = otherseat("status", "--desk", daemon.desk)

    assert 0 == ended.returncode
    assert f"{daemon.udp[0]}:{daemon.udp[1]}: 0 datagrams" in ended.stdout
    assert "aircraft: none yet" in ended.stdout


def wait_until(client: Client, verbosity: str) -> None:
    """Wait until the daemon tells that so much is said of its aircraft: it does when it next looks, not at once."""
    with client.subscribe("standing") as standing:
        told: list[str] = []
        while verbosity not in told:
            got = standing.receive(timeout_s=10.0)
            assert got, "nothing was told of any aircraft"
            told = [message.body.verbosity.value for message in got]


def test_status_tells_how_much_is_said() -> None:
    """For each aircraft it tells the verbosity in force and the checks that an order switched off."""
    with running() as daemon, daemon.client() as client:
        daemon.send([LABELS, row(10.0)])
        wait_until(client, "normal")
        before = in_here("status", "--desk", daemon.desk).stdout
        in_here("tune", "--say", "quiet", "--off", "altitude", "--desk", daemon.desk)
        wait_until(client, "quiet")
        after = in_here("status", "--desk", daemon.desk).stdout

    assert f"own: normal ({MEANING['normal']})" in before
    assert "off: " not in before
    assert f"own: quiet ({MEANING['quiet']})\n  off: altitude, switched off" in after


def nobodys_bus(tmp_path: Path) -> str:
    """Return a settings file with bus addresses where no daemon is."""
    file = tmp_path / "settings.toml"
    file.write_text('[bus]\nfeed = "tcp://127.0.0.1:8"\ndesk = "tcp://127.0.0.1:9"\n', encoding="utf-8")
    return str(file)


def test_doctor_hears_a_stream_and_says_which_advisories_are_live(tmp_path: Path) -> None:
    """Without a daemon it listens itself, and names what arrives, what is missing and what that leaves live."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    done = threading.Event()

    def simulate() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            count = 0
            while not done.wait(0.05):
                out.sendto(LABELS, ("127.0.0.1", port))
                out.sendto(row(10.0 + count / 20), ("127.0.0.1", port))
                count += 1

    simulator = threading.Thread(target=simulate)
    simulator.start()
    try:
        ended = otherseat("doctor", "--port", str(port), "--seconds", "3", "--settings", nobodys_bus(tmp_path))
    finally:
        done.set()
        simulator.join()

    assert "fine  settings" in ended.stdout
    assert f"fine  UDP 127.0.0.1:{port}" in ended.stdout
    assert "missing:" in ended.stdout
    assert "checks at work now: " in ended.stdout
    assert "wait for their moment, such as a runway or a plan: " in ended.stdout
    assert "blind for want of heading_bug_deg: heading-bug" in ended.stdout
    assert "lacks" not in ended.stdout
    assert "simulation and training only" in ended.stdout


def test_doctor_hears_nothing(tmp_path: Path, port: int) -> None:
    """A silent port is named as what is wrong, with exit code 1."""
    ended = in_here("doctor", "--port", str(port), "--seconds", "0.3", "--settings", nobodys_bus(tmp_path))

    assert 1 == ended.exit_code
    assert f"WRONG UDP 127.0.0.1:{port}: nothing has come" in ended.stdout


def test_doctor_asks_the_desk_that_is_named(monkeypatch: pytest.MonkeyPatch) -> None:
    """Options name feed and desk, and so do OTHERSEAT_FEED and OTHERSEAT_DESK."""
    with running() as daemon:
        by_option = in_here("doctor", "--feed", daemon.feed, "--desk", daemon.desk)
        monkeypatch.setenv("OTHERSEAT_FEED", daemon.feed)
        monkeypatch.setenv("OTHERSEAT_DESK", daemon.desk)
        by_environment = in_here("doctor")

    for ended in (by_option, by_environment):
        assert f"fine  a daemon answers at {daemon.desk}" in ended.stdout
        assert f"WRONG jsbsim at {daemon.udp[0]}:{daemon.udp[1]}: nothing has come" in ended.stdout


def test_doctor_tells_what_the_daemon_has(tmp_path: Path) -> None:
    """Plan and sources are the daemon's own; what is named and is something else is told, and nothing else is."""
    mine, other = tmp_path / "mine.toml", tmp_path / "other.toml"
    mine.write_text(DEMO_PLAN, encoding="utf-8")
    other.write_text(DEMO_PLAN.replace("27L", "27R"), encoding="utf-8")
    with running("--plan", str(mine)) as daemon:
        bus = ["--feed", daemon.feed, "--desk", daemon.desk]
        alone = in_here("doctor", *bus).stdout
        same = ["--plan", str(mine), "--port", str(daemon.udp[1]), "--layout", "jsbsim"]
        as_named = in_here("doctor", *bus, *same).stdout
        differs = in_here("doctor", *bus, "--plan", str(other), "--port", "47999").stdout
        other_layout = in_here("doctor", *bus, "--layout", "mine.toml").stdout
        missing = in_here("doctor", *bus, "--plan", str(tmp_path / "none.toml")).stdout

    reads = f"and the daemon reads jsbsim at 127.0.0.1:{daemon.udp[1]}"
    for told in (alone, as_named, differs, other_layout):
        assert "fine  plan of own: ZZKN/07 to ZZPS/27L" in told
        assert f"source jsbsim at 127.0.0.1:{daemon.udp[1]}: 0 datagrams" in told
    for told in (alone, as_named):
        assert "you name" not in told
    assert "      plan: you name ZZKN/07 to ZZPS/27R; own has another destination" in differs
    assert f"WRONG source: you name port 47999, {reads}" in differs
    assert f"WRONG source: you name mine.toml, {reads}" in other_layout
    assert "WRONG plan: " in missing


def test_doctor_tells_what_was_ordered_in_flight() -> None:
    """The plan and the verbosity that are told are those of now, and not those with which the daemon began."""
    with running() as daemon, daemon.client() as client:
        before = in_here("doctor", "--feed", daemon.feed, "--desk", daemon.desk).stdout
        daemon.send([LABELS, row(10.0)])
        wait_until(client, "normal")
        client.ask("plan.line", line="ZZKN/07 > ZZPS/27L")
        client.ask("tune", verbosity="quiet")
        wait_until(client, "quiet")
        told = in_here("doctor", "--feed", daemon.feed, "--desk", daemon.desk).stdout

    assert "fine  plan of own: none; the runway that you track to will do" in before
    assert "fine  plan of own: ZZKN/07 to ZZPS/27L" in told
    assert f"own: quiet ({MEANING['quiet']})" in told


def test_what_the_settings_have_is_told_where_it_differs(tmp_path: Path) -> None:
    """A source of a settings file that is not the daemon's is told, and is no fault: the file may be another day's."""
    file = tmp_path / "settings.toml"
    with running() as daemon:
        bus = f'[bus]\nfeed = "{daemon.feed}"\ndesk = "{daemon.desk}"\n[[source]]\nlayout = "jsbsim"\nport = '
        file.write_text(f"{bus}{daemon.udp[1]}\n", encoding="utf-8")
        same = in_here("doctor", "--settings", str(file)).stdout
        file.write_text(f"{bus}47999\n", encoding="utf-8")
        differs = in_here("doctor", "--settings", str(file)).stdout

    assert "the settings have" not in same
    assert "      source: the settings have port 47999 with jsbsim, and the daemon reads jsbsim at" in differs


def test_a_daemon_that_nobody_hears() -> None:
    """A voice without a device is wrong also when the daemon runs, as its health has it; a silent one is meant."""

    def said(voice: str) -> list[str]:
        told = Told(health=HealthMessage(seat="seat", version="0", uptime_s=1.0, voice=voice), plans={}, standings=[])
        return [line for line in say_told(told, settings=read_settings(), discretion=Discretion()) if "WRONG" in line]

    assert [] == said("none")
    assert ["WRONG voice: nothing is heard of it; if that is meant, `otherseat fly --voice none`"] == [
        line.partition(", or ")[0] for line in said(f"espeak {NO_DEVICE}")
    ]


def test_the_daemon_s_device_is_nobody_s_business(monkeypatch: pytest.MonkeyPatch) -> None:
    """The name of the device that the daemon speaks to is taken out of what it says of its voice."""
    found = SimpleNamespace(backend="ALSA", get_playbacks=lambda: [{"name": "Annas Buds"}])
    monkeypatch.setattr(miniaudio, "Devices", lambda: found)
    health = HealthMessage(seat="seat", version="0", uptime_s=1.0, voice="espeak Annas Buds")
    told, discretion = Told(health=health, plans={}, standings=[]), Discretion()
    lines = [discretion.of(line) for line in say_told(told, settings=read_settings(), discretion=discretion)]

    assert "      voice: espeak <device>" in lines


def test_waiting_for_the_header_line() -> None:
    """A daemon that came too late for the line that names the columns says what it waits for, and so does doctor."""
    with running() as daemon, daemon.client() as client:
        daemon.send([row(10.0)])
        while not client.ask("status").sources[0].datagrams:
            pass
        told = in_here("status", "--desk", daemon.desk).stdout
        examined = in_here("doctor", "--feed", daemon.feed, "--desk", daemon.desk).stdout
        daemon.send([LABELS, row(11.0)])
        while not client.ask("status").sources[0].states:
            pass
        well = in_here("status", "--desk", daemon.desk).stdout

    assert "waiting for the header line that names the columns" in told
    assert "WRONG jsbsim at" in examined
    assert "waiting for the header line that names the columns" in examined
    assert "that names the columns" not in well


@pytest.mark.parametrize(
    ("address", "where"), [("127.0.0.1:50123", "50123"), ("0.0.0.0:50123", "0.0.0.0:50123"), ("::1:50123", "::1:50123")]
)
@pytest.mark.parametrize("reason", [Reason.HEADER, Reason.FOREIGN])
def test_another_format_is_thought_of(reason: Reason, address: str, where: str) -> None:
    """One datagram that can't be used is an accident; after several the way to find out the format is told."""

    def said(count: int) -> str:
        refused = {reason.value: count, Reason.EMPTY.value: 1}
        return deaf(SourceHealth(name="sim", adapter="layout", address=address, datagrams=count, refused=refused))

    assert "identify" not in said(SEVERAL - 1)
    assert f"`otherseat identify {where}` finds out" in said(SEVERAL)


@pytest.mark.parametrize(
    ("age_s", "refused", "expected"),
    [
        (1.0, {"empty": 1}, ""),
        (9.0, {}, "nothing that can be used comes any more: does the simulator still send?"),
        (
            9.0,
            {Reason.FOREIGN.value: 40},
            "nothing that can be used comes any more: does the simulator still send, and the same format?",
        ),
    ],
)
def test_a_source_that_was_heard_and_is_no_more(age_s: float, refused: dict[str, int], expected: str) -> None:
    """States that came once are no comfort when none have come for seconds, be it silence or another format."""
    health = SourceHealth(
        name="sim", adapter="layout", address="127.0.0.1:1", datagrams=90, states=50, refused=refused, age_s=age_s
    )

    assert expected == deaf(health)


def test_doctor_says_that_a_daemon_has_gone_blind() -> None:
    """An aircraft that was heard in flight and is not heard any more is something wrong: exit code 1."""
    with running() as daemon, daemon.client() as client:
        daemon.send([LABELS, *(row(10.0 + count / 10) for count in range(20))])
        while not client.ask("status").silent:
            time.sleep(0.1)
        while not (age_s := client.ask("status").sources[0].age_s) or age_s < QUIET_S:
            time.sleep(0.1)
        ended = otherseat("doctor", "--feed", daemon.feed, "--desk", daemon.desk)

    assert 1 == ended.returncode
    assert "WRONG jsbsim at" in ended.stdout
    assert "does the simulator still send?" in ended.stdout


def test_a_port_that_is_taken(tmp_path: Path) -> None:
    """Without a daemon to ask, a port that another program has is told in words, not as the system's number."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as taken:
        taken.bind(("127.0.0.1", 0))
        port = taken.getsockname()[1]
        ended = in_here("doctor", "--port", str(port), "--settings", nobodys_bus(tmp_path))

    assert f"WRONG source: UDP port {port} on 127.0.0.1 is taken by another program" in ended.stdout
    assert "Errno" not in ended.stdout


def voices(monkeypatch: pytest.MonkeyPatch, *names: str) -> list[str]:
    """Return what is said of the voice when the audio library lists these devices."""
    found = SimpleNamespace(backend="ALSA", get_playbacks=lambda: [{"name": name} for name in names])
    monkeypatch.setattr(miniaudio, "Devices", lambda: found)
    return list(_voice(read_settings(), Discretion()))


def test_a_device_that_nobody_hears(monkeypatch: pytest.MonkeyPatch) -> None:
    """The sound library's device for no sound at all is none; one and several are counted as they should be."""
    nobody = "Discard all samples (playback) or generate zero samples (capture)"

    assert "WRONG voice: espeak, but nothing would be heard: no audio device" in voices(monkeypatch, nobody)[0]
    assert "`otherseat fly --voice none`" in voices(monkeypatch, nobody)[0]
    assert ["fine  voice: espeak; 1 audio device"] == voices(monkeypatch, nobody, "Buds")
    assert ["fine  voice: espeak; 2 audio devices"] == voices(monkeypatch, "Buds", "Speakers")


def test_the_report_is_fit_for_others(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """No name of a person, machine, seat, aircraft or device and no home folder is in the report; no key either."""
    home = tmp_path / "home" / "annabella"
    home.mkdir(parents=True)
    (home / "mine.toml").write_text("[bux]\n", encoding="utf-8")
    monkeypatch.setenv("XDG_CACHE_HOME", platformdirs.user_cache_dir())  # the runways that are worked out already
    for name in ("HOME", "USERPROFILE"):
        monkeypatch.setenv(name, str(home))
    for name in ("USER", "LOGNAME", "USERNAME"):
        monkeypatch.setenv(name, "annabella")
    layout = home / "named.toml"
    layout.write_text(LAYOUT, encoding="utf-8")
    settings = home / "seat.toml"
    settings.write_text('[bus]\nname = "annas-desk"\n', encoding="utf-8")
    with running("--settings", str(settings), "--layout", str(layout)) as daemon, daemon.client() as client:
        daemon.send([crowd_row("N-ANNA", 1.0, past_nm=-5.0)])
        while not client.ask("status").aircraft:
            pass
        asked = otherseat("doctor", "--feed", daemon.feed, "--desk", daemon.desk)
    broken = otherseat("doctor", "--settings", str(home / "mine.toml"), "--seconds", "0.1", "--port", "47999")
    report = (asked.stdout + asked.stderr + broken.stdout + broken.stderr).lower()

    assert "~" in broken.stdout
    assert "<seat>" in asked.stdout
    assert "<aircraft>" in asked.stdout
    for private in ("anna", str(tmp_path).lower(), socket.gethostname().lower()):
        assert private not in report
