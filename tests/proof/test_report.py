"""The report can be read by a person, and says what was measured beside what is allowed."""

from __future__ import annotations

from pathlib import Path

from breathmark.proof.check import Check, Finding, Report, finding
from breathmark.proof.verify import verify_folder
from tests.proof.results import Result, brief_session, sound_of


def test_a_report_is_a_table_with_sentences_for_what_failed() -> None:
    """One row a finding; the sentence only where something is wrong; the sum at the end."""
    report = Report(
        (
            Finding(
                check=Check.LENGTH,
                file="steady.mp3",
                passed=True,
                detail="It has exactly the planned 24 samples.",
                measured="24 samples",
                allowed="24 samples",
            ),
            finding(
                Check.TONES,
                "steady.mp3",
                ["the start tone at 0:01.00 is not heard"],
                good="",
                measured="0, 0.00 ms off",
                allowed="1, 20 ms",
            ),
        )
    )
    assert report.text() == (
        "check   file        verdict  measured        allowed\n"
        "------  ----------  -------  --------------  ----------\n"
        "length  steady.mp3  pass     24 samples      24 samples\n"
        "tones   steady.mp3  FAIL     0, 0.00 ms off  1, 20 ms\n"
        "\n"
        "steady.mp3, tones: The start tone at 0:01.00 is not heard.\n"
        "\n"
        "1 of 2 checks failed.\n"
    )


def test_a_table_fits_a_narrow_terminal_and_names_the_file_of_a_failure_in_full() -> None:
    """The last column went over the edge as soon as a title had three words."""
    name = "neck-and-shoulders-at-the-desk.mp3"
    good = Finding(
        check=Check.CHAPTERS, file=name, passed=True, detail="", measured="5/5, 0.0 ms off",
        allowed="5 chapters, 2 ms",
    )  # fmt: skip
    wrong = finding(Check.TONES, name, ["the start tone is not heard"], good="", measured="0")
    lines = Report((good, wrong)).text(66).splitlines()
    assert max(map(len, lines[:4])) == 66
    assert "  neck-an….mp3  pass  " in lines[2]
    assert f"{name}, tones: The start tone is not heard." in lines
    assert Report((good, wrong)).text(200) == Report((good, wrong)).text()


def test_only_three_problems_are_said_and_the_rest_counted() -> None:
    """A file that is wrong everywhere does not fill the screen."""
    many = finding(Check.LINES, "a.wav", [f"line {n}" for n in range(9)], good="")
    assert many.detail == "Line 0; line 1; line 2; and 6 more."


def test_nothing_checked_is_nothing_proved() -> None:
    """An empty report does not pass."""
    assert not Report(()).passed
    assert "nothing is proved" in Report(()).text()


def test_every_sentence_has_figures(tmp_path: Path) -> None:
    """What passes is said with its measure too, and so is what fails."""
    good = verify_folder(Result(formats=("wav",)).written(tmp_path / "good"))
    softer = sound_of(brief_session()) // 2
    soft = verify_folder(Result(formats=("wav",), sound=softer).written(tmp_path / "soft"))
    assert good.passed
    for one in (*good.findings, *soft.failed):
        assert one.detail.endswith(".")
        if one.check is not Check.TAGS:
            assert any(char.isdigit() for char in one.detail), one
        assert one.measured
        assert one.allowed
    assert [one.check for one in soft.failed] == [Check.LOUDNESS]
    assert "-6.02 LU" in soft.failed[0].detail


def test_progress_rises_to_the_end(tmp_path: Path) -> None:
    """Over all recordings together, in the plan's samples, never back."""
    told: list[tuple[int, int]] = []
    folder = Result(formats=("mp3", "opus", "wav")).written(tmp_path)
    verify_folder(folder, progress=lambda done, total: told.append((done, total)))
    total = 3 * brief_session().length
    assert {of for _, of in told} == {total}
    assert [done for done, _ in told] == sorted(done for done, _ in told)
    assert told[-1] == (total, total)
