"""What is heard between stretches of work: lead-ins, side changes, rests.

Each builder returns a span with its range, raised where the range is too short for
what must be said or for changing position, and reports a problem where it cannot be.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from breathmark.problems import Problem
from breathmark.routine.model import Exercise, Position, Routine, Side
from breathmark.script import pacing
from breathmark.script.coaching import lead_in_coaching, with_sides
from breathmark.script.dose_words import dose_sentences
from breathmark.script.draft import Line, SpanDraft, SpeechLengths
from breathmark.script.intervals import Interval
from breathmark.script.session import TONE_MS, Activity, Purpose, Tone
from breathmark.script.wishes import Wishes
from breathmark.script.words import Words
from breathmark.units import Ranged, duration_text


@dataclass(frozen=True, kw_only=True, slots=True)
class Desk:
    """What every builder needs at hand, and where it puts what is wrong."""

    routine: Routine
    wishes: Wishes
    words: Words
    lengths: SpeechLengths
    problems: list[Problem] = field(default_factory=list)

    @property
    def first_side(self) -> Side:
        """The side that comes first where an exercise does not say."""
        return self.wishes.first_side or self.routine.first_side

    def ms(self, duration_ms: int) -> int:
        """Milliseconds as samples."""
        return self.lengths.ms(duration_ms)

    def said(self, lines: tuple[Line, ...], pause_ms: int = pacing.BETWEEN_SENTENCES_MS) -> int:
        """How long lines last, one after another with a pause between them."""
        pauses = self.ms(pause_ms) * max(0, len(lines) - 1)
        return sum(self.lengths.of(line.text) for line in lines) + pauses

    @property
    def end_tone(self) -> int:
        """How long the end tone keeps the start of a rest, in samples."""
        return self.ms(TONE_MS[Tone.END] + pacing.AFTER_TONE_MS)


def lead_in(
    desk: Desk, exercise: Exercise, first: Interval, before: Position | None, *, opens: bool
) -> SpanDraft:
    """From the end of what came before to the start tone: name, dose, set-up, time to get ready.

    ``before`` is the position that the patient comes from; ``opens`` marks the first
    exercise of the session.
    """
    said = _lead_in_lines(desk, exercise, first.side, opens=opens)
    ready = (Line(text=desk.words.say("ready"), purpose=Purpose.READY),)
    announced = desk.said(ready) + desk.ms(pacing.GET_READY_MS + pacing.READY_AHEAD_MS)
    speech = desk.end_tone + desk.said(said) + announced
    range_, path = _before(desk, exercise)
    need = speech
    if exercise.rests.before_ms is None:
        change = desk.ms(pacing.position_change_ms(before, exercise.position))
        need = max(speech, desk.end_tone + desk.lengths.of(said[0].text) + change)
    _report_short(desk, exercise, path, range_, speech=speech, need=need)
    low, usual, high = _raised(desk, range_, need)
    return SpanDraft(
        activity=Activity.LEAD_IN,
        doing="listen and get into position",
        low=low,
        usual=usual,
        high=high,
        path=path,
        side=first.side,
        first=said,
        last=ready,
        coaching=lead_in_coaching(exercise, first, desk.words),
    )


def _lead_in_lines(
    desk: Desk, exercise: Exercise, side: Side | None, *, opens: bool
) -> tuple[Line, ...]:
    key = "first exercise" if opens else "next exercise"
    dose = dose_sentences(exercise, side, desk.words)
    lines = [Line(text=desk.words.say(key, name=exercise.name), purpose=Purpose.NAME)]
    lines += [Line(text=dose, purpose=Purpose.DOSE)] if dose else []
    lines += [
        Line(text=with_sides(text, side, desk.words), purpose=Purpose.SETUP)
        for text in exercise.setup
    ]
    return (*lines, *_helper_lines(desk, exercise, side))


def _helper_lines(desk: Desk, exercise: Exercise, side: Side | None) -> tuple[Line, ...]:
    """What the helper should do on a side; nothing where there is no helper."""
    if not (desk.wishes.helper and exercise.helper):
        return ()
    text = desk.words.say("helper", helper=" ".join(exercise.helper))
    return (Line(text=with_sides(text, side, desk.words), purpose=Purpose.SETUP),)


def _said_again(desk: Desk, exercise: Exercise, side: Side) -> tuple[Line, ...]:
    """What bears repeating for the other side: the set-up, and a helper's line that names it."""
    again = " ".join(with_sides(text, side, desk.words) for text in exercise.setup)
    setup = (Line(text=again, purpose=Purpose.SETUP),) if again else ()
    names_side = any("side}" in text for text in exercise.helper)
    return (*setup, *(_helper_lines(desk, exercise, side) if names_side else ()))


