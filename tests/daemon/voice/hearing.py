"""Can it be understood? A recogniser that none of us wrote listens to the voice, clean and in cockpit noise.

Recogniser  pocketsphinx with the American English model in its wheel, and a grammar of every phrase with every number
            form, built from the phrase file itself
Noise       an engine's drone (harmonics of 41 Hz that fall by 4 dB an octave, slightly wandering) and pink noise, half
            the power each; the ratio is of mean powers over the sentence. "Clean" carries the same noise
            30 dB down: this recogniser fails on digital silence
Right       every word of the sentence, in order
Confusion   a sentence whose words differ from what was said, kept with both

The whole table:  python -m tests.daemon.voice.hearing --voice espeak --rates 150,175,200 --sentences 300
"""

import argparse
import itertools
import logging
import random
import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field

import click
import numpy as np
import pocketsphinx

from otherseat.advisories.gates import IN_WORDS
from otherseat.advisories.levels import Level
from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.voice.choose import open_renderer
from otherseat.daemon.voice.render import RATE_HZ, Renderer
from otherseat.daemon.voice.sound import at_rate
from otherseat.daemon.voice.voice import Audio, Manner, Samples
from tests.daemon.voice.samples import sample_values

HEARD_RATE_HZ = 16_000
RATIOS_DB: Mapping[str, float] = {"clean": 30.0, "15 dB": 15.0, "10 dB": 10.0, "5 dB": 5.0}
PAUSE_S = 0.25
NOT_PROOF = {"safety", "voice-test", "plugin-benched"}
"""Long or open text, said once a session: no call."""
ADDED_WORDS = {
    "centreline": "S EH N T ER L AY N",
    "crosswind": "K R AO S W IH N D",
    "tailwind": "T EY L W IH N D",
    "groundspeed": "G R AW N D S P IY D",
    "juliett": "JH UW L IY EH T",
    "wun": "W AH N",
    "fower": "F OW ER",
    "ait": "EY T",
    "teardrop": "T IH R D R AA P",
}
"""Pronunciations of words that the model's dictionary lacks; from memory."""

RULES = {
    "first": "zero | one | two | three",
    "some": "one | two | three | four | five | six | seven | eight | nine",
    "tens": "ten | twenty | thirty | forty | fifty | sixty | seventy | eighty | ninety",
    "pair": "<first> <digit> | four <digit> | five <digit>",
    "height": "<tens> | <some> hundred [fifty] | one thousand [<some> hundred]",
    "feet": "<height> feet",
    "altitude": "[one] <digit> thousand [<some> hundred] | <some> hundred",
    "rate": "fifty | <some> hundred | <some> fifty | one thousand [<some> hundred | <some> fifty]",
    "heading": "<first> <digit> <digit>",
    "course": "<heading>",
    "bearing": "<heading>",
    "turn": "<digit> [<digit>]",
    "runway": "<first> <digit> [left | right | centre]",
    "letter": "alpha | bravo | charlie | delta | echo | golf | hotel | india | kilo | lima | mike | november | oscar"
    " | papa | quebec | romeo | sierra | tango | uniform | victor | whiskey | yankee | zulu",
    "place": "<letter> <letter> <letter> <letter>",
    "distance": "half a mile | one mile | zero point <digit> miles | <digit> miles | <first> <digit> miles"
    " | <digit> and a half miles",
    "strength": "<digit> | <pair>",
    "speed": "<strength> knots | <first> <digit> <digit> knots",
    "airspeed": "<first> <digit> <digit> | <digit> <digit>",
    "altimeter": "<digit> <digit> <digit> | one zero <digit> <digit>",
    "time": "<digit> minutes | <pair> minutes | one minute [<pair> seconds | <digit> seconds] | <pair> seconds"
    " | one hour [<digit> minutes | <pair> minutes | one minute]",
    "angle": "<digit> [point <digit>] degrees | one degree",
    "text": " | ".join(("left", "right", "rule of thumb", "direct", "parallel", "teardrop", *IN_WORDS.values())),
}
SPOKEN_ALIKE = {"alfa": "alpha", "x-ray": "x"}


def grammar(*, templates: Mapping[str, str], digits: tuple[str, ...]) -> str:
    """Return a JSGF grammar of every phrase, with a language's digits."""
    phrases = sorted({_pattern(template) for key, template in templates.items() if key not in NOT_PROOF})
    rules = [f"<{name}> = {rule};" for name, rule in RULES.items()]
    rules.append(f"<digit> = {' | '.join(digits)};")
    return "\n".join(["#JSGF V1.0;", "grammar calls;", *rules, f"public <call> = {' | '.join(phrases)};", ""])


