"""What the help and the pages say of commands and options is so: no sentence names one that does not exist."""

import re
from collections.abc import Iterator
from pathlib import Path

import click
import pytest
from click.testing import CliRunner

from otherseat.daemon.cli import cli
from otherseat.daemon.layout_command import layout

ROOT = Path(__file__).parents[2]
PAGES = ("README.md", "DEVELOPERS.md", "CHANGELOG.md", "daemon/bus.md", "daemon/hardening.md", "daemon/voice/voice.md")
ENDS = re.compile(r"`|;|\bthen\b|\bor  |\)|\n\n|\n```|\n  +-|  #")
"""What ends a command line within a text."""
OPTION = re.compile(r"(?<![\w-])--[a-z][a-z-]*")


def commands(command: click.Command = cli, *names: str) -> Iterator[tuple[str, click.Command]]:
    """Yield every command and command within a command, with its names as they are typed."""
    yield " ".join(names), command
    if isinstance(command, click.Group):
        for name in command.list_commands(click.Context(command)):
            found = command.get_command(click.Context(command), name)
            assert found is not None
            yield from commands(found, *names, name)


COMMANDS = dict(commands())


def options_of(name: str) -> set[str]:
    """Return what a command may be given."""
    of = (option for parameter in COMMANDS[name].params for option in (*parameter.opts, *parameter.secondary_opts))
    return {*of, "--help"}


def mistakes(text: str) -> list[str]:
    """Return each command line in a text that names a command or an option that does not exist."""
    wrong = []
    for begun in re.split(r"(?<![\w./-])otherseat (?=[a-z])", text)[1:]:
        line = " ".join(ENDS.split(begun)[0].split())
        words = line.split()
        name = next((" ".join(words[:count]) for count in (2, 1) if " ".join(words[:count]) in COMMANDS), "")
        lost = isinstance(COMMANDS[name], click.Group) and len(words) > len(name.split())
        if lost or OPTION.findall(line) != [one for one in OPTION.findall(line) if one in options_of(name)]:
            wrong.append(line)
    return wrong


OWN_PLACE = {"relay"}
"""A relay's feed is another than the daemon's."""
ADDRESSES = [
    pytest.param(option, id=f"{name} {flag}")
    for name, command in COMMANDS.items()
    if name not in OWN_PLACE
    for option in command.params
    for flag in {"--feed", "--desk"} & {*option.opts}
]


@pytest.mark.parametrize("option", ADDRESSES)
def test_the_environment_says_where_the_bus_is(option: click.Option) -> None:
    """Whoever serves the bus or looks for it does so at the addresses in the environment, and the help tells it."""
    variable = f"OTHERSEAT_{option.opts[0].removeprefix('--').upper()}"

    assert variable == option.envvar
    assert f"env var: {variable}" in str(option.get_help_record(click.Context(click.Command("any"))))


@pytest.mark.parametrize("name", COMMANDS)
def test_the_help_names_what_there_is(name: str) -> None:
    """Each command line in the help is one that can be typed, and each option in its sentences is its own."""
    text = COMMANDS[name].get_help(click.Context(COMMANDS[name], info_name=f"otherseat {name}", terminal_width=1_000))
    sentences = text.partition("Example")[0].partition("Options:")[0]

    assert [] == mistakes(text.partition("\n")[2])
    assert set(OPTION.findall(re.sub("`[^`]*`", "", sentences))) <= options_of(name)


@pytest.mark.parametrize("page", PAGES)
def test_the_pages_name_what_there_is(page: str) -> None:
    """Each command line between backticks or in a block of a page is one that can be typed."""
    text = (ROOT / page).read_text(encoding="utf-8")
    blocks = re.findall(r"```sh\n(.*?)```", text, re.DOTALL)
    inline = re.findall(r"`([^`]+)`", re.sub(r"```.*?```", "", text, flags=re.DOTALL))

    assert [] == [
        wrong
        for part in [*"\n".join(blocks).splitlines(), *(" ".join(one.split()) for one in inline)]
        for wrong in mistakes(part)
    ]


def test_a_mistake_is_found() -> None:
    """A command or an option that does not exist is found in a sentence, those that do are not."""
    text = (
        "`otherseat fli --port 1`, `otherseat fly --port 1 --pot 2`, `otherseat layout list`, `otherseat layout show`"
    )

    assert ["fli --port 1", "fly --port 1 --pot 2", "layout show"] == mistakes(text)


@pytest.mark.parametrize("words", [["identify"], ["layout"], ["layout", "list"], ["layout", "check"]], ids=" ".join)
def test_helps_name_only_what_there_is(words: list[str]) -> None:
    """What a help sets between back quotes, and its example, are commands that exist, with options that they have."""
    text = " ".join(CliRunner().invoke(cli, [*words, "--help"]).output.split())
    example = text.partition("Example: otherseat ")[2].partition(",")[0]
    quoted = [each.removeprefix("otherseat ") for each in text.split("`")[1::2]]

    for command in (*quoted, *([example] if example else [])):
        first, *rest = command.split()
        assert first in COMMANDS or first in layout.commands, command
        options = [word for word in rest if word.startswith("--")]
        own = " ".join(CliRunner().invoke(cli, [first, *rest[:1], "--help"]).output.partition("Example:")[0].split())
        assert all(option in own for option in options), command


def test_the_help_of_layout_names_its_commands() -> None:
    """The sentence of `layout --help` names the commands that there are, all of them and no other."""
    text = CliRunner().invoke(layout, ["--help"]).output

    assert set(layout.commands) == set(text.split("`")[1::2])
