"""The recorder: what it keeps, what a kill loses, and that no trouble reaches the loop."""

import multiprocessing
import random
import subprocess
import sys
import time
from pathlib import Path

import pytest

from otherseat.advisories.state import State
from otherseat.daemon.messages import PlanMessage
from otherseat.daemon.recorder import Recorder
from otherseat.daemon.recording import Channel, Recording
from otherseat.daemon.recording_bodies import airfield_of, alert_of, call_of, plan_of, state_of
from otherseat.daemon.recordings_folder import recordings
from tests.daemon.flights import high_final
from tests.daemon.killed import record_until_killed
from tests.scripted import final, make_plan, make_table


def test_round_trip(tmp_path: Path) -> None:
    """States, plan, airfields, alerts and calls come back as the objects that went in, in their order."""
    recording = Recording.open(high_final(tmp_path / "a.mcap"))
    entries = list(recording.entries())
    of = {channel: [e.body for e in entries if e.channel is channel] for channel in Channel}

    assert recording.damage is None
    assert [0.0, 0.25, 0.5] == [state_of(body).time_s for body in of[Channel.STATE][:3]]
    assert plan_of(of[Channel.PLAN][0]).arrival == make_table().end("ZZBB/09L")
    assert {"ZZAA", "ZZBB"} == {airfield_of(body).ident for body in of[Channel.AIRFIELD]}
    assert "glidepath-high" in {alert_of(body).alert for body in of[Channel.ALERT]}
    assert "glidepath-high" in {call_of(body).phrase for body in of[Channel.CALL]}
    assert {"otherseat", "python", "system", "schema"} <= set(recording.session)


def test_datagrams_orders_and_notes(tmp_path: Path) -> None:
    """Raw datagrams, orders and notes are kept as they are."""
    recorder = Recorder(tmp_path / "a.mcap")
    recorder.datagram(source="sim", received_s=12.5, data=b"\x00\xff")
    recorder.order("acknowledge", alert_id="glidepath-low.1", time_s=3.0)
    recorder.note(pilot="A. Person")
    recorder.close()

    assert [
        {"source": "sim", "received_s": 12.5, "data": b"\x00\xff"},
        {"verb": "acknowledge", "alert_id": "glidepath-low.1", "time_s": 3.0},
        {"pilot": "A. Person"},
    ] == [entry.body for entry in Recording.open(tmp_path / "a.mcap").entries()]


def killed(paths: list[Path], *, random_: random.Random) -> list[float]:
    """Record to every path at once, kill each at a random moment, and return the wall clock of each kill."""
    methods = multiprocessing.get_all_start_methods()
    context = multiprocessing.get_context("forkserver" if "forkserver" in methods else "spawn")
    context.set_forkserver_preload(["tests.daemon.killed"])
    children = [context.Process(target=record_until_killed, args=(str(path),), daemon=True) for path in paths]
    for child in children:
        child.start()
    while not all(path.exists() for path in paths):
        time.sleep(0.02)
    moments = []
    for child in children:
        time.sleep(random_.uniform(0.05, 0.4) + (0.7 if not moments else 0.0))
        moments.append(time.time())
        child.kill()
    for child in children:
        child.join()
    return moments


def test_killed(tmp_path: Path) -> None:
    """After kill -9 the file opens, and what it holds runs from the first state without a gap."""
    paths = [tmp_path / f"{count}.mcap" for count in range(5)]
    killed(paths, random_=random.Random(1))

    for path in paths:
        times = [entry.body["time_s"] for entry in Recording.open(path).entries([Channel.STATE])]
        assert times
        assert [float(number) for number in range(len(times))] == times


@pytest.mark.long
def test_killed_twenty_times_loses_a_second_at_most(tmp_path: Path) -> None:
    """Killed at 20 random moments, all 20 open, and the newest message is at most a second old."""
    paths = [tmp_path / f"{count}.mcap" for count in range(20)]
    moments: list[float] = []
    for first in range(0, 20, 4):
        moments += killed(paths[first : first + 4], random_=random.Random(first))

    lost_s = [
        moment - max(entry.logged_s for entry in Recording.open(path).entries())
        for path, moment in zip(paths, moments, strict=True)
    ]
    print("lost, s:", " ".join(f"{lost:.2f}" for lost in sorted(lost_s)))  # noqa: T201 - the figure is the point
    assert max(lost_s) <= 1.0


