"""The log: plain sentences for a person, one style of lines for whoever keeps them."""

import io
import json
import os
import subprocess
import sys
import time
from pathlib import Path

import pytest
import structlog

from otherseat.daemon import log as log_module
from otherseat.daemon.log import log_path, set_up_log
from tests.faults.rig import environment, options, row
from tests.running import PATIENCE_S, running


@pytest.fixture(autouse=True)
def _own_log(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Keep the log of these tests in a folder of their own."""
    monkeypatch.setattr(log_module.platformdirs, "user_log_path", lambda *_, **__: tmp_path / "logs")


def lines_in_file(*, count: int) -> list[dict[str, str]]:
    """Return the log's lines once there are so many; a thread of its own writes them."""
    for _ in range(int(PATIENCE_S / 0.02)):
        lines = log_path().read_text(encoding="utf-8").splitlines()
        if len(lines) >= count:
            return [json.loads(line) for line in lines]
        time.sleep(0.02)
    raise AssertionError("nothing was written")


def test_a_terminal_gets_sentences_and_the_file_the_lines() -> None:
    """On a terminal a person reads a plain sentence for a warning, none for a routine event; the file has both."""
    terminal = io.StringIO()
    set_up_log(level="info", stream=terminal, terminal=True)
    log = structlog.get_logger("test")
    log.info("recording", file="a.mcap")
    log.warning("recorder", trouble="not recording: no space left on device", path="a.mcap")
    log.warning("plan_not_kept", reason="read-only file system")
    kept = lines_in_file(count=3)

    expected = "otherseat: not recording: no space left on device\notherseat: plan not kept: read-only file system\n"
    assert expected == terminal.getvalue()
    assert ["recording", "recorder", "plan_not_kept"] == [line["event"] for line in kept]


def test_elsewhere_only_lines() -> None:
    """Without a terminal each event is one JSON object a line on the stream, and no file is made."""
    stream = io.StringIO()
    set_up_log(stream=stream, terminal=False)
    structlog.get_logger("test").error("engine_failed", aircraft="own", exc_info=ValueError("no"))
    (line,) = stream.getvalue().splitlines()

    assert {"event": "engine_failed", "aircraft": "own", "level": "error"}.items() <= json.loads(line).items()
    assert "ValueError: no" in json.loads(line)["exception"]
    assert not log_path().exists()


def test_a_long_log_begins_anew() -> None:
    """A log that has grown long is kept once and begun anew."""
    log_path().parent.mkdir()
    log_path().write_text("x" * (log_module.LONG_BYTES + 1), encoding="utf-8")
    set_up_log(stream=io.StringIO(), terminal=True)
    structlog.get_logger("test").warning("silent", aircraft="own")

    assert ["silent"] == [line["event"] for line in lines_in_file(count=1)]
    assert log_path().with_name("otherseat.old.log").stat().st_size > log_module.LONG_BYTES


def test_a_home_that_takes_nothing(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    """Where no log can be kept the sentences are still said."""
    (tmp_path / "file").touch()
    monkeypatch.setattr(log_module.platformdirs, "user_log_path", lambda *_, **__: tmp_path / "file" / "logs")
    terminal = io.StringIO()
    set_up_log(stream=terminal, terminal=True)
    structlog.get_logger("test").error("advisory_failed", advisory="gates", exc_info=ValueError("no"))

    assert "otherseat: check gates has failed; the log says how\n" == terminal.getvalue()


@pytest.mark.skipif(sys.platform == "win32", reason="no such terminal there")
def test_on_a_real_terminal(tmp_path: Path) -> None:
    """A daemon whose standard error is a terminal tells its trouble there in a sentence, and keeps the line."""
    ours, theirs = os.openpty()
    given = options(tmp_path)
    (tmp_path / "flights").touch()
    home = {"XDG_STATE_HOME": str(tmp_path / "state"), "HOME": str(tmp_path / "home")}
    with running(*given, stderr=theirs, env=environment(home)) as daemon:
        daemon.send([row("own", 1.0, past_nm=-5.0)])
        said = os.read(ours, 10_000).decode()
        daemon.stop()
    os.close(ours)
    os.close(theirs)
    (kept,) = tmp_path.rglob("otherseat.log")

    assert ["otherseat: not recording: file exists"] == said.splitlines()
    assert "recorder" == json.loads(kept.read_text(encoding="utf-8"))["event"]


def test_the_log_comes_without_rich() -> None:
    """The daemon does not load what only colours tracebacks; whoever wants it finds it as ever."""
    words = (
        "import sys; import otherseat.daemon.log; import otherseat.daemon.service; print('rich' in sys.modules);"
        "import rich.table; from structlog.dev import ConsoleRenderer; print(rich.table.Table.__name__)"
    )
    run = subprocess.run([sys.executable, "-c", words], capture_output=True, text=True, timeout=60, check=True)

    assert "False\nTable\n" == run.stdout
