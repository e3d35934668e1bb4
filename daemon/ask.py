"""`otherseat ask`: have a number said in the headset, and printed."""

import click

from otherseat.daemon.addresses import desk_option
from otherseat.daemon.asking import asked_desk


@click.command(epilog="Example: otherseat ask airspeed")
@click.argument("about", type=click.Choice(["airspeed", "wind", "path", "destination"]))
@click.option("--aircraft", default="own", show_default=True, help="Of which aircraft.")
@desk_option
def ask(about: str, aircraft: str, desk: str) -> None:
    """Have a number said: true airspeed, the wind here, height over the path, or the way to the destination.

    Directions are magnetic, as runways and controllers have them; what a screen shows as true says so.
    """
    click.echo(asked_desk(desk, "ask", about=about, aircraft=aircraft).text)
