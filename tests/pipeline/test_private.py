"""What only one patient hears is private: the greeting, and the cautions of that patient's file."""

from __future__ import annotations

from pathlib import Path

from breathmark.pipeline import private_lines, read_case
from tests.pipeline.short import SHORT, short_routine


def test_the_greeting_and_the_patients_own_cautions_are_private(tmp_path: Path) -> None:
    """The routine's cautions are said to everybody."""
    short_routine(tmp_path, SHORT + "cautions: [Wear shoes.]\n")
    path = tmp_path / "r-204.yaml"
    path.write_text(
        "label: R-204\nroutine: short.yaml\n"
        "greeting: Good morning.\ncautions: [Keep your brace on.]\n"
    )
    assert private_lines(read_case(path)) == {"Good morning.", "Keep your brace on."}
    assert private_lines(read_case(tmp_path / "short.yaml")) == frozenset()
