"""The command `panel`: serve the page."""

from pathlib import Path

import click

from otherseat.daemon.addresses import desk_option, feed_option
from otherseat.daemon.log import set_up_log
from otherseat.daemon.ready_runner import ReadyRunner
from otherseat.daemon.unusable import needs, usable


@click.command(
    "panel",
    epilog="Example: otherseat panel --address 192.168.1.20   (then point a tablet's camera at the code)",
)
@click.option("--address", default="127.0.0.1", show_default=True, help="Serve on this address of this machine.")
@click.option("--port", default=47810, show_default=True, type=click.IntRange(0, 65535), help="0 picks a free one.")
@click.option("--name", "more_names", multiple=True, help="A further host name by which browsers call this machine.")
@feed_option
@desk_option
@click.option("--aircraft", default=None, help="Show only this aircraft.")
@click.option(
    "--dir",
    "own_pages",
    type=click.Path(exists=True, file_okay=False, path_type=Path),
    help="A directory of pages of your own, served below /own/.",
)
@click.option("--pair-all", is_flag=True, help="Have browsers on this machine paired too, before they may look.")
@click.option("--qr/--no-qr", default=True, help="Show the network address as a QR code.")
def panel(  # one parameter an option
    *,
    address: str,
    port: int,
    more_names: tuple[str, ...],
    feed: str,
    desk: str,
    aircraft: str | None,
    own_pages: Path | None,
    pair_all: bool,
    qr: bool,
) -> None:
    """Serve the page that any phone, tablet or second monitor can show.

    On this machine anyone may look. On a network a browser must be paired first, with a code that is shown here. To
    give orders from the page, pair it with the operator's code.
    """
    with needs("the page", "panel"):
        from otherseat.daemon.panel.invitation import invitation, new_code_line  # noqa: PLC0415 - an extra
        from otherseat.daemon.panel.pairing import Pairing  # noqa: PLC0415 - likewise
        from otherseat.daemon.panel.server import AddressError, PanelServer, ServerSettings  # noqa: PLC0415 - likewise
    set_up_log()
    pairing = Pairing(on_new_code=lambda role, code: click.echo(new_code_line(role, code)))
    settings = ServerSettings(
        address=address,
        port=port,
        feed=feed,
        desk=desk,
        aircraft=aircraft,
        more_names=tuple(name if ":" not in name else f"[{name}]" for name in more_names),
        own_pages=own_pages,
        pair_all=pair_all,
    )
    try:
        server = PanelServer(settings, pairing=pairing)
    except AddressError as error:
        raise click.UsageError(str(error)) from error
    with usable(), ReadyRunner() as runner:
        click.echo(invitation(address=address, port=server.port, pairing=pairing, pair_all=pair_all, picture=qr))
        runner.run(server.serve())
