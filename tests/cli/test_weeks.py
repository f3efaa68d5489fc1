"""`--weeks`: one recording for each week in which something changes, and how the dose rises."""

from __future__ import annotations

import json
from pathlib import Path

import mutagen
import pytest

from breathmark.cli.weeks import rise_text
from breathmark.deliver.publish import safe_name
from breathmark.pipeline import Order
from breathmark.problems import InputProblems
from breathmark.proof.verify import verify_folder
from breathmark.series import make_series, plan_series, weeks_of
from tests.cli.test_cli import breathmark
from tests.pipeline.short import SHORT, short_routine

WEEKS = """\
weeks:
  - from: 3
    length: 1 min 24 s
    changes:
      Toe lift: {reps: +2}
"""
PATIENT = """\
label: R-204
routine: short.yaml
weeks:
  - from: 5
    length: 1 min 35 s
    changes:
      Toe lift: {reps: +3, sets: 1}
"""
FIRST, THIRD, FIFTH = (
    f"short-and-sweet-{rest}" for rest in ("1min15s", "week-3-1min24s", "week-5-1min35s")
)


def written(folder: Path, routine: str = SHORT + WEEKS, patient: str = PATIENT) -> Path:
    """The patient's file, beside the routine with its weeks."""
    short_routine(folder, routine)
    path = folder / "r-204.yaml"
    path.write_text(patient)
    return path


def test_a_series_has_a_recording_for_each_week_in_one_album(tmp_path: Path) -> None:
    """Titles, tags, folders and records tell the week; the album holds them all."""
    order = Order(source=written(tmp_path), output=tmp_path / "out")
    assert weeks_of(order) == (1, 3, 5)
    series = make_series(order)
    assert [made.folder.name for made in series.weeks] == [FIRST, THIRD, FIFTH]
    titles = ["Short and sweet", "Short and sweet, week 3", "Short and sweet, week 5"]
    for made, week, title in zip(series.weeks, (1, 3, 5), titles, strict=True):
        assert made.folder.parent == tmp_path / "out" / "r-204"
        (sound,) = made.folder.glob("*.mp3")
        tags = mutagen.File(sound).tags  # a reader that had no part in writing them
        assert (tags["TALB"].text, tags["TIT2"].text) == (["Short and sweet"], [title])
        assert json.loads((made.folder / "record.json").read_text())["week"] == week
        assert verify_folder(made.folder).passed
    assert [made.planned.case.routine.exercises[0].dose.reps.usual for made in series.weeks] == [  # type: ignore[union-attr]
        4, 6, 9,
    ]  # fmt: skip


RISE = """\
How the dose rises: Short and sweet
================================================================================

Week 1   1:15
Week 3   1:24
Week 5   1:35

Toe lift
  from week 1   4 repetitions of 4 s
  from week 3   6 repetitions of 4 s
  from week 5   9 repetitions of 4 s
"""


def test_the_table_shows_each_dose_where_it_becomes_another(tmp_path: Path) -> None:
    """The exercises' doses, and under them what each week asked for."""
    planned = plan_series(Order(source=written(tmp_path)))
    text = rise_text(planned, width=80)
    assert text.startswith(RISE)
    assert "as week 3 of the routine asks" in " ".join(text.split())
    rise, _, _ = text.partition("From week 1: ")  # the remarks show lines as long as they are
    assert max(map(len, rise.splitlines())) <= 80


TARGETED = SHORT.replace(
    "position: standing", "position: standing\n    targets: [tibialis anterior]"
)


def test_the_totals_rise_beside_one_another(tmp_path: Path) -> None:
    """One column a week, and where they do not fit, one table under the other."""
    planned = plan_series(Order(source=written(tmp_path, TARGETED + WEEKS)))
    rows = [line.split("  ") for line in rise_text(planned, width=80).splitlines()]
    cells = [[cell.strip() for cell in row if cell.strip()] for row in rows]
    assert ["Week 1", "Week 3", "Week 5"] in cells
    assert ["tibialis anterior", "repetitions", "4", "6", "9"] in cells
    narrow = rise_text(planned, width=50)
    assert narrow.count("In a session, for each side") == 2


def test_what_is_told_by_its_time_alone_rises_by_its_time(tmp_path: Path) -> None:
    """A walk and breathing have no repetitions: one set is one set in every week."""
    text = """\
title: Breaths
exercises:
  - {name: Breathe, kind: breathing, breaths: 3, pattern: {in: 2 s, out: 3 s}}
weeks:
  - {from: 2, changes: {Breathe: {breaths: 6}}}
"""
    path = tmp_path / "routine.yaml"
    path.write_text(text, encoding="utf-8")
    rise = rise_text(plan_series(Order(source=path)), width=80)
    rows = [line.split() for line in rise.splitlines()]
    assert ["Breathe", "work", "15", "s", "30", "s"] in rows


def test_a_week_that_fails_is_named_and_those_before_it_stay(tmp_path: Path) -> None:
    """The problem has its place in the file that is at fault; exit status 1."""
    patient = written(tmp_path, patient=PATIENT.replace("1 min 35 s", "50 s"))
    with pytest.raises(InputProblems, match=r"r-204\.yaml:5:13: error: in week 5: "):
        plan_series(Order(source=patient))
    done = breathmark("make", patient, "--weeks", "--output", tmp_path / "out")
    assert done.returncode == 1
    assert "in week 5" in done.stderr
    assert "written under `from: 5`" in done.stderr
    made = [path.name for path in sorted((tmp_path / "out" / "r-204").iterdir())]
    assert [name for name in made if not name.startswith(".")] == [FIRST, THIRD]
    assert all(name in done.stderr.splitlines()[-1] or name in done.stderr for name in made)


def test_without_weeks_there_is_one_recording(tmp_path: Path) -> None:
    """A routine without `weeks` is a series of one."""
    assert weeks_of(Order(source=short_routine(tmp_path))) == (1,)


@pytest.mark.parametrize("words", [("make", "--week", "3"), ("plan", "--save", "drafts")])
def test_what_makes_no_sense_beside_it(words: tuple[str, ...], tmp_path: Path) -> None:
    """One week or all of them; one plan saved or a series shown."""
    command, *options = words
    done = breathmark(command, written(tmp_path), "--weeks", *options, cwd=tmp_path)
    assert done.returncode == 2
    assert options[0] in done.stderr


def test_long_titles_stay_apart_in_every_week() -> None:
    """A name is cut to 60 characters, and still no two weeks share a folder."""
    title = "A very long title that goes on and on until nobody can remember how it began"
    names = {safe_name(f"{title}, week {week}") for week in (2, 3, 4)}
    assert len(names) == 3
    assert all(len(name) <= 60 for name in names)
