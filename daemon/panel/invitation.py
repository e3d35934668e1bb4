"""Invitation: what the terminal shows so that a browser finds its way in."""

from io import StringIO

import segno

from otherseat.daemon.panel.guard import bracketed, is_loopback
from otherseat.daemon.panel.pairing import Pairing, Role

CAUTION = (
    "For simulation and training. Not certified; it replaces no instrument, chart, handbook, ATC, instructor or rule."
)


def invitation(*, address: str, port: int, pairing: Pairing, pair_all: bool = False, picture: bool = True) -> str:
    """Return the addresses and the codes that are open, for a network with a QR code that holds both."""
    home = f"http://{bracketed(address)}:{port}"
    local = is_loopback(address)
    lines = [CAUTION, "", f"The page     {home}/", f"Overlay      {home}/overlay"]
    if pair_all or not local:
        lines.append(f"To look      {home}/pair   code {pairing.code(Role.VIEWER)}")
    lines.append(f"To operate   {home}/pair   code {pairing.code(Role.OPERATOR)}")
    lines.append("Each code is good once, for one browser; the next one is shown here.")
    if not local:
        lines.append("Others on this network could read along what the page is sent.")
        if picture:
            lines += ["", "To look, with a tablet's camera:", qr(f"{home}/pair#{pairing.code(Role.VIEWER)}")]
    return "\n".join(lines)


def qr(text: str) -> str:
    """Return a QR code drawn in half blocks."""
    drawn = StringIO()
    segno.make(text, error="m", micro=False).terminal(out=drawn, compact=True)
    return drawn.getvalue()


def new_code_line(role: Role, code: str) -> str:
    """Return what to show when a code was used."""
    return f"A browser was paired as {role.value}. The next {role.value} code: {code}"