def _before(desk: Desk, exercise: Exercise) -> tuple[Ranged, str]:
    """The lead-in's range in milliseconds, and the field that decides it."""
    if exercise.rests.before_ms is not None:
        return exercise.rests.before_ms, f"{exercise.path}.rests.before"
    between = desk.routine.rests.before_ms
    if between is None:
        raise ValueError("a routine's own rests are always whole")
    settle = pacing.SETTLE_MS if exercise.rests.after_ms is None else 0
    low, usual, high = (
        max(0, amount - settle) for amount in (between.low, between.usual, between.high)
    )
    return Ranged(low=low, usual=usual, high=high), "rests.exercises"


def _report_short(
    desk: Desk, exercise: Exercise, path: str, range_: Ranged, *, speech: int, need: int
) -> None:
    if need <= desk.ms(range_.high):
        return
    needed = duration_text(_up_to_half_second(desk.lengths.to_ms(need)))
    if speech >= need:
        own = path.startswith(exercise.path)
        rule, where = "set-up-too-long", path if own else f"{exercise.path}.setup"
        why, other = "to say its name and set-up", "shorten its set-up"
    else:
        rule, where = "position-change-too-short", f"{exercise.path}.position"
        why, other = "to change position", "put exercises of one position together"
    desk.problems.append(
        Problem(
            rule=rule,
            message=(
                f"{exercise.name}: {needed} are needed {why} and get ready, "
                f"but the rest before it lasts at most {duration_text(range_.high)}"
            ),
            place=desk.routine.place(where),
            remedy=f"Write `rests: {{before: {needed}}}` at this exercise, or {other}.",
        )
    )


