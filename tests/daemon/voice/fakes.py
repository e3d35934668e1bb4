"""A voice whose sound can be told apart by its pitch, and whose faults can be chosen."""

import numpy as np

from otherseat.daemon.voice.voice import Audio, Manner, VoiceError

RATE_HZ = 22_050
CLAUSE_S = 1.0


class PitchVoice:
    """Says every text as one second of a sine; "fails" raises VoiceError, "breaks" something else."""

    name = "pitch"

    def __init__(self, manner: Manner | None = None) -> None:
        self.manner = manner or Manner()
        self.identity = f"pitch {self.manner.model_dump_json()}"
        self.asked: list[str] = []
        self.closed = False

    def synthesise(self, *, text: str) -> Audio:
        """Return a sine."""
        self.asked.append(text)
        if "fails" in text:
            raise VoiceError("can't say that")
        if "breaks" in text:
            raise ZeroDivisionError
        time_s = np.arange(round(CLAUSE_S * 175 / self.manner.words_per_minute * RATE_HZ)) / RATE_HZ
        pitch_hz = 300.0 + 10.0 * (sum(text.encode()) % 50)
        return Audio(samples=np.asarray(0.3 * np.cos(2 * np.pi * pitch_hz * time_s), dtype=np.float32), rate_hz=RATE_HZ)

    def close(self) -> None:
        """Remember it."""
        self.closed = True
