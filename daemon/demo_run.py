"""One demo from its first process to its last table; needs the flight model."""

import importlib.resources
import json
from collections.abc import Sequence

from rich.console import Console

from otherseat.daemon.children import Child, ChildError, Endpoints, start_daemon, start_pilot
from otherseat.daemon.client import Client
from otherseat.daemon.demo_log import DemoLog
from otherseat.daemon.demo_report import print_tables
from otherseat.daemon.demo_view import View, view_for
from otherseat.daemon.flight_model.scenes import MISTAKES
from otherseat.daemon.flight_model.world import demo_plan
from otherseat.daemon.messages import AlertMessage, CallMessage, Message

EXIT_PROMISE_BROKEN = 1
LISTEN_S = 0.05
LAST_WORDS_S = 0.5


def run_demo(console: Console, *, fly_options: list[str], fast: bool, scene: int) -> int:
    """Fly it, print the tables, and return the exit code: 0 when every promise was kept; ChildError if one fails."""
    with importlib.resources.as_file(demo_plan()) as plan:
        daemon, where = start_daemon("--plan", str(plan), *fly_options)
    with daemon:
        console.print(
            f"Another terminal may listen: feed {where.feed}, desk {where.desk}", style="dim", highlight=False
        )
        log = watch(console, where=where, fast=fast, scene=scene)
        kept, unpromised = log.kept(MISTAKES), list(log.unpromised(MISTAKES))
        print_tables(console, log, kept=kept, unpromised=unpromised)
        return 0 if kept and all(one.ok for one in kept) and not unpromised and not log.lost else EXIT_PROMISE_BROKEN


def watch(console: Console, *, where: Endpoints, fast: bool, scene: int) -> DemoLog:
    """Fly, and return what was heard."""
    log = DemoLog()
    with (
        Client(feed=where.feed, desk=where.desk) as client,
        client.subscribe("alert", "call") as subscription,
        view_for(console, client, where=where.feed, fast=fast) as view,
    ):
        subscription.receive(timeout_s=LISTEN_S)
        options = ["--host", where.host, "--port", str(where.port), "--desk", where.desk, "--scene", str(scene)]
        with start_pilot(*options, *(["--fast"] if fast else [])) as pilot:
            while not pilot.silent:
                messages = subscription.receive(timeout_s=LISTEN_S)
                _take_events(view, log, pilot)
                _take_messages(view, log, messages)
                view.step()
        while messages := subscription.receive(timeout_s=LAST_WORDS_S):
            _take_messages(view, log, messages)
    if log.end_s is None:
        raise ChildError("\n".join(["the flight ended early", *log.remarks]))
    return log


def _take_events(view: View, log: DemoLog, pilot: Child) -> None:
    """Take in what the pilot told; a line that is no event is the flight model's own, and says why it ended early."""
    while (line := pilot.line(timeout_s=0.0)) is not None:
        try:
            event = json.loads(line)
        except ValueError:
            log.remarks.append(line)
            continue
        if begun := log.flown(event):
            view.scene(begun)


def _take_messages(view: View, log: DemoLog, messages: Sequence[Message]) -> None:
    """Take in what the bus brought."""
    for message in messages:
        match message.body:
            case CallMessage() as call:
                log.calls.append(call)
                view.call(call)
            case AlertMessage() as alert:
                log.alerts.append(alert)
