"""What holds for every plan, whatever the routine."""

from __future__ import annotations

import dataclasses
import itertools

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from breathmark.dose.room import Room
from breathmark.problems import InputProblems
from breathmark.routine.model import (
    BreathingDose,
    ContractRelaxDose,
    FreeDose,
    HoldDose,
    PauseDose,
    RepsDose,
    Routine,
    Side,
    Sides,
    When,
)
from breathmark.script.coaching import Coaching
from breathmark.script.draft import SpeechLengths
from breathmark.script.intervals import sets_of
from breathmark.script.lead_in import Desk
from breathmark.script.planner import draft_blocks
from breathmark.script.session import Activity, Purpose, Session, Sounded, Spoken, Tone
from breathmark.script.settle import room
from breathmark.script.silence import silences
from breathmark.script.wishes import Wishes
from breathmark.script.words import words_of
from breathmark.units import parse_duration_ms
from tests.script.planning import RATE_HZ, planned
from tests.script.routines import routines, speech_lengths


def work_ms(routine: Routine, index: int) -> int:
    """The dose of one work interval in milliseconds, worked out here on its own."""
    match routine.exercises[index].dose:
        case HoldDose(hold_ms=hold):
            return hold.usual
        case RepsDose(reps=reps, tempo=tempo):
            return reps.usual * (tempo.out_ms + tempo.hold_ms + tempo.back_ms + tempo.pause_ms)
        case FreeDose(time_ms=time) | PauseDose(time_ms=time):
            return time.usual
        case BreathingDose(breaths=breaths, pattern=pattern):
            return breaths.usual * pattern.breath_ms
        case ContractRelaxDose() as dose:
            return dose.contract_ms.usual + dose.relax_ms.usual + dose.stretch_ms.usual


@settings(max_examples=600, deadline=None, suppress_health_check=list(HealthCheck))
@given(routine=routines(), pace=st.integers(250, 550), coaching=st.sampled_from(list(Coaching)))
def test_every_plan_keeps_its_promises(routine: Routine, pace: int, coaching: Coaching) -> None:
    """Parts sum, nothing overlaps, lines end before tones, dose and sides are kept, no silence."""
    session = planned(routine, pace, coaching)
    parts_sum_to_the_whole(session)
    nothing_is_said_over_anything(session)
    lines_end_before_tones(session)
    coaching_lines_are_a_breath_apart(session)
    dose_is_kept_to_the_sample(routine, session)
    both_sides_are_equal(routine, session)
    every_work_interval_has_its_tones(session)
    nobody_wonders_whether_it_stopped(session)
    cues_of_a_set_stay_with_it(routine, session)


def parts_sum_to_the_whole(session: Session) -> None:
    assert sum(block.length for block in session.blocks) == session.length
    for block in session.blocks:
        assert sum(span.length for span in block.spans) == block.length
    assert session.length % RATE_HZ == 0
    assert all(event.start >= 0 and event.end <= session.length for event in session.events)


def nothing_is_said_over_anything(session: Session) -> None:
    events = session.foreground
    for one, two in itertools.pairwise(events):
        assert one.end <= two.start, (one, two)


def lines_end_before_tones(session: Session) -> None:
    events = session.foreground
    for one, two in itertools.pairwise(events):
        if isinstance(one, Spoken) and isinstance(two, Sounded):
            assert two.start - one.end >= RATE_HZ // 2, (one, two)


def coaching_lines_are_a_breath_apart(session: Session) -> None:
    coaching = [e for e in session.spoken if e.purpose is Purpose.CUE]
    for one, two in itertools.pairwise(coaching):
        assert two.start - one.end >= 3 * RATE_HZ // 2, (one, two)


