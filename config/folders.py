"""Where a person's own files and the caches lie, as their operating system has it."""

from pathlib import Path

import platformdirs


def own_folder() -> Path:
    """Return the folder of the user's own airfields, aircraft and remembered plan; it may not be there yet."""
    return platformdirs.user_data_path("otherseat", appauthor=False)


def cache_folder() -> Path:
    """Return the folder of what can be worked out again; it may not be there yet."""
    return platformdirs.user_cache_path("otherseat", appauthor=False)
