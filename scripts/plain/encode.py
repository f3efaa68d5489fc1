"""The bare cost of encoding: ``encode.py SAMPLES.npy OUT.mp3 …``, PyAV and nothing else."""

from __future__ import annotations

import sys

import av
import numpy as np

BLOCK = 24_000


def main(samples_path: str, mp3_path: str) -> None:
    """Encode 16-bit mono samples at 24 kHz with the options that Breathmark uses."""
    samples = np.load(samples_path)
    with av.open(mp3_path, "w", format="mp3") as container:
        stream = container.add_stream("libmp3lame", rate=24_000, options={"compression_level": "7"})
        stream.layout = "mono"
        stream.bit_rate = 64_000
        for start in range(0, len(samples), BLOCK):
            block = samples[np.newaxis, start : start + BLOCK]
            frame = av.AudioFrame.from_ndarray(block, format="s16p", layout="mono")
            frame.sample_rate = 24_000
            frame.pts = start
            container.mux(stream.encode(frame))
        container.mux(stream.encode(None))


if __name__ == "__main__":
    for samples, mp3 in zip(sys.argv[1::2], sys.argv[2::2], strict=True):
        main(samples, mp3)
