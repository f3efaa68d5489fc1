"""What reaches the ear: ``.venv/bin/python scripts/listen.py``.

The demo and two further routines are made with each voice, decoded by ffmpeg and given to
a small recogniser: as they are, in noise, in loud noise, and as they arrive at an ear of
eighty years, in a quiet room and in the noisy one, each made for the usual hearing and for
ears that are hard of hearing.  The bare engine is heard and judged beside them.  Which lines
the recogniser gets together is luck, so each is heard in three cuts that are as good as each
other, and the mean counts.  It takes two hours; ``--only`` takes a part, and what was made and
heard stays in ``--folder``, so that the same is not done twice.  It is no test:
``tests/house`` holds what must hold.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import os
import sys
import tempfile
from collections.abc import Callable, Iterator, Sequence
from dataclasses import asdict, dataclass
from functools import cached_property, partial
from pathlib import Path
from typing import Any

import numpy as np

import _environment as environment
import demo

sys.path.insert(0, str(environment.TOP))  # listener, conditions and judge are the tests' own

from breathmark.deliver.handing import Wanted
from breathmark.pipeline import Order, make
from breathmark.script.session import Session
from breathmark.speech.profiles import load_profile
from breathmark.units import SESSION_RATE_HZ as RATE_HZ
from tests.conditions import Talk, in_noise, noise_to_ear, talk_of, to_ear
from tests.listening import Listener, Samples
from tests.outside import decode_with_ffmpeg
from tests.quality import Judge
from tests.speech.bare import BareVoice
from tests.speech.reading import session_of

FURTHER = environment.TOP / "tests" / "listening_routines"
ROUTINES = {path.stem: path for path in (demo.DEMO, *sorted(FURTHER.glob("*.yaml")))}
VOICES = ("calm", "clear", "system")
CONDITIONS: dict[str, Callable[[Talk, Talk], Samples]] = {
    "plain": lambda talk, _: talk.samples,
    "noise": in_noise,
    "loud-noise": partial(in_noise, snr_db=5.0),
    "ear": to_ear,
    "noise-at-ear": noise_to_ear,
}
CUTS_S = (27.0, 26.0, 25.0)
"""How long a passage may be that is heard at once, in each of the hearings."""

GAP_S = 0.6
"""From sound to sound of two lines that are judged."""

JUDGED_S = 7.0
"""How much speech a passage has that is judged, without its gaps: with them a piece of 9 s."""

EDGES, QUIET_DB = RATE_HZ // 25, 46.0
"""What is kept around a sound, in samples; how far below the loudest a sound is none."""

MADE_FOR = ("usual", "older", "hard of hearing")
PACES = {"own pace": True, "the voice's pace": False}


@dataclass(frozen=True, kw_only=True, slots=True)
class Recording:
    """A routine as it was delivered: decoded, with its plan."""

    name: str
    samples: Samples
    session: Session


@dataclass(kw_only=True)
class Ground:
    """Where things are made and remembered, and who listens."""

    folder: Path
    voices: tuple[str, ...]
    routines: tuple[str, ...]
    made_for: tuple[str, ...]
    made: dict[tuple[str, str, str], Recording]

    @cached_property
    def listener(self) -> Listener:
        """The recogniser."""
        return Listener.load()

    @cached_property
    def judge(self) -> Judge:
        """The quality score."""
        return Judge.load()

    def recordings(self, voice: str, made_for: str) -> Iterator[Recording]:
        """All routines with a voice, made for certain ears; each is made once."""
        for routine in self.routines:
            key = (voice, made_for, routine)
            if key not in self.made:
                self.made[key] = self._delivered(*key)
            yield self.made[key]

    def _delivered(self, voice: str, made_for: str, routine: str) -> Recording:
        patient = self.folder / f"{made_for.replace(' ', '-')}.yaml"
        patient.write_text(f"label: R-80\nhearing: {made_for}\n", encoding="utf-8")
        output = self.folder / f"{voice}-{patient.stem}"
        wanted = Wanted(papers=False)
        made = make(
            Order(
                source=ROUTINES[routine], patient=patient, output=output, voice=voice, wanted=wanted
            )
        )
        print(f"{'':8} made {routine}, {voice}, {made_for}", flush=True)
        mp3 = next(path for path in made.files if path.suffix == ".mp3")
        samples = decode_with_ffmpeg(mp3, made.session.rate_hz)
        return Recording(name=routine, samples=samples, session=made.session)

    def remembered(self, what: str, samples: Samples, find: Callable[[], Any]) -> dict[str, Any]:
        """What was found for these samples before, else what is found now."""
        digest = hashlib.sha256(what.encode() + samples.tobytes()).hexdigest()[:24]
        path = self.folder / f"{digest}.json"
        if not path.exists():
            path.write_text(json.dumps(asdict(find())), encoding="utf-8")
        found: dict[str, Any] = json.loads(path.read_text(encoding="utf-8"))
        return found

    def heard(self, what: str, samples: Samples, session: Session) -> list[dict[str, Any]]:
        """How the recogniser heard a session in each cut, printed line by line where it erred."""
        lines = [line.text for line in session.spoken]
        found = []
        for cut_s in CUTS_S:
            hear = partial(
                self.listener.hear_session, samples, session.rate_hz, session, cuts_s=(cut_s,)
            )
            found.append(self.remembered(f"heard {cut_s} {lines}", samples, hear))
            print(f"{_errors(found[-1]):4} of {found[-1]['words']:4}  {what}", flush=True)
            for miss in found[-1]["missed"]:
                print(f"{'':14}{miss['text']!r}: {'; '.join(miss['wrong'])}", flush=True)
        return found


def main(arguments: list[str]) -> int:
    """Measure what was asked for, and print the table."""
    parser = argparse.ArgumentParser(description="Hear what Breathmark delivers.")
    parser.add_argument("--only", nargs="*", choices=MEASUREMENTS, default=list(MEASUREMENTS))
    parser.add_argument("--voices", nargs="*", choices=VOICES, default=list(VOICES))
    parser.add_argument("--routines", nargs="*", choices=ROUTINES, default=list(ROUTINES))
    parser.add_argument("--made-for", nargs="*", choices=MADE_FOR, default=list(MADE_FOR))
    parser.add_argument(
        "--folder", type=Path, default=Path(tempfile.gettempdir()) / "breathmark-listen"
    )
    options = parser.parse_args(arguments)
    options.folder.mkdir(parents=True, exist_ok=True)
    os.environ.setdefault("BREATHMARK_STORE", str(options.folder / "store"))
    ground = Ground(
        folder=options.folder,
        voices=tuple(options.voices),
        routines=tuple(options.routines),
        made_for=tuple(options.made_for),
        made={},
    )
    rows = [row for key in options.only for row in MEASUREMENTS[key](ground)]
    print("\nword error rate of tiny.en: mean of three cuts (lowest to highest); mean by routine\n")
    print("\n".join(rows))
    return 0


def words(ground: Ground, condition: str) -> Iterator[str]:
    """Every voice in a condition, made for the usual hearing and for hard hearing."""
    for voice in ground.voices:
        for made_for in ground.made_for:
            found = [
                ground.heard(f"{one.name}, {voice}, {condition}, {made_for}", sound, one.session)
                for one, sound in _in_condition(ground, voice, condition, made_for)
            ]
            yield _row(voice, condition, made_for, found)


def _in_condition(
    ground: Ground, voice: str, condition: str, made_for: str
) -> Iterator[tuple[Recording, Samples]]:
    """Each recording as a condition lets it through: the volume is that of the usual one."""
    usual = ground.recordings(voice, MADE_FOR[0])
    for one, beside in zip(ground.recordings(voice, made_for), usual, strict=True):
        talks = [talk_of(each.samples, RATE_HZ, each.session) for each in (one, beside)]
        yield one, CONDITIONS[condition](*talks)


def bare(ground: Ground) -> Iterator[str]:
    """The bare engine on the same lines, at its own pace and at the voice's, heard plainly."""
    for voice in ground.voices:
        for pace, own in PACES.items():
            said = _bare(ground, voice, own_pace=own)
            found = [
                ground.heard(f"{name}, {voice}, bare, {pace}", sound, session)
                for name, (session, sound) in said.items()
            ]
            yield _row(voice, f"bare, {pace}", "", found)


