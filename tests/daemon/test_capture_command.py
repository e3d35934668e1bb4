"""The commands that look at a stream without flying on it: capture, resend, identify, layout check."""

import socket
import threading
from pathlib import Path
from typing import Any

import pytest
from click.testing import CliRunner

from otherseat.adapters.listener import Listener, Received
from otherseat.config.errors import ConfigError
from otherseat.daemon.capture_command import capture, resend
from otherseat.daemon.captures import CaptureWriter, read_capture
from otherseat.daemon.identify_command import MUTE_WAITS, flying, from_port, identify, said_once
from otherseat.daemon.layout_command import in_words, layout
from otherseat.daemon.listen import endpoint
from tests.adapters import streams
from tests.adapters.flown import flight
from tests.adapters.formats import make

DATAGRAMS = [b"a", b"", bytes(range(256)), b"z" * 1400]


@pytest.fixture
def captured(tmp_path: Path) -> Path:
    """Return a capture of a few datagrams, a tenth of a second apart."""
    path = tmp_path / "few.mcap"
    with CaptureWriter(path, source="test") as writer:
        for index, datagram in enumerate(DATAGRAMS):
            writer.write(Received(datagram, 1000.0 + index / 10.0, "127.0.0.1"))
    return path


def kept(folder: Path, datagrams: list[tuple[float, bytes]]) -> Path:
    """Return a capture of timed datagrams."""
    path = folder / "stream.mcap"
    with CaptureWriter(path, source="test") as writer:
        for time_s, datagram in datagrams:
            writer.write(Received(datagram, time_s, "127.0.0.1"))
    return path


def test_a_capture_keeps_bytes_and_times(captured: Path) -> None:
    """What was written is read back, in order, to the byte and the microsecond."""
    assert [(1000.0 + i / 10.0, d) for i, d in enumerate(DATAGRAMS)] == list(read_capture(captured))


def test_an_existing_file_is_not_overwritten(captured: Path) -> None:
    """A capture never writes over a file."""
    with pytest.raises(ConfigError, match="is there already"):
        CaptureWriter(captured, source="again")


def test_a_folder_where_a_file_is_wanted(tmp_path: Path) -> None:
    """A folder in place of a capture is told as one, for writing and for reading."""
    with pytest.raises(ConfigError, match="is a folder; name a file in it"):
        CaptureWriter(tmp_path, source="test")
    with pytest.raises(ConfigError, match="is a folder; a file is wanted"):
        list(read_capture(tmp_path))


def test_neither_file_nor_port() -> None:
    """What is neither a file nor a port is told as neither."""
    result = CliRunner().invoke(identify, ["none.mcap"])

    assert (2, "otherseat: none.mcap: no such file, and no port either; write 47800 or 127.0.0.1:47800\n") == (
        result.exit_code,
        result.stderr,
    )


def test_a_cut_capture_is_read_up_to_the_cut(captured: Path, tmp_path: Path) -> None:
    """A file that lost its end gives what was finished before; one that is none of ours says so."""
    cut = tmp_path / "cut.mcap"
    cut.write_bytes(captured.read_bytes()[:-300])
    other = tmp_path / "other.mcap"
    other.write_bytes(b"nothing of the kind")

    assert DATAGRAMS[0] == next(iter(read_capture(cut)))[1]
    with pytest.raises(ConfigError, match=r"other\.mcap"):
        list(read_capture(other))


def test_resend_sends_everything(captured: Path) -> None:
    """Every datagram of a capture arrives again, in order."""
    with Listener(port=0) as listener:
        result = CliRunner().invoke(resend, [str(captured), "--to", f"127.0.0.1:{listener.port}", "--speed", "100"])

        assert 0 == result.exit_code, result.output
        assert DATAGRAMS == [received.datagram for received in listener.drain()]


def test_capture_listens(tmp_path: Path) -> None:
    """What is sent to the port while it listens is in the file."""
    with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as free:
        free.bind(("127.0.0.1", 0))
        port = free.getsockname()[1]
    path, done = tmp_path / "live.mcap", threading.Event()

    def send() -> None:
        with socket.socket(socket.AF_INET, socket.SOCK_DGRAM) as out:
            while not done.wait(0.05):
                out.sendto(b"tick", ("127.0.0.1", port))

    sender = threading.Thread(target=send)
    sender.start()
    try:
        result = CliRunner().invoke(capture, [str(port), str(path), "--seconds", "1"])
    finally:
        done.set()
        sender.join()

    assert 0 == result.exit_code, result.output
    assert {b"tick"} == {datagram for _, datagram in read_capture(path)}


