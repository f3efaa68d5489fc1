"""Signals that the sound room is tried on, and a meter from outside."""

from __future__ import annotations

import re
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

import numpy as np
import soundfile
from numpy.typing import NDArray

from tests.outside import ffmpeg_binary


@dataclass(frozen=True, kw_only=True, slots=True)
class Sound:
    """Sound in blocks of two seconds, as a mix comes."""

    samples: NDArray[np.float32]
    rate_hz: int

    def blocks(self) -> Iterator[NDArray[np.float32]]:
        size = 2 * self.rate_hz
        for start in range(0, len(self.samples), size):
            yield self.samples[start : start + size]


def sine(
    hz: float, level_db: float, seconds: float, rate_hz: int, *, degrees: float = 0
) -> NDArray[np.float32]:
    """A sine; ``level_db`` is its peak."""
    time = np.arange(round(seconds * rate_hz)) / rate_hz
    wave: NDArray[np.float64] = np.sin(2 * np.pi * hz * time + np.radians(degrees))
    wave *= 10 ** (level_db / 20)
    return wave.astype(np.float32)


def faded(sound: NDArray[np.float32], rate_hz: int) -> NDArray[np.float32]:
    """The sound with 10 ms ramps, since a hard edge has a higher peak of its own."""
    edge = np.linspace(0, 1, rate_hz // 100, dtype=np.float32)
    out = sound.copy()
    out[: len(edge)] *= edge
    out[-len(edge) :] *= edge[::-1]
    return out


def babble(seconds: int, rate_hz: int, *, level: float = 0.08, seed: int = 1) -> Sound:
    """Noise with the spectrum and the rhythm of speech: syllables, words, pauses."""
    random = np.random.default_rng(seed)
    length = seconds * rate_hz
    spectrum = np.fft.rfft(random.standard_normal(length))
    hz = np.fft.rfftfreq(length, 1 / rate_hz)
    spectrum *= (hz / 100) / (1 + (hz / 100) ** 2) ** 0.75 / (1 + (hz / 3000) ** 2)
    noise = np.fft.irfft(spectrum, length)
    time = np.arange(length) / rate_hz
    syllables = np.maximum(0, np.sin(2 * np.pi * 4.3 * time)) ** 2
    talking = (np.floor(time / 3.1) % 3 != 2) * syllables
    voice = noise * talking
    voice *= level / np.sqrt(np.mean(voice[talking > 0.1] ** 2))
    return Sound(samples=voice.astype(np.float32), rate_hz=rate_hz)


def measured_by_ffmpeg(
    samples: NDArray[np.float32] | NDArray[np.int16], rate_hz: int, folder: Path
) -> tuple[float, float]:
    """Integrated loudness and true peak as ffmpeg's ``ebur128`` reads them, to 0.1."""
    path = folder / "heard.wav"
    subtype = "PCM_16" if samples.dtype == np.int16 else "FLOAT"
    soundfile.write(path, samples, rate_hz, subtype=subtype)
    command = [str(ffmpeg_binary()), "-nostdin", "-i", str(path)]
    command += ["-af", "ebur128=peak=true", "-f", "null", "-"]
    said = subprocess.run(command, capture_output=True, check=True, timeout=120).stderr.decode()
    summary = said[said.rindex("Summary:") :]
    loudness = re.search(r"I:\s+(-?[\d.]+) LUFS", summary)
    peak = re.search(r"Peak:\s+(-?[\d.]+) dBFS", summary)
    assert loudness
    assert peak
    return float(loudness[1]), float(peak[1])
