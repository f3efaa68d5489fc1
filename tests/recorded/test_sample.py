"""One exercise as a sample: short, proved, and never to be taken for a session."""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.pipeline import Order, make, plan
from breathmark.problems import UsageProblem
from tests.pipeline.short import SHORT, short_routine

TWO = (
    SHORT.replace("length: 1 min 15 s\n", "cautions: [Wear shoes.]\n")
    + """\
  - name: Wall slide
    kind: hold
    position: standing
    hold: 10 s
    setup: Lean on the wall.
"""
)


def test_a_sample_is_one_exercise_and_says_so(tmp_path: Path) -> None:
    """Its title, its folder and its first words say sample; no caution, nothing else."""
    order = Order(
        source=short_routine(tmp_path, TWO),
        output=tmp_path / "out",
        voice="system",
        only="wall SLIDE",
    )
    made = make(order)
    assert made.report.passed
    assert made.session.title == "Sample: Wall slide"
    assert made.folder.name.startswith("sample-wall-slide-")
    assert [block.exercise for block in made.session.blocks] == [None, 0, None]
    said = [line.text for line in made.session.spoken]
    assert said[0] == "Sample: Wall slide."
    assert said[-1] == "That was a sample."
    assert "Wear shoes." not in said
    assert any("Lean on the wall." in text for text in said)
    assert not any("Toe lift" in text for text in said)


def test_a_whole_session_keeps_its_cautions(tmp_path: Path) -> None:
    """Without --only everything is said as ever."""
    said = [one.text for one in plan(Order(source=short_routine(tmp_path, TWO),
                                           voice="system")).session.spoken]  # fmt: skip
    assert "Wear shoes." in said
    assert not any("ample" in text for text in said)


def test_an_exercise_that_is_not_there(tmp_path: Path) -> None:
    """The nearest name is told."""
    with pytest.raises(UsageProblem, match="Wall slide"):
        plan(Order(source=short_routine(tmp_path, TWO), voice="system", only="Wall slides"))
