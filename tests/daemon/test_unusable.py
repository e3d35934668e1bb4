"""Errors in what was given become one line with the file's name; faults of ours go through."""

from collections.abc import Callable
from pathlib import Path

import pytest

from otherseat.config.errors import ConfigError
from otherseat.daemon.unusable import UnusableError, needs, usable


def read_missing(folder: Path) -> None:
    """Read a file that is not there."""
    (folder / "none.toml").read_bytes()


def write_nowhere(folder: Path) -> None:
    """Write into a folder that is not there."""
    (folder / "none" / "a.html").write_bytes(b"")


def read_folder(folder: Path) -> None:
    """Read a folder as if it were a file."""
    folder.read_bytes()


def file_as_folder(folder: Path) -> None:
    """Make a folder where a file is."""
    (folder / "file").touch()
    (folder / "file").mkdir()


@pytest.mark.parametrize(
    ("wrong", "words"),
    [
        (read_missing, "{folder}/none.toml: no such file"),
        (write_nowhere, "{folder}/none/a.html: there is no folder {folder}/none"),
        (read_folder, "{folder}: is a folder; a file is wanted"),
        (file_as_folder, "{folder}/file: is a file; a folder is wanted"),
    ],
)
def test_the_system_s_errors_name_the_file(wrong: Callable[[Path], None], words: str, tmp_path: Path) -> None:
    """What the system refuses is told with the file that it is about."""
    with pytest.raises(UnusableError) as caught, usable():
        wrong(tmp_path)

    assert words.format(folder=tmp_path).replace("/", "|") == caught.value.message.replace("\\", "|").replace("/", "|")


def test_an_error_without_a_file() -> None:
    """An error of the system that is about no file keeps its words."""
    with pytest.raises(UnusableError, match=r"^no route$"), usable():
        raise OSError(113, "no route")


def test_ours_are_not_hidden() -> None:
    """A fault of ours is not made into a line."""
    with pytest.raises(ZeroDivisionError), usable():
        raise ZeroDivisionError


def test_theirs_is_one_line() -> None:
    """An error in a file is its own line, and the exit code is 2."""
    with pytest.raises(UnusableError, match=r"^a\.toml: wind: no such key$") as caught, usable():
        raise ConfigError(file="a.toml", key="wind", problem="no such key")

    assert 2 == caught.value.exit_code


def test_a_library_that_is_missing() -> None:
    """A missing library is told with what it is for and what to type."""
    with (
        pytest.raises(UnusableError, match=r'a page needs a library .*: pip install ".*\[pages\]"'),
        needs("a page", "pages"),
    ):
        raise ModuleNotFoundError
