"""Mixed routines of starter exercises, in voices, hearings and formats: each passes its proof.

What is refused here is refused to a clinician who did nothing wrong.  Builds like these, at
random, found that peaks swell in M4A and Opus, and that soft ends of lines drown in a
background.
"""

from __future__ import annotations

import random
from dataclasses import dataclass
from pathlib import Path

import pytest

from breathmark.deliver.handing import Wanted
from breathmark.pipeline import Order, make
from breathmark.routine.library import starter_library

EXERCISES = 3


@dataclass(frozen=True, kw_only=True, slots=True)
class Mixture:
    """What a build is made of; ``seed`` draws the exercises."""

    seed: int
    voice: str
    formats: tuple[str, ...]
    patient: str
    rate_hz: int = 24_000
    tracks: bool = False


MIXTURES = (
    Mixture(seed=1, voice="clear", formats=("m4a", "opus"), patient="hearing: hard of hearing"),
    Mixture(seed=2, voice="calm", formats=("mp3", "opus"), patient="background: quiet"),
    Mixture(seed=3, voice="system", formats=("m4a", "opus"), patient="hearing: older", tracks=True),
    Mixture(seed=4, voice="clear", formats=("mp3",), patient="background: quiet", tracks=True),
    Mixture(seed=5, voice="calm", formats=("m4a", "flac"), patient="helper: yes", rate_hz=48_000),
)


@pytest.mark.slow
@pytest.mark.parametrize("mixture", MIXTURES, ids=lambda one: f"{one.voice} {one.patient}")
def test_a_mixture_passes_its_proof(mixture: Mixture, tmp_path: Path) -> None:
    """With every check of every file."""
    drawn = random.Random(mixture.seed).sample(starter_library(), EXERCISES)
    routine, patient = tmp_path / "mixed.yaml", tmp_path / "r-204.yaml"
    uses = "".join(f"  - use: {exercise.name}\n" for exercise in drawn)
    routine.write_text(f"title: Mixed\nexercises:\n{uses}", encoding="utf-8")
    patient.write_text(f"label: R-204\n{mixture.patient}\n", encoding="utf-8")
    made = make(
        Order(
            source=routine,
            patient=patient,
            output=tmp_path / "out",
            voice=mixture.voice,
            formats=mixture.formats,
            rate_hz=mixture.rate_hz,
            wanted=Wanted(papers=False, tracks=mixture.tracks),
        )
    )
    assert made.report.passed
    endings = {path.suffix for path in made.folder.iterdir()}
    assert endings >= {f".{ending}" for ending in mixture.formats}
