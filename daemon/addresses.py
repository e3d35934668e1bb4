"""Where the bus stands, as options of the commands: written once, so that all obey the environment alike.

Who asks or listens has the usual address when nothing else is said, who opens the bus that of the settings.
"""

from collections.abc import Callable
from typing import Any

import click

from otherseat.daemon.sockets import DESK, FEED

Decorator = Callable[[Callable[..., Any]], Callable[..., Any]]


def address(name: str, **more: Any) -> Decorator:
    """Return the option of one end of the bus."""
    return click.option(f"--{name}", envvar=f"OTHERSEAT_{name.upper()}", show_envvar=True, **more)


feed_option = address("feed", default=FEED, show_default=True, help="Where the daemon's feed stands.")
desk_option = address("desk", default=DESK, show_default=True, help="Where the daemon's desk stands.")
own_feed_option = address("feed", help=f"Where the feed stands, such as {FEED}, if not as in the settings.")
own_desk_option = address("desk", help=f"Where the desk stands, such as {DESK}, if not as in the settings.")
