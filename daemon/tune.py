"""`otherseat tune`: say less or more, switch a check off or on, mute, acknowledge; on the running daemon."""

import click

from otherseat.daemon.addresses import desk_option
from otherseat.daemon.asking import asked_desk

MEANING = {
    "quiet": "cautions and warnings are said",
    "normal": "advice is said as well, and the calls that matter",
    "talkative": "everything is said",
}


@click.command(epilog="Example: otherseat tune --say quiet --off altitude")
@click.option("--say", "verbosity", type=click.Choice(list(MEANING)), help="How much is said.")
@click.option("--off", "off", multiple=True, metavar="CHECK", help="Switch a check off; may be given several times.")
@click.option("--on", "on", multiple=True, metavar="CHECK", help="Switch a check on again.")
@click.option("--mute/--unmute", "muted", default=None, help="Quieten the voice, or give it back. Screens show all.")
@click.option(
    "--acknowledge", is_flag=True, help="Acknowledge whatever stands: it is not said again unless it gets worse."
)
@click.option("--aircraft", default="own", show_default=True, help="Of which aircraft.")
@desk_option
def tune(  # noqa: PLR0917 - click passes options by name
    verbosity: str | None,
    off: tuple[str, ...],
    on: tuple[str, ...],
    muted: bool | None,  # noqa: FBT001 - likewise
    acknowledge: bool,  # noqa: FBT001 - likewise
    aircraft: str,
    desk: str,
) -> None:
    """Say less or more, switch single checks, mute, acknowledge. Holds until the daemon ends.

    `otherseat doctor` lists the checks by name; settings make a change last.
    """
    advisories = {**dict.fromkeys(off, False), **dict.fromkeys(on, True)}
    if not (verbosity or advisories or acknowledge or muted is not None):
        raise click.UsageError("nothing to do; see --help")
    if verbosity or advisories:
        wanted = {"verbosity": verbosity} if verbosity else {}
        asked_desk(desk, "tune", aircraft=aircraft, advisories=advisories, **wanted)
        if verbosity:
            click.echo(f"{verbosity}: {MEANING[verbosity]}")
        for name, is_on in advisories.items():
            click.echo(f"{name} is {'on' if is_on else 'off'}")
    if muted is not None:
        asked_desk(desk, "mute", aircraft=aircraft, muted=muted)
        if muted:
            click.echo("the voice is muted; screens show all")
        else:  # what speaks, or why nothing does: a device may be missing
            click.echo(f"no longer muted; voice: {asked_desk(desk, 'status').voice}")
    if acknowledge:
        done = asked_desk(desk, "acknowledge", aircraft=aircraft).acknowledged
        click.echo(f"acknowledged: {', '.join(done) or 'nothing stands'}")