def _up_to_half_second(duration_ms: int) -> int:
    return -(-duration_ms // 500) * 500


def _raised(desk: Desk, range_: Ranged, need: int) -> tuple[int, int, int]:
    """The range in samples, its lower end and its usual raised to what is needed."""
    tidy = desk.ms(_up_to_half_second(desk.lengths.to_ms(need)))
    high = max(desk.ms(range_.high), need)
    low = min(max(desk.ms(range_.low), need), high)
    usual = min(max(desk.ms(range_.usual), tidy), high)
    return low, max(low, usual), high


def side_change(desk: Desk, exercise: Exercise, coming: Interval) -> SpanDraft:
    """Between two intervals on different sides; the first time, what bears it is said again."""
    side = coming.side
    if side is None:
        raise ValueError("a side change comes before an interval with a side")
    change = (Line(text=desk.words.say("change side", side=desk.words.side(side)),
                   purpose=Purpose.CHANGE),)  # fmt: skip
    ready = (Line(text=desk.words.say("ready"), purpose=Purpose.READY),)
    range_, path = _between(desk, exercise, "sides")
    shortest = desk.end_tone + desk.said(change) + desk.ms(pacing.BEFORE_TONE_MS)
    comfortable = (
        shortest
        + desk.said(ready)
        + desk.ms(pacing.GET_READY_MS + pacing.READY_AHEAD_MS - pacing.BEFORE_TONE_MS)
    )
    has_ready = comfortable <= desk.ms(range_.high)
    need = comfortable if has_ready else shortest
    _report_too_short(desk, exercise, path, range_, need)
    low, usual, high = _raised(desk, range_, need)
    first_time = coming.index == 1 or coming.set_number == 1
    return SpanDraft(
        activity=Activity.SIDE_CHANGE,
        doing=f"change to the {side} side",
        low=low,
        usual=usual,
        high=high,
        path=path,
        side=side,
        set_number=coming.set_number,
        first=change,
        last=ready if has_ready else (),
        spare=_said_again(desk, exercise, side) if first_time else (),
    )


def set_rest(desk: Desk, exercise: Exercise, coming: Interval) -> SpanDraft:
    """Between two sets of the same side; a short rest is kept free of words."""
    announce = (Line(text=desk.words.say("set number", n=coming.set_number),
                     purpose=Purpose.READY),)  # fmt: skip
    range_, path = _between(desk, exercise, "sets")
    shortest = desk.end_tone + desk.ms(pacing.BEFORE_TONE_MS - pacing.AFTER_TONE_MS)
    spoken = desk.end_tone + desk.said(announce) + desk.ms(pacing.READY_AHEAD_MS)
    is_spoken = spoken <= desk.ms(range_.high)
    need = spoken if is_spoken else shortest
    _report_too_short(desk, exercise, path, range_, need)
    low, usual, high = _raised(desk, range_, need)
    word = (Line(text=desk.words.say("rest"), purpose=Purpose.CHANGE),)
    has_word = need + desk.said(word) + desk.ms(pacing.A_BREATH_MS) <= low
    return SpanDraft(
        activity=Activity.REST,
        doing="rest",
        low=low,
        usual=usual,
        high=high,
        path=path,
        side=coming.side,
        set_number=coming.set_number,
        first=word if has_word else (),
        last=announce if is_spoken else (),
    )


def _between(desk: Desk, exercise: Exercise, which: str) -> tuple[Ranged, str]:
    own, general = (
        (exercise.rests.sets_ms, desk.routine.rests.sets_ms)
        if which == "sets"
        else (exercise.rests.sides_ms, desk.routine.rests.sides_ms)
    )
    range_ = own or general
    if range_ is None:
        raise ValueError("a routine's own rests are always whole")
    return range_, f"{exercise.path}.rests.{which}" if own else f"rests.{which}"


def _report_too_short(desk: Desk, exercise: Exercise, path: str, range_: Ranged, need: int) -> None:
    if need <= desk.ms(range_.high):
        return
    needed = _up_to_half_second(desk.lengths.to_ms(need))
    desk.problems.append(
        Problem(
            rule="rest-too-short",
            message=(
                f"{exercise.name}: this rest lasts at most {duration_text(range_.high)}, "
                f"but its tones and words need {duration_text(needed)}"
            ),
            place=desk.routine.place(path),
            remedy=f"Allow {duration_text(needed)} or more here.",
        )
    )


def settle(desk: Desk, exercise: Exercise) -> SpanDraft | None:
    """The rest that closes an exercise's own chapter; none when the author wrote none."""
    own = exercise.rests.after_ms
    range_ = own or Ranged.fixed(pacing.SETTLE_MS)
    if range_.high == 0:
        return None
    path = f"{exercise.path}.rests.after" if own else exercise.path
    need = desk.end_tone
    _report_too_short(desk, exercise, path, range_, need)
    low, usual, high = _raised(desk, range_, need) if own else (desk.ms(range_.usual),) * 3
    word = (Line(text=desk.words.say("and rest"), purpose=Purpose.CHANGE),)
    has_word = need + desk.said(word) <= low
    return SpanDraft(
        activity=Activity.REST,
        doing="rest",
        low=low,
        usual=usual,
        high=high,
        path=path,
        first=word if has_word else (),
    )
