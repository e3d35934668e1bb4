"""No voice: every text is silence. For people who read, or who bring their own speech."""

import numpy as np

from otherseat.daemon.voice.voice import SILENT, Audio, Manner, VoicePlugin

RATE_HZ = 22_050


class NoVoice:
    """Says nothing."""

    name = SILENT
    identity = SILENT

    def synthesise(self, *, text: str) -> Audio:  # noqa: ARG002 - the contract's parameter
        """Return no sound at all."""
        return Audio(samples=np.zeros(0, dtype=np.float32), rate_hz=RATE_HZ)

    def close(self) -> None:
        """Nothing to give back."""


def make(_manner: Manner) -> NoVoice:
    """Return the voice that says nothing."""
    return NoVoice()


VOICE = VoicePlugin(name=SILENT, summary="says nothing", make=make)