def quality(ground: Ground) -> Iterator[str]:
    """DNSMOS of what is delivered less that of the bare engine at the voice's pace.

    Both say the same lines, from sound to sound as far apart, passage by passage: pauses alone
    move the marks by more than what is done to the speech.
    """
    for voice in ground.voices:
        pause_s = load_profile(voice).sentence_pause_ms / 1000
        joined = partial(_apart, gap_s=pause_s)
        bare = BareVoice(voice, RATE_HZ, own_pace=False, joined=joined)
        for made_for in ground.made_for:
            pairs = [
                [_apart(clips, GAP_S) for clips in zip(*passage, strict=True)]
                for one in ground.recordings(voice, made_for)
                for passage in _passages(one, bare)
            ]
            yield _marks_row(ground, voice, made_for, pairs)


MEASUREMENTS: dict[str, Callable[[Ground], Iterator[str]]] = {
    **{condition: partial(words, condition=condition) for condition in CONDITIONS},
    "bare": bare,
    "quality": quality,
}


def _bare(ground: Ground, voice: str, *, own_pace: bool) -> dict[str, tuple[Session, Samples]]:
    """The lines of each routine as the bare engine says them, half a second between them."""
    found = {}
    said = BareVoice(voice, RATE_HZ, own_pace=own_pace)
    for one in ground.recordings(voice, MADE_FOR[0]):
        lines = [line.text for line in one.session.spoken]
        said.measure(lines)
        found[one.name] = session_of(said, lines)
    return found


