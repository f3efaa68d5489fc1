"""The record's last part: what it was made from and with, the proof, the place to sign."""

from __future__ import annotations

import hashlib
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from reportlab.lib.colors import HexColor
from reportlab.platypus import Flowable

from breathmark import __version__
from breathmark.deliver import paper_look as look
from breathmark.deliver.audio import FORMATS
from breathmark.deliver.paper_parts import grid, paragraph, write_in
from breathmark.deliver.record import STANDING
from breathmark.deliver.record_pdf_sheet import FACT, RecordSheet, fact_style


def made_from(
    sheet: RecordSheet,
    files: Mapping[str, Mapping[str, Any]],
    checks: Sequence[Mapping[str, Any]],
) -> Iterator[Flowable]:
    """Hashes of what came in and went out, versions, and the proof in one line."""
    prescribed = sheet.prescribed
    node, title = sheet.section("Made from, made with (SHA-256)")
    routine, patient = prescribed.routine, prescribed.patient
    rows = [("in", Path(routine.file).name, routine.sha256)]
    if patient is not None:
        rows.append(("in", Path(patient.file).name or "patient file", patient.sha256))
    main = [name for name in sorted(files) if _is_main(name)]
    rows += [("out", name, str(files[name]["sha256"])) for name in main]
    if files:
        rows.append(("out", f"all {len(files)} files, by record.json's list", hash_of_all(files)))
    yield title
    yield sheet.table(node, ("", "File", "Hash"), rows, (4, 32, 72))
    yield sheet.fact(node, _versions(sheet))
    if checks:
        passed = sum(1 for one in checks if one["passed"])
        text = f"Proof: {passed} of {len(checks)} checks of the finished files passed."
        yield sheet.fact(node, text)


def _is_main(name: str) -> bool:
    """Whether a file is the plan or a whole recording, whose hashes are printed."""
    return name == "plan.json" or ("/" not in name and Path(name).suffix[1:] in FORMATS)


def hash_of_all(files: Mapping[str, Mapping[str, Any]]) -> str:
    r"""One SHA-256 for many files: of their hashes and names, a line each, sorted by name.

    >>> hash_of_all({"a": {"sha256": "00"}}) == hashlib.sha256(b"00  a\n").hexdigest()
    True
    """
    lines = "".join(f"{files[name]['sha256']}  {name}\n" for name in sorted(files))
    return hashlib.sha256(lines.encode()).hexdigest()


def _versions(sheet: RecordSheet) -> str:
    """What spoke, without the hashes of its models, which are in ``record.json``."""
    voices = [
        ", ".join(
            f"{name} {value}"
            for name, value in voice.items()
            if value not in ("", None) and "sha256" not in name
        )
        for voice in sheet.prescribed.voices
    ]
    return f"Breathmark {__version__}. {'. '.join(voices)}."


def signed(sheet: RecordSheet) -> Iterator[Flowable]:
    """The standing line, and lines for name, signature and date."""
    node = sheet.root.add("Sect")
    said = paragraph(node, STANDING, fact_style())
    rule = [
        ("LINEABOVE", (0, 0), (-1, 0), 0.7, HexColor(look.RULE)),
        ("TOPPADDING", (0, 0), (-1, -1), 3),
    ]
    standing = grid([[said]], [sheet.page.inner], rule)
    standing.spaceBefore = 5
    third = (sheet.page.inner - 32) / 3
    names = ("Clinician", "Signature", "Date")
    lines = [write_in(node, name, third, size=FACT, height=26) for name in names]
    row = grid([lines], [third + 16, third + 16, third], [])
    row.spaceBefore = 2
    yield standing
    yield row
