"""Write the golden files anew: run it when the contract changes, and say in the commit why it did.

python -m tests.daemon.golden.make
"""

import json
from pathlib import Path

from otherseat.daemon.messages import Kind
from otherseat.daemon.packing import encode
from otherseat.daemon.schema import bus_schema
from tests.daemon.samples import BODIES

HERE = Path(__file__).parent


def main() -> None:
    """Write every golden file."""
    frames = {kind.value: encode(kind, BODIES[kind], session="0badcafe", seq=7, time_s=640.5).hex() for kind in Kind}
    _write("messages.json", frames)
    _write("schema.json", bus_schema())


def _write(name: str, content: object) -> None:
    text = json.dumps(content, indent=1, sort_keys=True) + "\n"
    (HERE / name).write_text(text, encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