def _passages(one: Recording, bare: BareVoice) -> Iterator[list[tuple[Samples, Samples]]]:
    """Each line as it was delivered and as the bare engine says it, in passages."""
    said = {line.text: one.samples[line.start : line.end] for line in one.session.spoken}
    bare.measure(said)
    passage: list[tuple[Samples, Samples]] = []
    for text, clip in said.items():
        passage.append((clip, bare.clip(text)))
        if sum(len(clip) for clip, _ in passage) > JUDGED_S * RATE_HZ:
            yield passage
            passage = []


def _apart(clips: Sequence[Samples], gap_s: float) -> Samples:
    """Clips with so much silence from sound to sound, whatever they begin and end with."""
    silence = np.zeros(round(gap_s * RATE_HZ) - EDGES, dtype=np.int16)
    return np.concatenate([part for clip in clips for part in (_sound(clip), silence)])


def _sound(clip: Samples) -> Samples:
    """A clip from its first to its last sound, with :data:`EDGES` samples around them."""
    step = RATE_HZ // 200
    frames = clip[: len(clip) // step * step].astype(np.float64).reshape(-1, step)
    power = np.mean(frames**2, axis=1)
    heard = np.flatnonzero(power > power.max() * 10 ** (-QUIET_DB / 10)) * step
    around = np.pad(clip, EDGES)
    return around[heard[0] + EDGES // 2 : heard[-1] + step + EDGES + EDGES // 2]


def _row(voice: str, what: str, made_for: str, found: Sequence[list[dict[str, Any]]]) -> str:
    """The table's line for what was heard of all routines."""
    total = sum(one[0]["words"] for one in found)
    rates = [sum(map(_errors, cut)) / total for cut in zip(*found, strict=True)]
    each = "  ".join(
        f"{np.mean([_errors(cut) for cut in one]) / one[0]['words']:6.2%}" for one in found
    )
    return (
        f"{voice:7} {what:24} {made_for:16} {total:5} words"
        f"  {np.mean(rates):6.2%} ({min(rates):.2%} to {max(rates):.2%})   {each}"
    )


def _errors(heard: dict[str, Any]) -> int:
    """How many words were wrong in one hearing."""
    return sum(len(miss["wrong"]) for miss in heard["missed"])


def _marks_row(
    ground: Ground, voice: str, made_for: str, pairs: Sequence[Sequence[Samples]]
) -> str:
    """The table's line: mean differences, and in brackets how far 95 % of such means lie off."""
    found = []
    for pair in pairs:
        judged = [
            ground.remembered("judged at -26 dB", one, partial(ground.judge.marks, one, RATE_HZ))
            for one in pair
        ]
        found.append({key: judged[0][key] - judged[1][key] for key in judged[0]})
    print(f"{'':8} judged {voice}, {made_for}: {len(found)} passages", flush=True)
    shown = []
    for key in found[0]:
        apart = np.array([one[key] for one in found])
        error = 1.96 * apart.std(ddof=1) / np.sqrt(len(apart))
        shown.append(f"{key} {apart.mean():+.3f} ({error:.3f})")
    return f"{voice:7} delivered less bare, {made_for:16} {'  '.join(shown)}"


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))
