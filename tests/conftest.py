"""What holds for every test."""

import os
from collections.abc import Iterator

import pytest
import structlog
from hypothesis import settings

os.environ.pop("PYTHONDONTWRITEBYTECODE", None)
# a daemon is started as a user would: where python may keep nothing, each start compiles every module again

settings.register_profile("house", deadline=None, derandomize=True)
settings.load_profile("house")
# deadline: a slow machine is no failure; derandomize: the same examples everywhere, every time


@pytest.fixture(autouse=True)
def _log_as_it_was() -> Iterator[None]:
    """Undo what a command did to the log: its stream is gone with the test."""
    yield
    structlog.reset_defaults()
