"""`otherseat capture` and `otherseat resend`: raw datagrams into a file, and out of it again at their times."""

import socket
import time
from pathlib import Path

import click

from otherseat.daemon.unusable import usable

LONGEST_WAIT_S = 10.0
"""A longer pause in a capture is cut to this."""


@click.command(epilog="Example: otherseat capture 47800 unknown.mcap --seconds 120")
@click.argument("port")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--seconds", type=click.FloatRange(min=0.1), help="Stop after so long; without it Ctrl-C stops.")
def capture(port: str, file: Path, seconds: float | None) -> None:
    """Write every datagram that arrives at PORT into FILE, with its time.

    PORT is a number, or address:number to listen elsewhere than on this machine alone. FILE must not be there yet; when
    nothing comes it is not kept, and the exit code is 1.
    """
    with usable():
        count = run_capture(port, file, seconds=seconds)
    if not count:
        click.echo(f"nothing came, {file} is not kept: is the simulator sending to this address and port?", err=True)
        raise click.exceptions.Exit(1)
    click.echo(f"captured {count} datagrams in {file}")


def run_capture(port: str, file: Path, *, seconds: float | None) -> int:
    """Capture and return how many datagrams were kept, the file with them; Ctrl-C ends it like the time does."""
    from otherseat.adapters.listener import Listener  # noqa: PLC0415 - libraries only this command needs
    from otherseat.daemon.captures import CaptureWriter  # noqa: PLC0415
    from otherseat.daemon.listen import datagrams, endpoint  # noqa: PLC0415

    host, number = endpoint(port)
    count = 0
    with Listener(host=host, port=number) as listener, CaptureWriter(file, source=port) as writer:
        click.echo(f"listening on {listener.host}:{listener.port}; Ctrl-C ends the capture")
        try:
            for received in datagrams(listener, seconds=seconds):
                writer.write(received)
                count += 1
        except KeyboardInterrupt:
            click.echo("")
    if not count:
        file.unlink(missing_ok=True)  # it would only be in the way of the next try
    return count


@click.command(epilog="Example: otherseat resend unknown.mcap --to 127.0.0.1:47800 --speed 4")
@click.argument("file", type=click.Path(path_type=Path))
@click.option("--to", "target", default="127.0.0.1:47800", show_default=True, help="Where to send, as address:port.")
@click.option("--speed", type=click.FloatRange(0.1, 100.0), default=1.0, show_default=True, help="Times real time.")
def resend(file: Path, target: str, speed: float) -> None:
    """Send the datagrams of a capture, or of a recorded flight, over UDP again, at the times at which they came."""
    with usable():
        count = run_resend(file, target, speed=speed)
    click.echo(f"sent {count} datagrams to {target}")


def run_resend(file: Path, target: str, *, speed: float) -> int:
    """Send everything and return how much it was."""
    from otherseat.daemon.captures import read_capture  # noqa: PLC0415
    from otherseat.daemon.listen import endpoint  # noqa: PLC0415

    host, port = endpoint(target)
    family = socket.AF_INET6 if ":" in host else socket.AF_INET
    count, last_s, due_s = 0, None, time.monotonic()
    with socket.socket(family, socket.SOCK_DGRAM) as sender:
        for received_s, datagram in read_capture(file):
            if last_s is not None:
                due_s += min(max(received_s - last_s, 0.0), LONGEST_WAIT_S) / speed
            last_s = received_s
            time.sleep(max(0.0, due_s - time.monotonic()))
            sender.sendto(datagram, (host, port))
            count += 1
    return count
