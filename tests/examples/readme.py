"""The README's own text: what is tested is what people copy."""

import re
from pathlib import Path

README = Path(__file__).parents[2] / "README.md"


def block(marker: str) -> str:
    """Return the text of the fenced block behind a marker comment."""
    text = README.read_text(encoding="utf-8")
    found = re.search(rf"<!-- {re.escape(marker)} -->\n```\w+\n(.*?)```\n", text, re.DOTALL)
    assert found is not None, f"README.md has no block marked {marker}"
    return found[1]
