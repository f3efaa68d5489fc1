"""What lies below every voice, and is no part of it: rumble, and an offset from zero.

A microphone brings the lorry in the street; eSpeak NG brings an offset that wanders while
it speaks.  Nobody hears either, but both take room under the ceiling, and Opus, which
lets nothing below 3 Hz pass (libopus), makes a tail of it that lasts into the silence.
"""

from __future__ import annotations

from typing import Final

import numpy as np
from numpy.typing import NDArray

LOWEST_HZ: Final = 70.0
"""Below the lowest voice: here 3 dB are taken, and 12 more with each octave down."""


def without_rumble(samples: NDArray[np.float32], rate_hz: int) -> NDArray[np.float32]:
    """Mono ``samples`` without what lies below :data:`LOWEST_HZ`, as many as before."""
    from scipy.signal import butter, sosfilt

    sections = butter(2, LOWEST_HZ, "highpass", fs=rate_hz, output="sos")
    clean: NDArray[np.float32] = sosfilt(sections.astype(np.float32), samples).astype(np.float32)
    return clean
