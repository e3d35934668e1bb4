"""Place names: airfields by a part of their name, as a keyboard without accents writes it.

Compared   in small letters, without accents, and with the letters below that are no letter with an accent
Order      one's own airfields first, then the world's by ident; an airfield of one's own hides the world's of its ident
"""

import itertools
import unicodedata
from collections.abc import Sequence

from otherseat.advisories.runway import Airfield, RunwayTable
from otherseat.advisories.runway_columns import MOST_NAMED, Columns

PLAIN = str.maketrans(
    {"ø": "o", "ł": "l", "đ": "d", "ð": "d", "þ": "th", "æ": "ae", "œ": "oe"}
    | {
        "\N{LATIN SMALL LETTER DOTLESS I}": "i",
        "\N{RIGHT SINGLE QUOTATION MARK}": "'",
        "\N{EN DASH}": "-",
        "\N{SOFT HYPHEN}": "",
    }
)


def plain(name: str) -> str:
    """Return a name in small letters without accents."""
    apart = unicodedata.normalize("NFKD", name.casefold())
    return "".join(letter for letter in apart if not unicodedata.combining(letter)).translate(PLAIN)


def fields_named(text: str, *, own: Sequence[Airfield], world: Columns, table: RunwayTable) -> list[Airfield]:
    """Return the airfields with the text in their name, the world's as the table has them; no more than MOST_NAMED."""
    wanted = plain(text.strip())
    if not wanted:
        return []
    hidden = {field.ident for field in own}
    found = (field for field in own if wanted in plain(field.name))
    idents = (
        ident.decode("ascii")
        for ident, name in zip(world.airfields["ident"], world.names, strict=True)
        if wanted in plain(name)
    )
    behind = (table.airfield(ident) for ident in idents if ident not in hidden)
    return list(itertools.islice(itertools.chain(found, behind), MOST_NAMED))
