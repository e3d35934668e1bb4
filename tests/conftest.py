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


@pytest.fixture(autouse=True, scope="session")
def _nobodys_own_files(tmp_path_factory: pytest.TempPathFactory) -> Iterator[None]:
    """Keep remembered plans and recordings of daemons under test out of the folder of whoever runs the tests."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("XDG_DATA_HOME", str(tmp_path_factory.mktemp("own")))
        yield


@pytest.fixture(autouse=True)
def _log_as_it_was() -> Iterator[None]:
    """Undo what a command did to the log: its stream is gone with the test."""
    yield
    structlog.reset_defaults()
