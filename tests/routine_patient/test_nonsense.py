"""Whatever stands in a patient file, it is read or refused with places; nothing else happens."""

from __future__ import annotations

import shutil
from pathlib import Path

from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breathmark.problems import InputProblems
from breathmark.routine.doses import ALL_DOSE_KEYS
from breathmark.routine.patient_reading import PATIENT_KEYS, read_prescription
from breathmark.routine.tailoring import for_week, week_starts

HERE = Path(__file__).parent
NAMES = ["Standing calf stretch", "Seated knee lift", "Step reach", "Slow breathing", "Nobody"]
WORDS = [
    "left", "skip", "easier", "harder", "30 s", "+10 s", "-1", "2 (1 to 3)", "12 min", "light",
    "standing", "kneeling", "yes", "'{side}'", "''", "~", "+", "3000", "R-204", "{out: 2 s}",
]  # fmt: skip
KEYS = [*PATIENT_KEYS, *ALL_DOSE_KEYS, *NAMES, "from", "first", "only", "extra set", "version"]

words = st.sampled_from(WORDS)
values = st.recursive(
    words,
    lambda inner: (
        st.lists(inner, max_size=3).map(lambda items: f"[{', '.join(items)}]")
        | st.dictionaries(st.sampled_from(KEYS), inner, max_size=3).map(
            lambda fields: "{" + ", ".join(f"{key}: {value}" for key, value in fields.items()) + "}"
        )
    ),
    max_leaves=8,
)
changes = st.dictionaries(
    st.sampled_from(NAMES),
    st.just("skip")
    | st.dictionaries(
        st.sampled_from([*ALL_DOSE_KEYS, "version", "rests"]), values, max_size=3
    ).map(lambda fields: "{" + ", ".join(f"{k}: {v}" for k, v in fields.items()) + "}"),
    max_size=3,
).map(lambda fields: "{" + ", ".join(f"{k}: {v}" for k, v in fields.items()) + "}")
blocks = st.tuples(st.integers(0, 6), changes).map(lambda b: f"{{from: {b[0]}, changes: {b[1]}}}")
files = st.fixed_dictionaries(
    {"label": st.just("R-204"), "routine": st.just("routine.yaml")},
    optional={
        **{key: values for key in PATIENT_KEYS if key not in {"label", "routine"}},
        "changes": changes,
        "weeks": st.lists(blocks, max_size=3).map(lambda items: f"[{', '.join(items)}]"),
        "avoid": st.lists(st.sampled_from(["standing", "sitting", "ankle end range"])).map(
            lambda items: f"[{', '.join(items)}]"
        ),
    },
)


def test_a_patient_file_is_read_or_refused_with_places(tmp_path: Path) -> None:
    shutil.copy(HERE / "routine.yaml", tmp_path)
    path = tmp_path / "patient.yaml"
    taken = 0

    @settings(max_examples=500, deadline=None, suppress_health_check=list(HealthCheck))
    @given(fields=files)
    def check(fields: dict[str, str]) -> None:
        nonlocal taken
        path.write_text("".join(f"{key}: {value}\n" for key, value in fields.items()), "utf-8")
        try:
            both = read_prescription(path)
            for week in week_starts(both.routine, both.patient):
                made = for_week(both.routine, both.patient, week)
                assert made.routine.exercises
                assert all(change.sentence.endswith(".") for change in made.changes)
            taken += 1
        except InputProblems as refused:
            for problem in refused.problems:
                assert problem.place.file in {str(path), str(tmp_path / "routine.yaml")}
                assert problem.place.line >= 1
                assert problem.shown()

    check()
    assert taken >= 5, "nearly every file was refused: the files say too little"
