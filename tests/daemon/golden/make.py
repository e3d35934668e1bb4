"""Write the golden files anew: run it when the contract changes, and say in the commit why it did.

python -m tests.daemon.golden.make
"""

import json
from pathlib import Path

from otherseat.daemon.messages import Kind, encode
from tests.daemon.samples import BODIES

HERE = Path(__file__).parent


def main() -> None:
    """Write every golden file."""
    frames = {kind.value: encode(kind, BODIES[kind], session="0badcafe", seq=7, time_s=640.5).hex() for kind in Kind}
    (HERE / "messages.json").write_text(json.dumps(frames, indent=1) + "\n", encoding="utf-8", newline="\n")


if __name__ == "__main__":
    main()
