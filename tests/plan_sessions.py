"""Invented sessions for the tests of what is made from a plan.

They have the shape of real ones (start tone where the work starts, end tone at its end,
halfway, countdown, counted repetitions, paced breathing, both sides) but are laid out
by hand here, so that no test leans on the planner.
"""

from __future__ import annotations

from dataclasses import dataclass, field

from breathmark.routine.model import Side
from breathmark.script.session import (
    TONE_MS,
    Activity,
    Block,
    Breath,
    Breathed,
    Event,
    Purpose,
    Session,
    Sounded,
    Span,
    Spoken,
    Tone,
)

RATE_HZ = 24_000
BOTH_SIDES = (Side.LEFT, Side.RIGHT)


def at(seconds: float) -> int:
    """Seconds as samples, exact for whole milliseconds."""
    return round(seconds * 1000) * (RATE_HZ // 1000)


@dataclass(slots=True)
class Sketch:
    """A session in the making; the pen is always at the end of what is drawn."""

    voice: str = "calm"
    pen: int = 0
    free: int = 0
    events: list[Event] = field(default_factory=list)
    blocks: list[Block] = field(default_factory=list)
    spans: list[Span] = field(default_factory=list)

    def say(self, offset_s: float, text: str, purpose: Purpose) -> None:
        """Say a line in the next span, at 0.06 s a letter, never over another sound."""
        start = max(self.pen + at(offset_s), self.free)
        length = at(0.3 + 0.06 * len(text))
        self.free = start + length + at(0.3)
        self.events.append(
            Spoken(start=start, length=length, text=text, voice=self.voice, purpose=purpose)
        )

    def tone(self, offset_s: float, tone: Tone) -> None:
        """Sound a tone in the next span."""
        start = max(self.pen + at(offset_s), self.free)
        self.events.append(Sounded(start=start, length=at(TONE_MS[tone] / 1000), tone=tone))
        self.free = start + at(TONE_MS[tone] / 1000) + at(0.2)

    def breathe(self, offset_s: float, length_s: float, direction: Breath) -> None:
        """Sound one breath in the next span."""
        start = self.pen + at(offset_s)
        self.events.append(Breathed(start=start, length=at(length_s), direction=direction))

    def span(
        self,
        length_s: float,
        activity: Activity,
        doing: str,
        side: Side | None = None,
        set_number: int | None = None,
    ) -> None:
        """Close the span that was being filled."""
        self.spans.append(
            Span(
                start=self.pen,
                length=at(length_s),
                activity=activity,
                doing=doing,
                side=side,
                set_number=set_number,
            )
        )
        self.pen += at(length_s)

    def chapter(self, title: str, exercise: int | None = None) -> None:
        """Close the chapter that was being filled."""
        spans, self.spans = tuple(self.spans), []
        start, length = spans[0].start, sum(span.length for span in spans)
        self.blocks.append(
            Block(start=start, length=length, title=title, spans=spans, exercise=exercise)
        )

    def lead_in(self, length_s: float, name: str, *lines: str) -> None:
        """The name and set-up of an exercise."""
        self.say(0.8, f"Next, {name}.", Purpose.NAME)
        for line in lines:
            self.say(0.0, line, Purpose.SETUP)
        self.span(length_s, Activity.LEAD_IN, "Get into position")

    def hold(self, hold_s: float, side: Side | None, number: int, cue: str) -> None:
        """One hold with its tones; the end tone falls on the end."""
        self.tone(0, Tone.START)
        self.say(4, cue, Purpose.CUE)
        if hold_s >= 20:
            self.tone(hold_s / 2, Tone.HALFWAY)
            self.say(hold_s / 2, "Halfway.", Purpose.TIME)
        for left in (3, 2, 1):
            self.tone(hold_s - left, Tone.COUNTDOWN)
        self.tone(hold_s, Tone.END)
        self.span(hold_s, Activity.WORK, f"Hold {hold_s:g} s", side, number)

    def reps(self, count: int, each_s: float, side: Side | None, number: int) -> None:
        """One set of counted repetitions."""
        self.tone(0, Tone.START)
        for index in range(count):
            text = "Last one." if index == count - 1 else f"{index + 1}."
            self.say(index * each_s + (0 if index else 0.4), text, Purpose.COUNT)
        self.tone(count * each_s, Tone.END)
        self.span(count * each_s, Activity.WORK, f"{count} repetitions", side, number)

    def breaths(self, count: int, in_s: float, out_s: float) -> None:
        """Paced breathing; three breaths are called."""
        self.tone(0, Tone.START)
        for index in range(count):
            base = index * (in_s + out_s)
            self.breathe(base, in_s, Breath.IN)
            if index < 3:
                self.say(base + 0.4, "Breathe in.", Purpose.BREATHING)
            self.breathe(base + in_s, out_s, Breath.OUT)
            if index < 3:
                self.say(base + in_s, "Breathe out.", Purpose.BREATHING)
        self.tone(count * (in_s + out_s), Tone.END)
        self.span(count * (in_s + out_s), Activity.WORK, f"{count} slow breaths", None, 1)

    def rest(
        self, length_s: float, text: str = "Rest.", activity: Activity = Activity.REST
    ) -> None:
        """A rest, a side change or a pause, with a word at its start."""
        self.say(1, text, Purpose.CHANGE)
        words = {Activity.REST: "Rest", Activity.SIDE_CHANGE: "Change sides"}
        self.span(length_s, activity, words.get(activity, "Drink some water"))

    def opening(self, length_s: float, *lines: str) -> None:
        """The opening chapter."""
        for line in lines:
            self.say(1, line, Purpose.OPENING)
        self.span(length_s, Activity.OPENING, "Listen")
        self.chapter("Opening")

    def closing(self, end_s: float, *lines: str) -> None:
        """The closing chapter, which lasts until ``end_s``."""
        for line in lines:
            self.say(2, line, Purpose.CLOSING)
        self.span((at(end_s) - self.pen) / RATE_HZ, Activity.CLOSING, "Sit for a while")
        self.chapter("Closing")

    def finished(
        self, title: str, *, left_out: tuple[str, ...] = (), notes: tuple[str, ...] = ()
    ) -> Session:
        """The session as drawn."""
        return Session(
            title=title,
            language="en",
            voice=self.voice,
            rate_hz=RATE_HZ,
            length=self.pen,
            blocks=tuple(self.blocks),
            events=tuple(sorted(self.events, key=lambda event: event.start)),
            left_out=left_out,
            notes=notes,
        )


def twelve_minutes() -> Session:
    """Twelve minutes exactly: a hold, repetitions on both sides and one, breaths, a pause."""
    sketch = Sketch()
    sketch.opening(
        45, "Steady on your feet. This session takes 12 minutes.", "Wear shoes that grip."
    )
    _calf_stretch(sketch)
    sketch.lead_in(20, "sit to stand", "Sit tall near the front edge of the seat.")
    sketch.reps(8, 7, None, 1)
    sketch.rest(30)
    sketch.chapter("Sit to stand", 1)
    sketch.say(0.5, "Take a short break for a drink of water.", Purpose.NAME)
    sketch.rest(40, "Take your time.", Activity.PAUSE)
    sketch.chapter("Water", 2)
    sketch.lead_in(24, "standing hip abduction", "Stand side-on to the counter.")
    for number, side in enumerate(BOTH_SIDES):
        sketch.reps(8, 4.5, side, 1)
        activity = Activity.REST if number else Activity.SIDE_CHANGE
        sketch.rest(13, "Rest." if number else "Now your right side.", activity)
    sketch.chapter("Standing hip abduction", 3)
    sketch.lead_in(20, "slow breathing", "Sit back and let your shoulders drop.")
    sketch.breaths(9, 4, 6)
    sketch.rest(8)
    sketch.chapter("Slow breathing", 4)
    sketch.closing(720, "Well done.", "Sit for a minute before you go on with your day.")
    return sketch.finished(
        "Steady on your feet",
        left_out=("Standing calf stretch: “Toes point at the cupboard.” found no room in set 2",),
        notes=("Rests between exercises were lengthened by 3 s each to reach 12 min.",),
    )


def _calf_stretch(sketch: Sketch) -> None:
    sketch.lead_in(
        38,
        "standing calf stretch",
        "Face the counter with both hands on it.",
        "Hold for 30 seconds.",
    )
    order = [(side, number) for number in (1, 2) for side in BOTH_SIDES]
    for index, (side, number) in enumerate(order):
        sketch.hold(30, side, number, "Back heel heavy on the floor.")
        if index < len(order) - 1:
            text = f"Now your {side.other} side."
            sketch.rest(12, text, Activity.SIDE_CHANGE)
    sketch.rest(9)
    sketch.chapter("Standing calf stretch", 0)


def one_exercise(name: str = "Heel raises", *, end_s: float = 180) -> Session:
    """A short session of one exercise."""
    sketch = Sketch()
    sketch.opening(25, "Stronger ankles. This session takes 3 minutes.")
    sketch.lead_in(15, name, "Stand behind the chair, hands on its back.")
    sketch.reps(10, 5, None, 1)
    sketch.rest(20)
    sketch.reps(10, 5, None, 2)
    sketch.chapter(name, 0)
    sketch.closing(end_s, "Well done.")
    return sketch.finished("Stronger ankles")


def many_exercises(count: int = 30, *, end_s: float = 3661, each: int = 1) -> Session:
    """A long session: ``count`` exercises, every third with a very long name."""
    sketch = Sketch()
    sketch.opening(60, "The long one.")
    for index in range(count):
        name = f"Exercise {index + 1}"
        if index % 3 == 1:
            name += (
                ", lying on the back with one knee bent and the other leg long on a rolled towel"
            )
        sketch.lead_in(20, name, "Get ready.")
        for number in range(1, each + 1):
            _work(sketch, index, number)
        sketch.rest(40)
        sketch.chapter(name, index)
    sketch.closing(end_s, "Well done.")
    return sketch.finished("The long one")


def _work(sketch: Sketch, index: int, number: int) -> None:
    if index % 4 == 0:
        sketch.breaths(6, 4, 6)
    elif index % 4 == 1:
        sketch.reps(10, 4, None, number)
    else:
        for side in BOTH_SIDES:
            sketch.hold(25, side, number, "Let your shoulders drop.")
            sketch.rest(8, "Change over.", Activity.SIDE_CHANGE)
