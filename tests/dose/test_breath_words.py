"""Lines that ask for a held breath or breathe in with an effort, and lines that do not.

The sentences are such as clinicians write (common practice).
"""

from __future__ import annotations

from pathlib import Path

import pytest

from breathmark.dose.checks import check_routine
from breathmark.dose.checks.asking_breath import asked_phrase, paused_phrase
from tests.dose.files import routine

HELD = """\
Take a breath and hold it while you press.
Inhale and hold, lift.
Breath in and hold.
Breathe in deeply, and hold it.
Take a slow deep breath in, hold for three seconds.
Don't breathe.
Don’t breathe out till you’re back.
Do not breathe while you push.
No breathing while you press.
Lift without breathing.
Stop breathing while you lift.
Keep the air in.
Take a deep breath in and hold it for five.
Breathe in. Hold. Breathe out.
Breathe in... hold... breathe out.
Breathe in – hold – breathe out.
Take a breath in. Hold it. Push.
Don't exhale until you are up.
Breathe in for four, hold for four, out for six.
Fill your lungs and hold.
Press with your breath held.
When you are up, hold your breath.
If you can, hold your breath.
While holding your breath, lift.
Stop, hold your breath.
Don't move, hold your breath.
Hold a deep breath.""".splitlines()

NOT_HELD = """\
If you catch yourself holding your breath, use less force.
If you hold your breath, use less force.
Stop holding your breath.
Lighter if you're holding your breath.
Lighter if you’re holding your breath.
Are you holding your breath?
Take care that you aren't holding your breath.
You needn't hold your breath.
Never hold your breath, and do not bear down.
Do not strain, bear down or hold your breath.
Do not push against the belt, or hold your breath.
Breathe out instead of bearing down.
Don't stop breathing.
Don’t stop breathing.
Do not breathe too fast.
Never lift without breathing out.
Keep your breath flowing.
Breathe in, then hold the bar.
Breathe in as you hold the seat.
Breathe in while you hold.
Breathe in and hold the stretch.
Breathe in and out as you hold.
Take a deep breath, breathe out, and hold.
Rest for a breath, then hold again.
Take a deep breath, relax, and hold for 30 seconds.
Take a deep breath. Hold for 30 seconds.
Take a breath in, let it go, and hold.
Lift your leg and hold it in the air.""".splitlines()


@pytest.mark.parametrize("text", HELD)
def test_a_held_breath_is_heard(text: str) -> None:
    """In the words as they are written, so that they can be pointed at."""
    assert asked_phrase(text) in text
    assert asked_phrase(text)


@pytest.mark.parametrize("text", NOT_HELD)
def test_a_warning_or_another_hold_is_none(text: str) -> None:
    """The error could not even be accepted."""
    assert asked_phrase(text) == ""


PAUSED = """\
Breathe in. Pause. Breathe out.
Breathe in, pause, breathe out.
Breathe in and pause, then breathe out.
Breathe in... pause... breathe out.
Inhale, pause, exhale.
Inhale. Pause for two. Exhale.
Breathe in – pause – breathe out.
Breathe in slowly. Pause at the top. Breathe out.
Breathe in, pause at the top, breathe out slowly.
Breathe in deeply, then pause for three seconds.
Take a deep breath in. Pause. Let it go.
Take a breath in, pause, and breathe out.
Breathe in, wait, breathe out.
Breathe in. Wait. Breathe out.
Breathe in and pause.
Inhale and pause for three seconds.
Breathe in for four, pause for two, out for six.
Pause your breath at the top.
Pause your breathing for three seconds.
Pause the breath, then let it go.
Breathe in through your nose. Pause. Breathe out through your lips.
Breathe out, then stay empty for three seconds.
Breathe in, keep it, breathe out.
Breathe in. Keep it in. Breathe out.
Breathe in and stay full for three seconds.
Fill your lungs, pause, and let go.
Deep breath in, pause, and out.
Inhale through the nose, pause, exhale through the mouth.
Breathe in to the top, pause there, then out.
Breathe in. Pause briefly. Breathe out.""".splitlines()

NOT_PAUSED = """\
Breathe in and out, then pause.
Breathe in as you pause at the top.
Breathe in, breathe out, and pause.
Pause, and breathe in.
Pause and breathe.
Pause at the top and keep breathing.
Breathe in. Breathe out. Pause.
Breathe in as you lift, pause, breathe out as you lower.
Breathe in and lift your arms. Pause at the top.
Breathe in without a pause.
Breathe in and out without pausing.
Do not pause between breathing in and breathing out.
Breathe in, no pause, breathe out.
Breathe in, and pause the recording if you need a rest.
Pause for a breath at the bottom.
Take a breath in the pause.
Take a deep breath, relax, and pause.
Breathe in, then wait for the tone before you lift.
Breathe in. Wait for the count, then begin.
Breathe in while you wait for the tone.
Pause whenever you need to catch your breath.
Breathe out as you pause.
Lift, pause, lower, and keep breathing.
Breathe in on the way down, pause in the chair, breathe out as you stand.
Breathe in, out, and pause before the next one.
Take a breath, pause the recording, and sit down.
Never pause your breath.
Don't pause your breathing.
Breathe in. Rest. Breathe out when you push.
Breathe in through your nose and wait until your belly rises.""".splitlines()


