"""Key files and the list of who is let in."""

import os
from pathlib import Path

import pytest
from click.testing import CliRunner

from otherseat.daemon.keys import (
    ALLOWED,
    AllowList,
    Client,
    KeysError,
    Role,
    add_client,
    make_pair,
    read_clients,
    read_pair,
    read_public,
    remove_client,
    write_clients,
)
from otherseat.daemon.keys_command import keys

posix_only = pytest.mark.skipif(os.name != "posix", reason="this system has no file modes")


def later(file: Path) -> None:
    """Give the file a later time stamp, as if some time had passed."""
    status = file.stat()
    os.utime(file, ns=(status.st_atime_ns, status.st_mtime_ns + 1_000_000_000))


def test_a_pair_round_trip(tmp_path: Path) -> None:
    """What was made can be read, from the secret file and from the public one."""
    pair = make_pair(tmp_path / "keys", "board")

    assert pair == read_pair(tmp_path / "keys" / "board.key_secret")
    assert pair.public == read_public(str(tmp_path / "keys" / "board.key")) == read_public(pair.public.decode())


@posix_only
def test_a_secret_is_nobody_elses(tmp_path: Path) -> None:
    """A secret file is made for its owner alone."""
    make_pair(tmp_path, "board")

    assert 0o600 == (tmp_path / "board.key_secret").stat().st_mode & 0o777


@posix_only
@pytest.mark.parametrize("mode", [0o604, 0o640, 0o644, 0o660])
def test_a_secret_that_others_can_read_is_refused(tmp_path: Path, mode: int) -> None:
    """A secret that was left open is refused, with the command that closes it."""
    make_pair(tmp_path, "board")
    file = tmp_path / "board.key_secret"
    file.chmod(mode)

    with pytest.raises(KeysError, match="others can read this secret; close it with: chmod 600"):
        read_pair(file)


def test_a_pair_is_not_made_twice(tmp_path: Path) -> None:
    """An old key is never overwritten."""
    make_pair(tmp_path, "board")

    with pytest.raises(KeysError, match="is there already"):
        make_pair(tmp_path, "board")


@pytest.mark.parametrize("name", ["", "a b", "../board", "a" * 41, "ü"])
def test_a_name_is_a_plain_word(tmp_path: Path, name: str) -> None:
    """A name that could leave the folder, or the line, is refused."""
    with pytest.raises(KeysError, match="a name is 1 to 40"):
        make_pair(tmp_path, name)


@pytest.mark.parametrize("text", ["", "short", "x" * 41, '"' * 40, "no/such/file.key"])
def test_what_is_no_key(text: str) -> None:
    """A key is forty characters, or a file that holds it."""
    with pytest.raises(KeysError, match=r"is neither a key of 40 characters nor a file"):
        read_public(text)


@pytest.mark.parametrize("content", ["", "curve\n", "rubbish \x00"])
def test_a_file_that_holds_no_secret(tmp_path: Path, content: str) -> None:
    """A file that is no secret key is refused by name."""
    file = tmp_path / "board.key_secret"
    file.write_text(content, encoding="utf-8")
    file.chmod(0o600)

    with pytest.raises(KeysError, match=r"board\.key_secret"):
        read_pair(file)


def test_no_file_says_how(tmp_path: Path) -> None:
    """Where there is no key, the error says how to make one."""
    with pytest.raises(KeysError, match="otherseat keys make daemon"):
        read_pair(tmp_path / "daemon.key_secret")


def test_the_list_round_trip(tmp_path: Path) -> None:
    """Clients that were let in are on the list with key and role, whatever characters the key has."""
    key = "0aZ.-:+=^!/*?&<>()[]{}@%$#abcdefghijklmn"
    add_client(tmp_path, name="board", key=key, role=Role.OPERATOR)
    add_client(tmp_path, name="light", key=key[::-1], role=Role.READER)

    assert {
        "board": Client(key=key, role=Role.OPERATOR),
        "light": Client(key=key[::-1], role=Role.READER),
    } == read_clients(tmp_path / ALLOWED)


def test_the_list_is_looked_at_again(tmp_path: Path) -> None:
    """A key that was added or taken off counts at once, and a withdrawal is told once."""
    file, key = tmp_path / ALLOWED, "k" * 40
    allowed = AllowList(file)
    assert allowed.role_of(key) is None

    add_client(tmp_path, name="board", key=key, role=Role.READER)
    assert Role.READER is allowed.role_of(key)
    assert not allowed.withdrawn()

    remove_client(tmp_path, name="board")
    later(file)
    assert allowed.role_of(key) is None
    assert [True, False] == [allowed.withdrawn(), allowed.withdrawn()]


def test_a_list_that_can_not_be_read_lets_nobody_in(tmp_path: Path) -> None:
    """A list that was spoilt while the daemon runs closes the gate, and opens it again when it is mended."""
    file, key = tmp_path / ALLOWED, "k" * 40
    write_clients(file, {"board": Client(key=key)})
    whole = file.read_text(encoding="utf-8")
    allowed = AllowList(file)

    file.write_text("[board", encoding="utf-8")
    assert allowed.role_of(key) is None
    file.write_text(whole, encoding="utf-8")
    later(file)
    assert Role.READER is allowed.role_of(key)


@pytest.mark.parametrize(
    "content",
    ["[board", "[board]\n", '[board]\nkey = "short"', f'[board]\nkey = "{"k" * 40}"\nrole = "captain"', "x = 1"],
)
def test_a_list_with_a_mistake_is_refused_at_start(tmp_path: Path, content: str) -> None:
    """A mistake in the list is an error that names the file, before anything is opened."""
    (tmp_path / ALLOWED).write_text(content, encoding="utf-8")

    with pytest.raises(KeysError, match=r"allowed\.toml"):
        AllowList(tmp_path / ALLOWED)


def run(*arguments: str) -> tuple[int, str]:
    """Run `otherseat keys` and return its exit code and what it printed."""
    result = CliRunner().invoke(keys, arguments)
    return result.exit_code, result.output


def test_the_commands(tmp_path: Path) -> None:
    """Make, add, list and remove do what they say."""
    folder = ["--folder", str(tmp_path)]
    code, made = run("make", "board", *folder)
    public = made.splitlines()[0]

    assert (0, 0) == (code, run("add", "board", public, "--role", "operator", *folder)[0])
    assert f"board                operator  {public}" in run("list", *folder)[1]
    assert (0, "board is not let in any more.\n") == run("remove", "board", *folder)
    assert (0, "Nobody is let in yet.\n") == run("list", *folder)


def test_a_mistake_in_a_command(tmp_path: Path) -> None:
    """What can't be done is one line, and exit code 2."""
    code, said = run("remove", "board", "--folder", str(tmp_path))

    assert 2 == code
    assert "has no client board; there are none" in said
    assert 1 == len(said.splitlines())
