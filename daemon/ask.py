"""`otherseat ask`: have a number said in the headset, and printed."""

import click

from otherseat.daemon.asking import asked_desk
from otherseat.daemon.sockets import DESK


@click.command(epilog="Example: otherseat ask airspeed")
@click.argument("about", type=click.Choice(["airspeed", "wind", "path", "destination"]))
@click.option("--aircraft", default="own", show_default=True, help="Of which aircraft.")
@click.option(
    "--desk",
    default=DESK,
    envvar="OTHERSEAT_DESK",
    show_envvar=True,
    show_default=True,
    help="Where the daemon's desk stands.",
)
def ask(about: str, aircraft: str, desk: str) -> None:
    """Have a number said: true airspeed, the wind here, height over the path, or the way to the destination.

    Directions are magnetic, as runways and controllers have them; what a screen shows as true says so.
    """
    click.echo(asked_desk(desk, "ask", about=about, aircraft=aircraft).text)