def _pattern(template: str) -> str:
    pieces = re.split(r"(\{[^}]*\}|\[|\])", template)
    return " ".join(filter(None, (_piece(piece) for piece in pieces)))


def _piece(piece: str) -> str:
    if piece in "[]":
        return piece
    if piece.startswith("{"):
        name, _, form = piece.strip("{}").partition(":")
        form = "airspeed" if name == "true_airspeed_kt" else form
        return {"1000": "one thousand", "500": "five hundred", "1200": "one thousand two hundred"}.get(
            name, f"<{form}>"
        )
    return " ".join(words_of(piece))


def words_of(speech: str) -> list[str]:
    """Return the words, lower case, as the recogniser spells them."""
    words = re.findall(r"[a-z][a-z'-]*", speech.lower())
    return [SPOKEN_ALIKE.get(word, word) for word in words]


class Listener:
    """The recogniser with the grammar of all calls."""

    def __init__(self, phrasebook: Phrasebook) -> None:
        logging.getLogger("pocketsphinx").setLevel(logging.CRITICAL)
        self._decoder = pocketsphinx.Decoder(samprate=HEARD_RATE_HZ, loglevel="FATAL")
        for word, phones in ADDED_WORDS.items():
            self._decoder.add_word(word, phones, update=False)
        self._decoder.add_jsgf_string("calls", grammar(templates=phrasebook.templates, digits=phrasebook.words.digits))
        self._decoder.activate_search("calls")

    def hear(self, samples: Samples) -> list[str]:
        """Return the words heard in a sentence at HEARD_RATE_HZ."""
        scaled = (np.clip(samples, -1.0, 1.0) * 32_767).astype(np.int16)
        self._decoder.start_utt()
        self._decoder.process_raw(scaled.tobytes(), no_search=False, full_utt=True)
        self._decoder.end_utt()
        found = self._decoder.hyp()
        return [] if found is None else found.hypstr.split()


def in_noise(*, samples: Samples, ratio_db: float, rng: np.random.Generator) -> Samples:
    """Return the sentence with a little noise before and after, all under noise that many dB below it."""
    pause = np.zeros(round(PAUSE_S * HEARD_RATE_HZ), dtype=np.float32)
    padded = np.concatenate([pause, samples * 0.5, pause])
    noise = cockpit(count=len(padded), rng=rng)
    power = float(np.mean((samples * 0.5) ** 2))
    scale = np.sqrt(power / np.mean(noise**2) * 10.0 ** (-ratio_db / 10.0))
    return np.asarray(padded + noise * scale, dtype=np.float32)


def cockpit(*, count: int, rng: np.random.Generator) -> Samples:
    """Return engine drone and pink noise, half the power each."""
    time_s = np.arange(count) / HEARD_RATE_HZ
    wander = 1.0 + 0.004 * np.sin(2 * np.pi * 0.3 * time_s + rng.uniform(0, 6.28))
    turn = 2 * np.pi * 41.0 * np.cumsum(wander) / HEARD_RATE_HZ
    drone = sum(k ** (-4.0 / 6.02) * np.sin(k * turn + rng.uniform(0, 6.28)) for k in range(1, 60))
    spectrum = np.fft.rfft(rng.standard_normal(count))
    pink = np.fft.irfft(spectrum / np.sqrt(np.maximum(np.arange(len(spectrum)), 1)), count)
    return np.asarray(drone / np.std(drone) + pink / np.std(pink), dtype=np.float32)


@dataclass
class Tally:
    """What was heard of what was said."""

    sentences: int = 0
    right: int = 0
    words: int = 0
    words_right: int = 0
    wrong: list[tuple[str, str]] = field(default_factory=list)

    def add(self, *, said: list[str], heard: list[str]) -> None:
        """Count one sentence."""
        self.sentences += 1
        self.words += len(said)
        self.words_right += max(0, len(said) - distance(said, heard))
        self.right += said == heard
        if said != heard:
            self.wrong.append((" ".join(said), " ".join(heard)))

    @property
    def share(self) -> float:
        """Return the share of sentences fully right."""
        return self.right / self.sentences

    def swapped(self, one: str, other: str) -> int:
        """Return how often one of two words was heard in the other's place."""
        pairs = Counter(pair for said, heard in self.wrong for pair in aligned(said.split(), heard.split()))
        return pairs[one, other] + pairs[other, one]


def aligned(said: list[str], heard: list[str]) -> Iterator[tuple[str, str]]:
    """Yield the words that stand in each other's place in the cheapest alignment."""
    costs = _costs(said, heard)
    row, column = len(said), len(heard)
    while row and column:
        if costs[row][column] == costs[row - 1][column - 1] + (said[row - 1] != heard[column - 1]):
            row, column = row - 1, column - 1
            yield said[row], heard[column]
        elif costs[row][column] == costs[row - 1][column] + 1:
            row -= 1
        else:
            column -= 1


