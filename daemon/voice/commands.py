"""`otherseat voice`: hear it, find its device, have it say something."""

import time
from pathlib import Path
from typing import Any

import click

from otherseat.advisories.levels import Level
from otherseat.daemon.addresses import desk_option
from otherseat.daemon.asking import asked_desk
from otherseat.daemon.fly import CAUTION_LINE
from otherseat.daemon.log import set_up_log
from otherseat.daemon.unusable import UnusableError, usable
from otherseat.daemon.voice.choose import open_speaker
from otherseat.daemon.voice.player import devices as playback_devices
from otherseat.daemon.voice.speaker import Speaker
from otherseat.daemon.voice.strip import EARS
from otherseat.daemon.voice.voice import SILENT, Manner, installed

LONGEST_S = 60.0
LOOK_S = 0.05
APART_S = 5.0
"""So far apart stand the sentences of a file."""
LEVELS = {level.word: level for level in Level}


def _options(command: Any) -> Any:
    """Add the options that every command which speaks has."""
    for option in (
        click.option("--voice", help="Which voice speaks; `otherseat voice list` names them."),
        click.option("--device", help="The start of a device's name; `otherseat voice devices` names them."),
        click.option("--volume", type=click.FloatRange(0, 1), default=1.0, show_default=True, help="0 is silent."),
        click.option("--ear", type=click.Choice(list(EARS)), default="both", show_default=True, help="Which ear."),
        click.option(
            "--rate",
            type=click.IntRange(80, 400),
            default=Manner().words_per_minute,
            show_default=True,
            help="Words a minute.",
        ),
        click.option("--voice-to", type=click.Path(path_type=Path), help="Write a WAV file instead of playing."),
    ):
        command = option(command)
    return command


@click.group(epilog="Example: otherseat voice test --ear left")
def voice() -> None:
    """Hear the voice, find its device, try its settings, without a simulator."""


@voice.command(name="list", epilog="Example: otherseat voice list")
def list_() -> None:
    """Name the voices, and what each needs."""
    for name, entry in sorted(installed().items()):
        try:
            click.echo(f"{name:8} {entry.load().summary}")
        except Exception as fault:  # noqa: BLE001 - a plug-in from elsewhere must not hide the others
            click.echo(f"{name:8} can't be loaded: {fault}")


@voice.command(epilog="Example: otherseat voice devices")
def devices() -> None:
    """Name the devices that can play."""
    with usable():
        names = playback_devices()
    click.echo("\n".join(names) or "no audio device")


@voice.command(epilog="Example: otherseat voice test --voice piper --ear left")
@_options
def test(**options: Any) -> None:
    """Say one sentence of each level, a warning's two-tone before the last."""
    from otherseat.daemon.phrasebook import Phrasebook  # noqa: PLC0415 - only this command needs it

    book = Phrasebook.load()
    click.echo(CAUTION_LINE)
    _speak([(book.compose(phrase="voice-test", values={}).speech, Level.CALL), *_examples(book)], **options)


def _examples(book: Any) -> list[tuple[str, Level]]:
    high = {"height_above_path_ft": 200.0, "sink_to_regain_fpm": 650.0}
    passed = {"past_nm": 2.5, "bearing_deg": 240.0}
    lined_up = {"surface_runway": "13", "planned_runway": "07"}
    return [
        (book.compose(phrase="glidepath-high", values=high).speech, Level.ADVICE),
        (book.compose(phrase="destination-passed-caution", values=passed).speech, Level.CAUTION),
        (book.compose(phrase="wrong-runway-departure", values=lined_up).speech, Level.WARNING),
    ]


@voice.command(epilog='Example: otherseat voice say "High, two hundred." --level warning')
@click.argument("text")
@click.option("--level", type=click.Choice(list(LEVELS)), default="call", show_default=True, help="How urgent.")
@_options
def say(text: str, level: str, **options: Any) -> None:
    """Say a sentence."""
    _speak([(text, LEVELS[level])], **options)


@voice.command(name="set", epilog="Example: otherseat voice set --ear left --volume 0.6")
@click.option("--volume", type=click.FloatRange(0, 1), help="0 is silent.")
@click.option("--ear", type=click.Choice(list(EARS)), help="Which ear.")
@click.option("--device", help='The start of a device\'s name; "" for the default one.')
@click.option("--rate", "words_per_minute", type=click.IntRange(80, 400), help="Words a minute.")
@desk_option
def set_(desk: str, **wanted: Any) -> None:
    """Change the running daemon's voice, until it ends; settings make a change last."""
    changes = {name: value for name, value in wanted.items() if value is not None}
    if not changes:
        raise click.UsageError("nothing to change; see --help")
    asked_desk(desk, "voice", **changes)


def _speak(sentences: list[tuple[str, Level]], **options: Any) -> None:
    set_up_log(level="error")
    with usable():
        speaker = open_speaker(
            voice=options["voice"],
            file=options["voice_to"],
            device=options["device"],
            volume=options["volume"],
            ear=options["ear"],
            manner=Manner(words_per_minute=options["rate"]),
        )
    for number, (speech, level) in enumerate(sentences):
        speaker.say(speech=speech, level=level, alert_id=f"test.{number}", time_s=number * APART_S)
        if options["voice_to"] is None:
            _wait(speaker, sentences=number + 1)
    speaker.close()
    if speaker.status.note:
        raise UnusableError(speaker.status.note)


def _wait(speaker: Speaker, *, sentences: int) -> None:
    """Wait until so many sentences are over, or until nothing can be said."""
    end_s = time.monotonic() + LONGEST_S
    while time.monotonic() < end_s:
        now = speaker.status
        if now.voice == SILENT or (now.quiet and (now.note or now.said + now.given_up >= sentences)):
            return
        time.sleep(LOOK_S)
