"""A patient's folder of results is that patient's alone."""

from __future__ import annotations

import json
from contextlib import suppress
from pathlib import Path

from breathmark.deliver.record import RECORD_NAME
from breathmark.problems import Fault
from breathmark.routine.patient import Patient


def require_own_folder(folder: Path, patient: Patient | None) -> None:
    """See that beside the result folder of a patient there is none of another patient's.

    Labels that differ only in capitals or in dots come to the same folder.  Raises
    :class:`~breathmark.problems.Fault`.
    """
    if patient is None or not patient.label:
        return
    for path in sorted(folder.parent.glob(f"[!.]*/{RECORD_NAME}")):
        with suppress(OSError, ValueError, LookupError, TypeError, RecursionError):
            other = json.loads(path.read_text(encoding="utf-8"))["patient"]["label"]
            if other != patient.label:
                raise Fault(
                    f"{folder.parent} holds a recording of `{other}`; that of `{patient.label}` "
                    "would come to the same folder",
                    remedy="Give one of the two another label, or name another --output.",
                )
