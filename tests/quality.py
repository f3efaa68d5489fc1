"""A quality score for speech, as people would give it: DNSMOS P.835, out of a package and offline.

Reddy et al. 2022, ICASSP, 886-890: a network that was taught the marks of listeners for the
speech, the background and the whole, each from 1 (bad) to 5 (excellent).  The model lies in
the package ``speechmos``; it is run here by itself, as that package needs much more to load.
"""

from __future__ import annotations

import importlib.util
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import numpy as np
import numpy.typing as npt

Samples = npt.NDArray[np.int16]

JUDGED_HZ = 16_000
WINDOW = round(9.01 * JUDGED_HZ)
"""The model marks pieces of this many samples, a second apart."""

SPEECH_DBFS = -26.0
"""The level at which speech is judged, where it sounds: listening tests bring all that they
compare to 26 dB below overload (ITU-T P.800, from memory).  Half a tenth of a point goes with
3 dB (measured), so that without it the louder of two would lose."""

_FRAME, _ACTIVE_DB = JUDGED_HZ // 50, 30.0


@dataclass(frozen=True, kw_only=True, slots=True)
class Marks:
    """Mean opinion scores from 1 to 5: of the speech, the background and the whole."""

    speech: float
    background: float
    whole: float


class Judge:
    """The model, loaded; build it with :meth:`load`."""

    def __init__(self, session: Any) -> None:
        self._session = session

    @classmethod
    def load(cls) -> Judge:
        """Load the model (1 MB) on one thread."""
        import onnxruntime

        spec = importlib.util.find_spec("speechmos")
        if spec is None or spec.origin is None:
            raise ModuleNotFoundError("speechmos is not installed (it holds the model)")
        options = onnxruntime.SessionOptions()
        options.intra_op_num_threads = options.inter_op_num_threads = 1
        model = Path(spec.origin).parent / "dnsmos_models" / "sig_bak_ovr.onnx"
        return cls(
            onnxruntime.InferenceSession(
                str(model), sess_options=options, providers=["CPUExecutionProvider"]
            )
        )

    def marks(self, samples: Samples, rate_hz: int, *, every_s: float = 1.0) -> Marks:
        """The mean marks of ``samples`` (mono), over pieces of 9 s that start ``every_s`` apart.

        It is judged at one level, however loud it is.  What is shorter than a piece is
        repeated until it fills one, as the authors do.
        """
        import soxr

        wave = _levelled(soxr.resample(samples.astype(np.float32) / 32_768, rate_hz, JUDGED_HZ))
        if len(wave) < WINDOW:
            wave = np.resize(wave, WINDOW)
        raw = [
            self._session.run(None, {"input_1": piece[np.newaxis]})[0][0]
            for piece in _pieces(wave, round(every_s * JUDGED_HZ))
        ]
        speech, background, whole = np.mean([_mapped(*marks) for marks in raw], axis=0)
        return Marks(speech=float(speech), background=float(background), whole=float(whole))


def _levelled(wave: npt.NDArray[np.float32]) -> npt.NDArray[np.float32]:
    """The same at :data:`SPEECH_DBFS`, measured over the frames of 20 ms that sound."""
    frames = wave[: len(wave) // _FRAME * _FRAME].astype(np.float64).reshape(-1, _FRAME)
    powers = np.mean(frames**2, axis=1)
    active = powers[powers > powers.max() * 10 ** (-_ACTIVE_DB / 10)]
    gain = 10 ** (SPEECH_DBFS / 20) / np.sqrt(active.mean())
    return np.asarray(wave * np.float32(gain))


def _pieces(wave: npt.NDArray[np.float32], step: int) -> Iterator[npt.NDArray[np.float32]]:
    for start in range(0, len(wave) - WINDOW + 1, step):
        yield wave[start : start + WINDOW]


def _mapped(speech: float, background: float, whole: float) -> tuple[float, float, float]:
    """The network's answers on the listeners' scale, by the authors' own polynomials."""
    return (
        float(np.polyval((-0.08397278, 1.22083953, 0.0052439), speech)),
        float(np.polyval((-0.13166888, 1.60915514, -0.39604546), background)),
        float(np.polyval((-0.06766283, 1.11546468, 0.04602535), whole)),
    )
