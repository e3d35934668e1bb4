"""Web: the card as one HTML file that needs nothing else, neither network nor other files."""

import io

from jinja2 import Environment, PackageLoader, StrictUndefined
from matplotlib.figure import Figure

from otherseat.daemon.brief.card import Card
from otherseat.daemon.brief.sketch import draw_lights, draw_path

TEMPLATES = Environment(
    loader=PackageLoader("otherseat.daemon.brief", "."),
    autoescape=True,
    undefined=StrictUndefined,
    trim_blocks=True,
    lstrip_blocks=True,
)


def to_html(card: Card, *, caution: str) -> str:
    """Return the page."""
    sketch = "" if card.end is None else svg_of(_sketch(card))
    return TEMPLATES.get_template("card.html.jinja").render(card=card, caution=caution, sketch=sketch)


def svg_of(figure: Figure) -> str:
    """Return a drawing as an <svg> element; the same drawing gives the same text."""
    stream = io.StringIO()
    figure.savefig(stream, format="svg", transparent=True, metadata={"Date": None})
    text = stream.getvalue()
    return text[text.index("<svg") :]


def _sketch(card: Card) -> Figure:
    figure = Figure(figsize=(7.4, 1.6))
    draw_path(figure.add_axes((0.02, 0.2, 0.6, 0.78)), card, size=8.0)
    draw_lights(figure.add_axes((0.68, 0.05, 0.31, 0.93)), card, size=8.0)
    return figure
