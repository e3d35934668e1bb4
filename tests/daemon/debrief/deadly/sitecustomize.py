"""Makes a process die when it opens a recording called deadly: started by the environment, in test processes only."""

import os
import sys


def _watch(event: str, arguments: tuple[object, ...]) -> None:
    if event == "open" and str(arguments[0]).endswith("deadly.mcap"):
        os._exit(9)


sys.addaudithook(_watch)