def dose_is_kept_to_the_sample(routine: Routine, session: Session) -> None:
    for block in session.blocks:
        if block.exercise is None:
            continue
        work = [s for s in block.spans if s.activity in (Activity.WORK, Activity.PAUSE)]
        exercise = routine.exercises[block.exercise]
        sides = 2 if exercise.sides is Sides.EACH else 1
        more = 0 if exercise.extra_set is None else 1
        assert len(work) == sides * sets_of(exercise) + more
        assert {span.length for span in work} == {
            work_ms(routine, block.exercise) * (RATE_HZ // 1000)
        }


def both_sides_are_equal(routine: Routine, session: Session) -> None:
    for block in session.blocks:
        if block.exercise is None or routine.exercises[block.exercise].sides is not Sides.EACH:
            continue
        work = [span for span in block.spans if span.activity is Activity.WORK]
        done = {side: sum(s.length for s in work if s.side is side) for side in Side}
        extra = routine.exercises[block.exercise].extra_set
        if extra is not None:
            done[extra] -= work[0].length
            numbers = [span.set_number for span in work if span.side is extra]
            assert numbers == list(range(1, len(numbers) + 1))
        assert done[Side.LEFT] == done[Side.RIGHT] > 0


def every_work_interval_has_its_tones(session: Session) -> None:
    starts = {e.start for e in session.events if isinstance(e, Sounded) and e.tone is Tone.START}
    ends = {e.start for e in session.events if isinstance(e, Sounded) and e.tone is Tone.END}
    work = [s for b in session.blocks for s in b.spans if s.activity is Activity.WORK]
    assert starts == {span.start for span in work}
    assert ends == {span.end for span in work}


def nobody_wonders_whether_it_stopped(session: Session) -> None:
    for start, end in silences(session.events, session.length):
        assert end - start <= 20 * RATE_HZ, (start / RATE_HZ, end / RATE_HZ)


def cues_of_a_set_stay_with_it(routine: Routine, session: Session) -> None:
    """Said from the rest before its set to the set's end, or told; in no other set either."""
    for block in session.blocks:
        exercise = None if block.exercise is None else routine.exercises[block.exercise]
        if exercise is None or isinstance(exercise.dose, PauseDose):
            continue
        texts = [cue.say for cue in exercise.cues]
        pairs = [p for p in itertools.pairwise(block.spans) if p[1].activity is Activity.WORK]
        for cue in exercise.cues:
            if cue.when not in (When.FIRST_SET, When.LAST_SET) or texts.count(cue.say) > 1:
                continue
            for before, work in pairs:
                sets = [span.set_number for _, span in pairs if span.side is work.side]
                due = work.set_number == sets[0 if cue.when is When.FIRST_SET else -1]
                text = cue.say.replace("{side}", str(work.side))
                where = f" on the {work.side} side" if work.side else ""
                note = f"no room to say “{text}” in set {work.set_number}{where}"
                told = f"{block.title}: {note}" in session.left_out
                heard = [
                    line
                    for line in session.spoken
                    if line.purpose is Purpose.CUE
                    and line.text == text
                    and before.start <= line.start < work.end
                ]
                assert len(heard) + told == due, (cue, work)


def room_of(routine: Routine, ms_a_word: int) -> Room:
    """What the rests of a routine allow, its own length included in its welcome."""
    known: dict[str, int] = {}
    while True:
        lengths = SpeechLengths(known, rate_hz=RATE_HZ)
        words = words_of(routine.language)
        wishes = Wishes(voice="calm")
        desk = Desk(routine=routine, wishes=wishes, words=words, lengths=lengths)
        blocks = draft_blocks(desk)
        if not lengths.missing:
            return room([span for block in blocks for span in block.spans])
        known |= speech_lengths(lengths.missing, RATE_HZ, ms_a_word)


@settings(max_examples=200, deadline=None, suppress_health_check=list(HealthCheck))
@given(routine=routines(most=4), part=st.floats(-0.2, 1.2))
def test_a_length_is_met_exactly_or_refused_with_its_bounds(routine: Routine, part: float) -> None:
    """Inside what the rests allow the length is exact; outside, the error says by how much."""
    natural = room_of(routine, 400)
    wanted = natural.low + part * (natural.high - natural.low)
    length_ms = max(30, round(wanted / RATE_HZ)) * 1000
    routine = dataclasses.replace(routine, length_ms=length_ms)
    allowed = room_of(routine, 400)
    length = length_ms * (RATE_HZ // 1000)
    if length in allowed:
        session = planned(routine, 400)
        assert session.length == length
        dose_is_kept_to_the_sample(routine, session)
        nobody_wonders_whether_it_stopped(session)
        rests_stay_in_their_ranges(routine, session)
        return
    with pytest.raises(InputProblems) as caught:
        planned(routine, 400)
    bound = allowed.low if length < allowed.low else allowed.high
    off_s = abs(bound - length) / RATE_HZ
    (problem,) = caught.value.problems
    assert problem.rule == "length-out-of-reach"
    said_ms = parse_duration_ms(problem.message.split("that is ")[1].split(" too ")[0])
    # The opening of another length may be some seconds longer or shorter.
    assert abs(said_ms / 1000 - off_s) <= 4


def rests_stay_in_their_ranges(routine: Routine, session: Session) -> None:
    """No rest is longer than written; shorter ones only where words need the time."""
    for block in session.blocks:
        for span in block.spans:
            if span.activity is Activity.SIDE_CHANGE and routine.rests.sides_ms:
                assert span.length <= routine.rests.sides_ms.high * (RATE_HZ // 1000)
            if span.activity is Activity.LEAD_IN and routine.rests.before_ms:
                assert span.length <= routine.rests.before_ms.high * (RATE_HZ // 1000)
                assert (
                    span.length >= routine.rests.before_ms.low * (RATE_HZ // 1000) - 2.5 * RATE_HZ
                )