def test_no_permission_is_said_once(tmp_path: Path) -> None:
    """A folder that can't be made stops the recording, not the caller."""
    (tmp_path / "file").write_text("in the way", encoding="utf-8")
    recorder = Recorder(tmp_path / "file" / "a.mcap", period_s=0.01)
    recorder._thread.join()
    for number in range(100):
        recorder.state(State(time_s=float(number)))
    recorder.close()

    assert recorder.trouble is not None
    assert recorder.trouble.startswith("not recording: ")
    assert not recorder.recording
    assert len(recorder._queue) == 0


FULL_DISK = """
import resource, signal, sys
from pathlib import Path
signal.signal(signal.SIGXFSZ, signal.SIG_IGN)
resource.setrlimit(resource.RLIMIT_FSIZE, (20_000, 20_000))
import random
from otherseat.daemon.messages import PlanMessage
from otherseat.daemon.recorder import Recorder
recorder = Recorder(Path(sys.argv[1]), period_s=0.02)
while recorder.recording:
    recorder.datagram(source="sim", received_s=0.0, data=random.randbytes(200))
    recorder._closing.wait(0.001)
recorder.close()
print(recorder.trouble)
"""


@pytest.mark.skipif(sys.platform == "win32", reason="file size limits are POSIX")
def test_full_disk_is_said_once_and_the_file_opens(tmp_path: Path) -> None:
    """When the disk takes no more, recording ends with a reason, and what was written can be read."""
    path = tmp_path / "full.mcap"
    done = subprocess.run(
        [sys.executable, "-c", FULL_DISK, str(path)], check=True, capture_output=True, text=True, timeout=60
    )
    recording = Recording.open(path)

    assert "not recording: file too large" in done.stdout
    assert done.stdout.count("trouble=") == 1
    assert len(list(recording.entries())) > 20


def test_slow_disk_drops_and_says_so(tmp_path: Path) -> None:
    """When the queue is full, new items are dropped and counted; the loop goes on."""
    recorder = Recorder(tmp_path / "a.mcap", period_s=30.0, queue_items=10)
    for number in range(25):
        recorder.state(State(time_s=float(number)))
    recorder.close()

    assert recorder.dropped == 15
    assert recorder.trouble == "the disk is too slow: 15 messages were not recorded"
    assert len(list(Recording.open(recorder.path).entries())) == 10


def test_no_room_ends_it(tmp_path: Path) -> None:
    """What the keeper of the folder says ends the recording."""
    recorder = Recorder(tmp_path / "a.mcap", period_s=0.01, room=lambda _, size: "no room" if size > 0 else None)
    recorder._thread.join()

    assert recorder.trouble == "not recording: no room"


def test_days_on_end_are_many_files(tmp_path: Path) -> None:
    """After so many chunks another file begins, which stands alone: it has the plan and the airfields, too."""
    runways = make_table()
    plan = make_plan(runways)
    assert plan.arrival is not None
    recorder = Recorder(tmp_path / "flight-20260304-050607.mcap", runways=runways, period_s=0.01, chunks_a_file=5)
    recorder.plan(PlanMessage.of(aircraft="own", resolved=plan))
    sent = []
    for state in final(end=plan.arrival, distance_nm=5.0, seconds=60.0):
        recorder.state(state)
        sent.append(state.time_s)
        time.sleep(0.002)
    recorder.close()
    parts = [Recording.open(path) for path in recordings(tmp_path)]
    kept = [entry.body["time_s"] for part in parts for entry in part.entries([Channel.STATE])]

    assert len(parts) > 2
    assert sent == sorted(kept)
    for part in parts[:-1]:
        channels = {entry.channel for entry in part.entries()}
        assert {Channel.PLAN, Channel.AIRFIELD, Channel.STATE} <= channels
        assert part.damage is None