@pytest.mark.parametrize("text", PAUSED)
def test_a_pause_before_the_breath_out_is_a_held_breath(text: str) -> None:
    """Whatever it is called."""
    assert paused_phrase(text) in text
    assert paused_phrase(text)


@pytest.mark.parametrize("text", [*NOT_PAUSED, *NOT_HELD])
def test_a_pause_elsewhere_is_none(text: str) -> None:
    """After the breath out, in the movement, of the recording, or while breathing."""
    assert paused_phrase(text) == ""


@pytest.mark.parametrize("exercise", ["kind: free, time: 30 s", "kind: hold, hold: 5 s"])
def test_a_pause_is_told_as_a_caution_in_an_effort_too(tmp_path: Path, exercise: str) -> None:
    """It can be accepted; the error for a breath held in an effort cannot."""
    line = "setup: Breathe in. Pause. Breathe out., involves: [isometric effort]"
    rules = rules_of(tmp_path, f"{exercise}, {line}")
    assert "held-breath" in rules
    assert "held-breath-effort" not in rules


def rules_of(folder: Path, exercise: str, opening: str = "Sit down.") -> set[str]:
    """The ids of what the checks say about an exercise."""
    text = f'title: Breath\nopening: "{opening}"\nexercises:\n  - {{name: Press, {exercise}}}\n'
    return {one.rule for one in check_routine(routine(text, folder)).problems}


PRESS = "kind: hold, hold: 5 s, involves: [isometric effort]"


def test_asking_to_hold_it_is_no_word_about_breathing(tmp_path: Path) -> None:
    """Nor does it stand for one as the `breathe` line."""
    held = "Take a breath and hold it while you press."
    for line in ("setup", "breathe"):
        rules = rules_of(tmp_path, f"{PRESS}, {line}: {held}")
        assert {"held-breath-effort", "isometric-breathing"} <= rules
    both = rules_of(tmp_path, f"{PRESS}, setup: {held}, breathe: Breathe out.")
    assert "held-breath-effort" in both
    assert "isometric-breathing" not in both


def test_the_opening_is_read_for_it_as_well(tmp_path: Path) -> None:
    """As a caution: no effort is under way."""
    rules = rules_of(tmp_path, PRESS, "Take a deep breath in and hold it for five.")
    assert "held-breath" in rules


REPS = "kind: reps, reps: 8, tempo: {out: 2 s, back: 2 s}"
FREE = "kind: free, time: 30 s"
TOGETHER = """\
Lift as you breathe in.
Lift while breathing in.
Lift your leg while you breathe in.
Breathe in and lift.
Breathe in to lift.
Breathe in and stand.
Breathe in as you straighten.
Breathe in as you come up.
Inhale, push.
Inhale up, exhale down.
Squeeze as you inhale.
Press the band and breathe in.""".splitlines()
APART = """\
Breathe in, and lift your chest.
Breathe in, lift as you breathe out.
Breathe in to prepare, lift as you breathe out.
Breathe out as you lift, breathe in as you lower.
Breathe out and lift, breathe in and lower.
Exhale as you step up, inhale as you step down.
Exhale, push. Inhale, return.
Inhale down, exhale up.
Breathe in and stand tall.
Stand tall and breathe in.
Lift and breathe in and out.
Breathe in as you bend, out as you straighten.
Breathe in as you straighten your arms.
Breathe in as your belly rises.""".splitlines()


@pytest.mark.parametrize("text", TOGETHER)
def test_an_effort_on_the_breath_in_is_told(tmp_path: Path, text: str) -> None:
    """In repetitions, whichever comes first and however they are joined."""
    assert "effort-breathing-in" in rules_of(tmp_path, f'{REPS}, setup: "{text}"')


@pytest.mark.parametrize("text", APART)
def test_a_breath_in_beside_the_effort_is_not(tmp_path: Path, text: str) -> None:
    """The way back, a chest that opens, a stance."""
    assert "effort-breathing-in" not in rules_of(tmp_path, f'{REPS}, setup: "{text}"')


def test_loose_pairs_count_in_an_effort_only(tmp_path: Path) -> None:
    """A gentle reach may begin with a breath in."""
    line = "setup: Breathe in and lift."
    assert "effort-breathing-in" in rules_of(tmp_path, f"{REPS}, {line}")
    assert "effort-breathing-in" not in rules_of(tmp_path, f"{FREE}, {line}")


@pytest.mark.parametrize(
    ("calls", "told"),
    [
        ("{out: Breathe in and stand, back: Down}", True),
        ("{out: Breathe in, back: Breathe out}", True),
        ("{out: Breathe out, back: Breathe in}", False),
    ],
)
def test_what_is_called_in_the_effort_counts(tmp_path: Path, calls: str, told: bool) -> None:
    """`out` is the effort of a repetition."""
    rules = rules_of(tmp_path, f"{REPS}, calls: {calls}")
    assert ("effort-breathing-in" in rules) is told
