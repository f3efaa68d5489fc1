"""The proof can fail: wrong captions are found, and what is wrong with them is said."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from pathlib import Path

import pytest

from breathmark.deliver.captions import captions_vtt
from breathmark.proof.check import Check
from breathmark.proof.verify import verify_folder
from tests.plan_sessions import RATE_HZ
from tests.proof.results import (
    Result,
    brief_session,
    failed,
)


def recaptioned(old: str, new: str) -> Callable[[], str]:
    def change() -> str:
        text = captions_vtt(brief_session())
        assert text.count(old) == 1, old
        return text.replace(old, new)

    return change


def shifted(by_ms: int) -> str:
    session = brief_session()
    moved = [
        replace(event, start=event.start + by_ms * RATE_HZ // 1000) for event in session.events
    ]
    return captions_vtt(replace(session, events=tuple(moved)))


def without(text: str) -> str:
    blocks = captions_vtt(brief_session()).split("\n\n")
    kept = [block for block in blocks if text not in block]
    assert len(kept) == len(blocks) - 1
    return "\n\n".join(kept)


def appended(block: str) -> Callable[[], str]:
    return lambda: f"{captions_vtt(brief_session())}\n{block}\n"


CAPTIONS: dict[str, tuple[Callable[[], str], str]] = {
    "50 ms late": (lambda: shifted(50), "appears 50 ms too late"),
    "15 ms early": (lambda: shifted(-15), "appears 15 ms too early"),
    "a caption missing": (lambda: without("Well done."), "“Well done.”, has no caption"),
    "a tone's caption missing": (lambda: without("[start tone]"), "start tone at 0:05.000"),
    "a word changed": (recaptioned("Well done.", "Well made."), "is shown as “Well made.”"),
    "a line shown twice": (
        appended("00:14.000 --> 00:14.400\nWell done."), "“Well done.”, is said nowhere",
    ),
    "an overlap": (appended("00:13.500 --> 00:14.400\n[pause]"), "begins before the caption"),
    "past the end": (appended("00:14.400 --> 00:15.000\n[end tone]"), "past the end"),
    "not WebVTT": (lambda: "1\n00:01,000 --> 00:02,000\nWell done.\n", "line 1"),
    "a damaged arrow": (recaptioned("00:00:13.000 --> ", "00:00:13.000 -> "), "no times"),
    "a bare ampersand": (
        lambda: captions_vtt(brief_session()).replace("&amp;", "&"), "&amp;",
    ),
    "empty": (lambda: "", "line 1 does not say WEBVTT"),
}  # fmt: skip


@pytest.mark.parametrize("damage", CAPTIONS)
def test_damaged_captions_are_found(damage: str, tmp_path: Path) -> None:
    """Captions that are not the plan's, or not WebVTT, are found, and what is wrong is said."""
    make, said = CAPTIONS[damage]
    report = verify_folder(Result(captions=make(), formats=("wav",)).written(tmp_path))
    assert failed(report) == {Check.CAPTIONS}
    assert said in report.failed[0].detail