def test_a_capture_of_nothing_leaves_nothing(tmp_path: Path) -> None:
    """When nothing came there is no file, so that the same command can be given again."""
    path = tmp_path / "silent.mcap"
    results = [CliRunner().invoke(capture, ["0", str(path), "--seconds", "0.1"]) for _ in range(2)]

    assert [1, 1] == [result.exit_code for result in results]
    assert "nothing came" in results[1].stderr
    assert [] == list(tmp_path.iterdir())


@pytest.mark.parametrize(
    ("name", "problem"), [("none/a", "there is no folder"), ("kept", "is there already"), ("", "is a folder")]
)
def test_where_nothing_can_be_written(tmp_path: Path, name: str, problem: str) -> None:
    """No folder is made and no file written over, by capture or identify, and that is said before anybody flies."""
    (tmp_path / "kept").write_text("mine", encoding="utf-8")
    captured = CliRunner().invoke(capture, ["0", str(tmp_path / name), "--seconds", "0.1"])
    identified = CliRunner().invoke(identify, ["0", "--write", str(tmp_path / name)])

    for result in (captured, identified):
        assert 2 == result.exit_code
        assert problem in result.stderr
    assert "listening" not in identified.stdout
    assert ["kept"] == [path.name for path in tmp_path.iterdir()]
    assert "mine" == (tmp_path / "kept").read_text(encoding="utf-8")


@pytest.mark.parametrize("command", [[capture, "a.mcap"], [identify]])
def test_a_port_that_is_taken(command: list[Any], tmp_path: Path) -> None:
    """A command without --port does not advise it."""
    file = [str(tmp_path / name) for name in command[1:]]
    with Listener(port=0) as taken:
        result = CliRunner().invoke(command[0], [str(taken.port), *file])

    assert 2 == result.exit_code
    assert f"UDP port {taken.port} on 127.0.0.1 is taken by another program" in result.stderr
    assert "--port" not in result.stderr
    assert [] == list(tmp_path.iterdir())


def test_identify_says_that_nothing_comes(monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]) -> None:
    """When nothing at all comes for a while that is said, once; nothing is said of a pause between datagrams."""
    monkeypatch.setattr("otherseat.daemon.listen.PATIENCE_S", 1e-4)
    from_port("0", seconds=1.0)
    paused = said_once("here", [b"one came"])
    for _ in range(2 * MUTE_WAITS):
        paused()
    told = capsys.readouterr().out

    assert 1 == told.count("nothing has come to 127.0.0.1:")
    assert "nothing has come to here" not in told


def test_the_preview_reaches_from_the_first_to_the_last(tmp_path: Path) -> None:
    """The preview's rows are the first state, one in the middle and the last, with attitude where it is known."""
    table = flight(1)
    found = CliRunner().invoke(identify, [str(kept(tmp_path, make("text", table, 13).datagrams))])
    lines = [line for line in found.output.splitlines() if line.startswith("  latitude_deg ")]

    assert 3 == len(lines)
    for place in (0, -1):
        assert f"latitude_deg {table['latitude_deg'][place]:.5g}," in lines[place]
    assert "heading_true_deg" in lines[0]
    assert "bank_deg" in lines[0]
    assert "vertical_speed_fpm" in lines[0]
    assert "columns count from 0" in found.output


def test_identify_writes_a_layout_that_checks(tmp_path: Path) -> None:
    """From a capture to a layout file to its check against the same capture, with the commands alone."""
    path = kept(tmp_path, make("binary", flight(1), 13).datagrams)
    target = tmp_path / "mysim.toml"
    found = CliRunner().invoke(identify, [str(path), "--write", str(target)])
    checked = CliRunner().invoke(layout, ["check", str(target), "--against", str(path)])

    assert 0 == found.exit_code, found.output
    assert "Sure of:" in found.output
    assert "Preview" in found.output
    assert 0 == checked.exit_code, checked.output
    assert "latitude_deg" in checked.output


@pytest.mark.parametrize(
    ("endpoint", "command"),
    [
        ("50123", "otherseat fly --port 50123 --layout my.toml"),
        ("0.0.0.0:50123", "otherseat fly --port 50123 --address 0.0.0.0 --layout my.toml"),
        ("[::1]:50123", "otherseat fly --port 50123 --address ::1 --layout my.toml"),
        (None, "otherseat fly --layout my.toml"),
    ],
)
def test_identify_ends_with_the_command_that_flies(endpoint: str | None, command: str) -> None:
    """The command to go on with listens where the stream was heard."""
    assert command == flying(endpoint, Path("my.toml"))


