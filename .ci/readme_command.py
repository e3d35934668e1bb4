"""Print the commands of the README's fenced block that follows the comment `<!-- NAME -->`."""

import re
import sys
from pathlib import Path

NAME = sys.argv[1]
README = (Path(__file__).parent.parent / "README.md").read_text(encoding="utf-8")
FOUND = re.search(rf"<!-- {re.escape(NAME)} -->\n```sh\n(.*?)```", README, re.DOTALL)
if FOUND is None:
    sys.exit(f"README.md has no block marked {NAME}")
sys.stdout.write(FOUND.group(1))
