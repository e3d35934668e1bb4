"""A flight captured on its way past the daemon and sent again into another: both say the same."""

from pathlib import Path
from time import monotonic

from click.testing import CliRunner

from otherseat.adapters.listener import Listener
from otherseat.daemon.capture_command import resend
from otherseat.daemon.captures import CaptureWriter, read_capture
from otherseat.daemon.flight_model.recording import read_recording
from otherseat.daemon.recording import Channel, Recording
from tests.running import PATIENCE_S, Daemon, running

DATAGRAMS = Path(__file__).parent.parent / "flights" / "demo.txt.gz"
PLAN = Path(__file__).parent.parent.parent / "config" / "plans" / "demo.toml"
ROWS = 1_400
"""Up to the passed destination's caution."""
A_FEW = 40


def settings_in(folder: Path, forward_to: int | None = None) -> Path:
    """Write settings that record into the folder and hand datagrams on to a port."""
    path = folder / "settings.toml"
    on = f'also_send_to = ["127.0.0.1:{forward_to}"]\n' if forward_to else ""
    text = (
        f"[[source]]\nadapter = 'layout'\nlayout = 'jsbsim'\nport = 0\n{on}[recorder]\nfolder = '{folder.as_posix()}'\n"
    )
    path.write_text(text, encoding="utf-8")
    return path


def alerts_in(folder: Path) -> list[tuple[object, ...]]:
    """Return every change of an alert that the daemon recorded, with the simulator's time."""
    (path,) = folder.glob("*.mcap")
    bodies = [entry.body for entry in Recording.open(path).entries((Channel.ALERT,))]
    return [(body["id"], body["level"], body.get("time_s"), body.get("text")) for body in bodies]


def wait_for(daemon: Daemon, datagrams: int) -> None:
    """Wait until the daemon has taken in so many datagrams."""
    end_s = monotonic() + PATIENCE_S
    with daemon.client() as client:
        while client.ask("status").sources[0].datagrams < datagrams:
            assert monotonic() < end_s, "the daemon fell silent"


def test_captured_and_sent_again(tmp_path: Path) -> None:
    """The alerts of a captured flight, sent again into a fresh daemon, are those of the flight itself, to the bit."""
    live, again = tmp_path / "live", tmp_path / "again"
    live.mkdir()
    again.mkdir()
    label, *rows = read_recording(DATAGRAMS)
    capture = tmp_path / "flight.mcap"
    with Listener(port=0) as tap, CaptureWriter(capture, source="tap") as writer:
        settings = settings_in(live, tap.port)
        with running("--plan", str(PLAN), "--settings", str(settings)) as daemon:
            daemon.send([label])
            for first in range(0, ROWS, A_FEW):
                daemon.send(rows[first : first + A_FEW])
                wait_for(daemon, 1 + first + A_FEW)
                for received in tap.drain():
                    writer.write(received)
            daemon.stop()
    with running("--plan", str(PLAN), "--settings", str(settings_in(again))) as daemon:
        result = CliRunner().invoke(resend, [str(capture), "--to", f"127.0.0.1:{daemon.udp[1]}"])
        wait_for(daemon, 1 + ROWS)
        daemon.stop()

    assert f"sent {ROWS + 1} datagrams" in result.output
    assert ROWS + 1 == len(list(read_capture(capture)))
    assert alerts_in(live)
    assert alerts_in(live) == alerts_in(again)