def test_identify_of_nothing_says_so(tmp_path: Path) -> None:
    """A stream without an aircraft ends with exit code 1 and writes no file."""
    path = kept(tmp_path, [(i / 30.0, b"the same words") for i in range(900)])
    target = tmp_path / "none.toml"
    result = CliRunner().invoke(identify, [str(path), "--write", str(target)])

    assert 1 == result.exit_code
    assert "Nothing found" in result.output
    assert not target.exists()


def test_a_bad_layout_is_one_line(tmp_path: Path) -> None:
    """The check of a layout with a mistake names file and line."""
    target = tmp_path / "bad.toml"
    target.write_text(
        'name = "bad"\nkind = "text"\n[[message]]\n[message.fields]\naltitud_ft = { column = 1 }\n', encoding="utf-8"
    )
    result = CliRunner().invoke(layout, ["check", str(target)])

    assert 2 == result.exit_code
    assert "line 5" in result.output
    assert "did you mean altitude_ft" in result.output


def test_packaged_layouts_are_listed_and_fine(tmp_path: Path) -> None:
    """Every packaged layout is listed, and the flight model's own reads its text."""
    path = kept(tmp_path, streams.jsbsim(streams.rows({n: v[:600] for n, v in flight(0).items()})))
    listed = CliRunner().invoke(layout, ["list"])
    checked = CliRunner().invoke(layout, ["check", "jsbsim", "--against", str(path)])

    assert "jsbsim:" in listed.output
    assert "101 datagrams, 100 states" in checked.output
    assert 1 == checked.output.count("aircraft own")  # what stays as it was is not shown again


def test_what_is_refused_stands_at_the_end_alone(tmp_path: Path) -> None:
    """The check tells at its end what it could not read and how often, and no line of the log tells it before."""
    path = kept(tmp_path, [(float(second), b"no header") for second in range(5)])
    checked = CliRunner().invoke(layout, ["check", "jsbsim", "--against", str(path)])

    assert "5 datagrams, 0 states\n  5 refused, " in checked.stdout
    assert "" == checked.stderr


MINE = """
name = "mine"
kind = "pairs"
[[message]]
[message.fields]
latitude_deg = { key = "p.a" }
longitude_deg = { key = "p.b" }
altitude_ft = { key = "p.c" }
"""


@pytest.mark.parametrize(
    ("right", "wrong", "told", "exit_code"),
    [
        ("p.c", "p.c", [], 0),
        ("p.c", "p.cc", ["  altitude_ft: key p.cc was in none of 2 datagrams; there is p.c"], 0),
        ("p.b", "p.bb", ["  longitude_deg: key p.bb was in none of 2 datagrams; there is p.b"], 1),
    ],
)
def test_a_slip_in_a_layout(tmp_path: Path, right: str, wrong: str, told: list[str], exit_code: int) -> None:
    """A field whose key never comes is named; that is an error where it leaves no position."""
    target = tmp_path / "mine.toml"
    target.write_text(MINE.replace(right, wrong), encoding="utf-8")
    path = kept(tmp_path, [(1.0, b"p.a=10,p.b=20,p.c=3000"), (2.0, b"p.a=10,p.b=20,p.c=3000")])
    checked = CliRunner().invoke(layout, ["check", str(target), "--against", str(path)])
    lines = checked.output.splitlines()

    assert exit_code == checked.exit_code
    assert told == lines[lines.index("2 datagrams, 2 states") + 1 :]


def test_values_in_words() -> None:
    """Whatever kind a value is, it is shown as a person writes it; what is not known is left out."""
    values = {"altitude_ft": 1_234.56789, "computed": ("track_true_deg", "wind"), "paused": None, "aircraft": "own"}

    assert {"altitude_ft": "1234.57", "computed": "track_true_deg and wind", "aircraft": "own"} == in_words(values)


def test_endpoints() -> None:
    """A port alone is on this machine; an address may stand before it."""
    assert ("127.0.0.1", 47800) == endpoint("47800")
    assert ("::1", 1) == endpoint("[::1]:1")
    with pytest.raises(ConfigError, match="is no port"):
        endpoint("over there")
