"""A line that ends softly makes the silence behind it longer, and that is no hole."""

from __future__ import annotations

import numpy as np
import pytest

from breathmark.proof import limits
from breathmark.proof.levels import Levels, planned_gaps, silence_problems
from tests.proof.results import brief_session

SOUND, SILENCE = 10 ** (-20 / 10), 1e-12


@pytest.mark.parametrize(("soft_s", "holes"), [(0.26, 0), (0.5, 1)])
def test_a_soft_end_is_no_hole(soft_s: float, holes: int) -> None:
    """The "help" of a voice ended 0.26 s early (measured); half a second is gone from a line."""
    session = brief_session()
    powers = np.full(session.length * 1000 // session.rate_hz // limits.FRAME_MS, SOUND)
    levels = Levels(session=session, powers=powers.astype(np.float32))
    start, end = max(planned_gaps(session), key=lambda gap: gap[1] - gap[0])
    gap = levels.at(start, end)
    levels.powers[gap.start - round(soft_s * 1000 / limits.FRAME_MS) : gap.stop] = SILENCE
    assert len(silence_problems(levels)) == holes
