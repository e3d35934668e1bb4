"""`otherseat keys`: make keys, let clients in, see who is let in."""

from pathlib import Path

import click

from otherseat.daemon.keys import ALLOWED, Role, add_client, make_pair, read_clients, remove_client
from otherseat.daemon.unusable import usable

FOLDER = Path(click.get_app_dir("otherseat")) / "keys"

in_folder = click.option(
    "--folder",
    type=click.Path(path_type=Path, file_okay=False),
    default=FOLDER,
    show_default=True,
    help="Where the keys are.",
)


@click.group(epilog="Example: otherseat keys make daemon; otherseat keys add board 'KEY OF THE BOARD' --role operator")
def keys() -> None:
    """Keys for a bus that other machines may reach.

    On the daemon's machine make the pair "daemon". On each other machine make a pair of its own, and let its public
    key in here: as reader it may listen and ask, as operator it may give orders too.
    """


@keys.command()
@click.argument("name")
@in_folder
def make(name: str, folder: Path) -> None:
    """Make a pair called NAME and print its public key."""
    with usable():
        pair = make_pair(folder, name)
    click.echo(pair.public.decode())
    click.echo(
        f"The secret is in {folder / f'{name}.key_secret'}: keep it there, and give away the line above.", err=True
    )


@keys.command()
@click.argument("name")
@click.argument("key")
@click.option(
    "--role",
    type=click.Choice([role.value for role in Role]),
    default=Role.READER.value,
    show_default=True,
    help="What it may do.",
)
@in_folder
def add(name: str, key: str, role: str, folder: Path) -> None:
    """Let the client NAME in with its public KEY (or the file that holds it). A running daemon takes notice."""
    with usable():
        add_client(folder, name=name, key=key, role=Role(role))
    click.echo(f"{name} is let in as {role}.")


@keys.command()
@click.argument("name")
@in_folder
def remove(name: str, folder: Path) -> None:
    """Let the client NAME in no longer. A running daemon ends its connection within a second or two."""
    with usable():
        remove_client(folder, name=name)
    click.echo(f"{name} is not let in any more.")


@keys.command("list")
@in_folder
def list_(folder: Path) -> None:
    """List who is let in, in which role, with which key."""
    with usable():
        clients = read_clients(folder / ALLOWED)
    for name, client in sorted(clients.items()):
        click.echo(f"{name:20} {client.role.value:9} {client.key}")
    if not clients:
        click.echo("Nobody is let in yet.")
