"""The command `otherseat`: a table of its commands, each imported only when it is used.

So that none waits for what another needs.
"""

import importlib
from typing import Any, NamedTuple

import click

EPILOG = (
    "Exit codes: 0 all is well, or a service (fly, watch, panel, relay) was asked to stop; 1 the answer is no; 2 what "
    "was given can't be used; 130 work was cut short by Ctrl-C.\n\n"
    "For simulation and training only: not certified. Instruments, charts, the aircraft's handbook, ATC, an "
    "instructor and local rules come first."
)


EXIT_INTERRUPTED = 130
"""As shells have it: 128 and the number of the signal."""


class Entry(NamedTuple):
    """Where a command stands, and its line in the list."""

    where: str
    summary: str
    serves: bool = False
    """Works until it is asked to stop, so that Ctrl-C is its good end: exit code 0."""


COMMANDS = {
    "fly": Entry("otherseat.daemon.fly:fly", "Sit down beside the pilot: listen, check, speak.", serves=True),
    "demo": Entry("otherseat.daemon.demo:demo", "See and hear it work, with a pilot who makes mistakes."),
    "watch": Entry("otherseat.daemon.terminal:watch", "Show what the daemon sees, in this terminal.", serves=True),
    "panel": Entry(
        "otherseat.daemon.panel_command:panel", "The page for the tablet or second monitor beside you.", serves=True
    ),
    "plan": Entry("otherseat.daemon.plan_command:plan", "Say what you mean to do, in one line."),
    "weather": Entry("otherseat.daemon.weather_command:weather", "A weather report in plain words, and what it means."),
    "airfields": Entry("otherseat.daemon.airfields_command:airfields", "Find, add and question airfields."),
    "brief": Entry("otherseat.daemon.brief.command:brief", "A plan worked out on one page, before the flight."),
    "replay": Entry("otherseat.daemon.replay:replay", "A recorded flight again, or checked against what was said."),
    "debrief": Entry("otherseat.daemon.debrief.command:debrief", "A flight, or a folder of them, on a page."),
    "ask": Entry("otherseat.daemon.ask:ask", "Have a number said: true airspeed, wind, the path."),
    "tune": Entry("otherseat.daemon.tune:tune", "Say less or more; switch a check off or on; mute; acknowledge."),
    "voice": Entry("otherseat.daemon.voice.commands:voice", "Hear the voice, list devices, say something."),
    "identify": Entry("otherseat.daemon.identify_command:identify", "Work out the layout of an unknown stream."),
    "layout": Entry("otherseat.daemon.layout_command:layout", "List layouts, check one against a capture."),
    "capture": Entry("otherseat.daemon.capture_command:capture", "Keep raw datagrams with their times."),
    "resend": Entry("otherseat.daemon.capture_command:resend", "Send captured datagrams again, as the simulator did."),
    "relay": Entry("otherseat.daemon.relay:relay", "Join the feeds of many daemons into one.", serves=True),
    "keys": Entry("otherseat.daemon.keys_command:keys", "Keys for a bus that other machines may reach."),
    "schema": Entry("otherseat.daemon.schema:schema", "Print the JSON Schema of everything on the bus."),
    "status": Entry("otherseat.daemon.status:status", "How the running daemon is."),
    "doctor": Entry("otherseat.daemon.doctor:doctor", "Find out why nothing is heard."),
    "evaluate": Entry("otherseat.daemon.evaluate:evaluate", "Measure the checks on flights by the hundred."),
}


class LateGroup(click.Group):
    """A group whose commands are imported on use."""

    def invoke(self, ctx: click.Context) -> Any:
        """Run a command; Ctrl-C ends each with the same words, and with the exit code that EPILOG tells."""
        try:
            return super().invoke(ctx)
        except KeyboardInterrupt:
            from otherseat.daemon.unusable import STOPPED  # noqa: PLC0415 - only needed on this path

            click.echo(f"\n{STOPPED}", err=True)
            entry = COMMANDS.get(ctx.invoked_subcommand or "")
            ctx.exit(0 if entry is not None and entry.serves else EXIT_INTERRUPTED)

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click's signature
        """Return the names in the order of the table."""
        return list(COMMANDS)

    def get_command(self, ctx: click.Context, cmd_name: str) -> click.Command | None:  # noqa: ARG002 - likewise
        """Import one command."""
        entry = COMMANDS.get(cmd_name)
        if entry is None:
            return None
        module, _, attribute = entry.where.partition(":")
        command = getattr(importlib.import_module(module), attribute)
        return command if isinstance(command, click.Command) else None

    def format_commands(self, ctx: click.Context, formatter: click.HelpFormatter) -> None:  # noqa: ARG002 - likewise
        """List the commands from the table, importing none of them."""
        with formatter.section("Commands"):
            formatter.write_dl([(name, entry.summary) for name, entry in COMMANDS.items()])

    def resolve_command(
        self, ctx: click.Context, args: list[str]
    ) -> tuple[str | None, click.Command | None, list[str]]:
        """Find the command, or say which one is nearest."""
        from otherseat.config.toml_files import nearest  # noqa: PLC0415 - only needed on this path

        if args and args[0] not in COMMANDS and not args[0].startswith("-"):
            ctx.fail(f"no command is called {args[0]}{nearest(args[0], list(COMMANDS))}")
        if args:
            ctx.invoked_subcommand = args[0]  # known before the import, which Ctrl-C may cut short
        return super().resolve_command(ctx, args)


@click.group(
    cls=LateGroup, epilog=EPILOG, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 100}
)
@click.version_option(package_name="otherseat")
def cli() -> None:
    """Otherseat: the colleague in the other seat for a pilot who flies alone.

    Start `otherseat fly`, let your simulator export to its port, and listen. `otherseat COMMAND --help` explains each
    command with an example.
    """


def main() -> None:
    """Run the command line."""
    cli()
