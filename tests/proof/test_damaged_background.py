"""The proof can fail where a background sounds: what it hides least is still found."""

from __future__ import annotations

import dataclasses
from collections.abc import Callable
from pathlib import Path

import numpy as np
import pytest

from breathmark.deliver.audio import FORMATS
from breathmark.proof.check import Check
from breathmark.proof.levels import Levels
from breathmark.proof.verify import verify_folder
from breathmark.routine.listening import Background
from breathmark.script.session import Breathed, Session, Sounded, Spoken, Tone
from breathmark.sound import background
from tests.plan_sessions import RATE_HZ
from tests.proof.results import Result, Samples, failed, small_session, sound_of

A_REST_AT_S = 58.2


def quiet_session() -> Session:
    """The small session with the background."""
    return dataclasses.replace(small_session(), background=Background.QUIET)


def edited(change: Callable[[Samples], object]) -> Samples:
    """The sound after ``change`` worked on a copy of it."""
    sound = sound_of(quiet_session()).copy()
    change(sound)
    return sound


def cleared(start: int, end: int) -> Samples:
    return edited(lambda sound: sound[start:end].fill(0))


def hushed(start: int, end: int) -> Samples:
    """The background alone from ``start`` to ``end``, as it is in a rest."""
    rest = round(A_REST_AT_S * RATE_HZ)
    air = np.resize(sound_of(quiet_session())[rest : rest + RATE_HZ // 2], end - start)

    def hush(sound: Samples) -> None:
        sound[start:end] = air

    return edited(hush)


def halfway() -> Sounded:
    return next(one for one in tones() if one.tone is Tone.HALFWAY)


def longest() -> Spoken:
    return max(small_session().spoken, key=lambda line: line.length)


def tones() -> list[Sounded]:
    return [event for event in small_session().events if isinstance(event, Sounded)]


def late_tone() -> Samples:
    event, by = halfway(), 30 * RATE_HZ // 1000

    def move(sound: Samples) -> None:
        cut = sound[event.start : event.end].copy()
        sound[event.start : event.end] = 0
        sound[event.start + by : event.end + by] = cut

    return edited(move)


def muted(number: int) -> Samples:
    line = small_session().spoken[number]
    return hushed(line.start, line.end)


def muted_breath() -> Samples:
    breath = [one for one in small_session().events if isinstance(one, Breathed)][-1]
    return hushed(breath.end - breath.length * 7 // 10, breath.end)


def stray_word() -> Samples:
    """Half a second of a line in a rest, as loud as it was said."""
    line, at = small_session().spoken[0], round(A_REST_AT_S * RATE_HZ)
    word = sound_of(quiet_session())[line.start : line.start + RATE_HZ // 2]

    def add(sound: Samples) -> None:
        sound[at : at + len(word)] = word

    return edited(add)


DAMAGES: dict[str, tuple[Callable[[], Samples], set[Check]]] = {
    "nothing": (lambda: sound_of(quiet_session()), set()),
    "one sample short": (lambda: sound_of(quiet_session())[:-1], {Check.LENGTH}),
    "a tone 30 ms late": (late_tone, {Check.TONES}),
    "a tone missing": (lambda: hushed(halfway().start, halfway().end), {Check.TONES}),
    "a line missing": (lambda: muted(2), {Check.LINES}),
    "a one-word line missing": (lambda: muted(4), {Check.LINES}),
    "a line cut out": (
        lambda: cleared(small_session().spoken[2].start, small_session().spoken[2].end),
        {Check.LINES, Check.SILENCE},
    ),
    "the end of a line cut out": (
        lambda: cleared(longest().end - 5 * RATE_HZ // 4, longest().end), {Check.LINES},
    ),
    "a breath missing": (muted_breath, {Check.BREATHS}),
    "a word where nothing is planned": (stray_word, {Check.QUIET}),
    "two seconds of nothing": (
        lambda: cleared(round(58.2 * RATE_HZ), round(60.2 * RATE_HZ)), {Check.SILENCE},
    ),
    "no background at all": (lambda: sound_of(small_session()), {Check.SILENCE}),
}  # fmt: skip


@pytest.mark.parametrize("damage", DAMAGES)
def test_damage_is_found_over_a_background(damage: str, tmp_path: Path) -> None:
    """Each fails the check for it, and no other; what is whole passes."""
    make, due = DAMAGES[damage]
    folder = Result(session=quiet_session(), sound=make(), formats=("wav",)).written(tmp_path)
    assert failed(verify_folder(folder)) == due


@pytest.mark.parametrize(("louder_db", "fails"), [(0, False), (12, False), (14, True), (20, True)])
def test_a_background_that_is_too_loud_is_found(
    louder_db: int, fails: bool, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Less than 20 dB below speech while something is said (WCAG 2.2, 1.4.7): it is 33 below."""
    monkeypatch.setattr(background, "LEVEL_DBFS", background.LEVEL_DBFS + louder_db)
    sound = sound_of.__wrapped__(quiet_session())
    folder = Result(session=quiet_session(), sound=sound, formats=("wav",)).written(tmp_path)
    report = verify_folder(folder)
    assert (Check.BACKGROUND in failed(report)) is fails
    told = next(one for one in report.findings if one.check is Check.BACKGROUND)
    print(f"{louder_db} dB louder: {told.measured}")  # noqa: T201


@pytest.mark.parametrize("format", FORMATS)
def test_every_format_carries_the_background_whole(format: str, tmp_path: Path) -> None:
    """Exact length, every check passed."""
    folder = Result(session=quiet_session(), formats=(format,)).written(tmp_path)
    report = verify_folder(folder)
    assert report.passed, report.text()
    assert {one.check for one in report.findings} >= {Check.BACKGROUND, Check.LENGTH}


def test_without_a_background_there_is_no_check_of_it(tmp_path: Path) -> None:
    folder = Result(session=small_session(), formats=("wav",)).written(tmp_path)
    assert Check.BACKGROUND not in {one.check for one in verify_folder(folder).findings}
    assert not Levels(session=small_session(), powers=np.zeros(1, np.float32)).has_background