def distance(said: list[str], heard: list[str]) -> int:
    """Return how many words must change, come or go."""
    return _costs(said, heard)[-1][-1]


def _costs(said: list[str], heard: list[str]) -> list[list[int]]:
    costs = [list(range(len(heard) + 1))]
    for row, word in enumerate(said, start=1):
        line = [row]
        for column, other in enumerate(heard, start=1):
            line.append(min(costs[-1][column] + 1, line[-1] + 1, costs[-1][column - 1] + (word != other)))
        costs.append(line)
    return costs


def sentences(*, phrasebook: Phrasebook, count: int, seed: int) -> list[str]:
    """Return sentences of every phrase in turn, with values from the seed."""
    dice = random.Random(seed)
    keys = sorted(phrasebook.keys - NOT_PROOF)
    made = []
    for phrase in itertools.islice(itertools.cycle(keys), count):
        values = sample_values(phrasebook=phrasebook, phrase=phrase, dice=dice)
        made.append(phrasebook.compose(phrase=phrase, values=values).speech)
    return made


def listen(
    *, renderer: Renderer, listener: Listener, spoken: list[str], ratios: Mapping[str, float]
) -> dict[str, Tally]:
    """Say everything into every noise and return what was heard."""
    rng = np.random.default_rng(7)
    tallies = {name: Tally() for name in ratios}
    for speech in spoken:
        whole = renderer.render(speech=speech, level=Level.ADVICE)
        samples = at_rate(audio=Audio(samples=whole, rate_hz=RATE_HZ), rate_hz=HEARD_RATE_HZ)
        for name, ratio_db in ratios.items():
            noisy = in_noise(samples=samples, ratio_db=ratio_db, rng=rng)
            tallies[name].add(said=words_of(speech), heard=listener.hear(noisy))
    return tallies


def main() -> None:
    """Print the table."""
    parser = argparse.ArgumentParser(description="How well a recogniser understands the voice.")
    parser.add_argument("--voice", default="espeak")
    parser.add_argument("--language", default=Manner().language)
    parser.add_argument("--nine", default="", help="another word for the digit nine")
    parser.add_argument("--rates", default="175")
    parser.add_argument("--pitches", default="50")
    parser.add_argument("--sentences", type=int, default=200)
    parser.add_argument("--ratios", default=",".join(RATIOS_DB))
    parser.add_argument("--wrong", type=int, default=0, help="print so many of the sentences that were misheard")
    options = parser.parse_args()
    phrasebook = Phrasebook.load()
    if options.nine:
        words = phrasebook.words
        phrasebook.words = words.model_copy(update={"digits": (*words.digits[:9], options.nine)})
    listener = Listener(phrasebook)
    spoken = sentences(phrasebook=phrasebook, count=options.sentences, seed=1)
    for rate, pitch in itertools.product(options.rates.split(","), options.pitches.split(",")):
        manner = Manner(words_per_minute=int(rate), pitch=int(pitch), language=options.language)
        renderer = open_renderer(voice=options.voice, manner=manner)
        tallies = listen(
            renderer=renderer,
            listener=listener,
            spoken=spoken,
            ratios={name: RATIOS_DB[name] for name in options.ratios.split(",")},
        )
        renderer.close()
        _print(
            title=f"{options.voice} {options.language} {rate}/min pitch {pitch}", tallies=tallies, wrong=options.wrong
        )


def _print(*, title: str, tallies: Mapping[str, Tally], wrong: int) -> None:
    """Write the rows of one voice, rate and pitch."""
    for name, tally in tallies.items():
        swaps = ", ".join(f"{a}/{b} {tally.swapped(a, b)}" for a, b in DANGEROUS)
        click.echo(
            f"{title:32} {name:6} sentences {tally.share:6.1%}  words {tally.words_right / tally.words:6.1%}  {swaps}"
        )
        pairs = Counter(p for said, heard in tally.wrong for p in aligned(said.split(), heard.split()) if p[0] != p[1])
        click.echo("    confused: " + ", ".join(f"{a}>{b} {n}" for (a, b), n in pairs.most_common(12)))
        for said, heard in tally.wrong[:wrong]:
            click.echo(f"    {said!r} heard {heard!r}")


DANGEROUS = (
    ("left", "right"),
    ("high", "low"),
    ("above", "below"),
    ("five", "nine"),
    ("five", "niner"),
    ("three", "six"),
)


if __name__ == "__main__":
    main()
