"""Is it understood? The short form; the whole table is printed by python -m tests.daemon.voice.hearing."""

import random

import numpy as np
import pytest

from otherseat.daemon.phrasebook import Phrasebook
from otherseat.daemon.voice.choose import DEFAULT_VOICE
from otherseat.daemon.voice.render import Renderer
from otherseat.daemon.voice.voice import Manner, Voice, make_voice
from tests.daemon.voice import hearing
from tests.daemon.voice.hearing import DANGEROUS, Tally, in_noise, listen, words_of
from tests.daemon.voice.samples import sample_values

CALLS = (
    "glidepath-high",
    "glidepath-low",
    "glidepath-low-near",
    "glidepath-high-lost",
    "offset-left",
    "offset-right",
    "joining-through",
    "wrong-runway-departure",
    "wrong-runway-arrival",
    "not-a-runway",
    "destination-passed",
    "silence",
)
"""What hurts most when it is misheard."""


def test_sentences_are_understood_and_opposites_are_not_confused() -> None:
    """The calls with two sets of values each: so many are heard fully right, and nobody hears left for right."""
    book = Phrasebook.load()
    dice = random.Random(5)
    spoken = [
        book.compose(phrase=phrase, values=sample_values(phrasebook=book, phrase=phrase, dice=dice)).speech
        for phrase in CALLS * 2
    ]

    def make(manner: Manner) -> Voice:
        return make_voice(name=DEFAULT_VOICE, manner=manner)

    renderer = Renderer(make=make)  # without the disk's cache, so that what was kept once does not count
    heard = listen(
        renderer=renderer, listener=hearing.Listener(book), spoken=spoken, ratios={"clean": 30.0, "10 dB": 10.0}
    )
    renderer.close()

    assert heard["clean"].share >= 0.95, heard["clean"].wrong
    assert heard["10 dB"].share >= 0.90, heard["10 dB"].wrong
    assert {0} == {tally.swapped(*pair) for tally in heard.values() for pair in DANGEROUS[:3]}


def test_the_recogniser_can_fail() -> None:
    """Twenty dB under the noise it does not hear the sentence: the test above measures something."""
    book = Phrasebook.load()
    listener = hearing.Listener(book)
    speech = "High, two hundred. Sink six fifty."
    renderer = Renderer(make=lambda manner: make_voice(name=DEFAULT_VOICE, manner=manner))
    heard = listen(renderer=renderer, listener=listener, spoken=[speech], ratios={"lost": -20.0})
    renderer.close()

    assert 0 == heard["lost"].right


def test_noise_has_the_ratio_it_says() -> None:
    """At 10 dB the noise has a tenth of the sentence's power."""
    sentence = np.sin(np.arange(16_000) * 0.3).astype(np.float32)
    noisy = in_noise(samples=sentence, ratio_db=10.0, rng=np.random.default_rng(1))
    pause = (len(noisy) - len(sentence)) // 2
    noise = noisy.copy()
    noise[pause:-pause] -= sentence * 0.5

    assert pytest.approx(10.0, abs=0.1) == 10 * np.log10(np.mean((sentence * 0.5) ** 2) / np.mean(noise**2))


def test_tally() -> None:
    """Words in each other's place are counted both ways, and a sentence is right only as a whole."""
    tally = Tally()
    tally.add(said=words_of("Turn left now."), heard=["turn", "right", "now"])
    tally.add(said=words_of("Turn right now."), heard=["turn", "left", "now"])
    tally.add(said=words_of("Turn left."), heard=["turn", "left"])

    assert 2 == tally.swapped("left", "right")
    assert (3, 1, 8, 6) == (tally.sentences, tally.right, tally.words, tally.words_right)
