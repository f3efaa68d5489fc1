"""The shorthand of a hurried clinician is said as that clinician would say it.

What each short form stands for: common practice in physical therapy notes in the United
States, from memory; the dates are written by ISO 8601, spinal levels by the letter of the
region and the number of the vertebra.
"""

from __future__ import annotations

import pytest

from breathmark.speech.engines.piper import PiperEngine
from breathmark.speech.lexicon import load_lexicon
from breathmark.speech.profiles import load_profile
from breathmark.speech.speakable import speakable
from breathmark.speech.speaker import lexicon_for

SHORTHAND = {
    "C5–C6": "C5 to C6.",
    "L4-5": "L4 to 5.",
    "T1–T4": "T1 to T4.",
    "90° flexion": "90 degrees of flexion.",
    "Avoid >90° hip flexion": "Avoid more than 90 degrees of hip flexion.",
    "0°–90°": "0 degrees to 90 degrees.",
    "10–20% BW": "10 to 20 percent body weight.",
    "½ cup": "half a cup.",
    "1/2 turn": "half a turn.",
    "½ kneeling": "half kneeling.",
    "3/4 range": "three quarter range.",
    "¾-depth squat": "three quarter depth squat.",
    "2/3rds of the way": "two thirds of the way.",
    '1/4" wedge': "a quarter of an inch wedge.",
    'Step up 6"-8"': "Step up 6 to 8 inches.",
    "30'' hold": "30 second hold.",
    "5' walk": "5 minute walk.",
    "Walk 5'": "Walk 5 minutes.",
    "20#": "20 pounds.",
    "1 tsp": "1 teaspoon.",
    "Take 1-2 tabs PRN": "Take 1 to 2 tablets as needed.",
    "3 mph": "3 miles an hour.",
    "3 mi/h": "3 miles an hour.",
    "8-10 hrs/night": "8 to 10 hours a night.",
    "10/direction": "10 a direction.",
    "Hold x30s, rest 15s": "Hold for 30 seconds, rest 15 seconds.",
    "Sit upright x 5 min BID": "Sit upright for 5 minutes twice a day.",
    "Cat-cow x10": "Cat-cow, 10 times.",
    "Hold 5s x10 x3": "Hold 5 seconds, 10 times, 3 times.",
    "x2": "2 times.",
    "8–10 reps × 3 sets": "8 to 10 repetitions, 3 sets.",
    "3 sets x 30s/side": "3 sets of 30 seconds a side.",
    "Quad sets x10, 5s": "Quad sets, 10 times, 5 seconds.",
    "Heel raises 3 x 15 @ 2 kg": "Heel raises 3 times 15 at 2 kilograms.",
    "Squats: 3x8-10 @ RPE 6": "Squats: 3 times 8 to 10 at RPE 6.",
    "@ home": "at home.",
    "week 3+: 10 reps": "week 3 and on: 10 repetitions.",
    "Level 2/3": "Level 2 or 3.",
    "tempo 3-0-1-0": "tempo 3, 0, 1, 0.",
    "4–7–8": "4, 7, 8.",
    "4-6 breathing": "4, 6 breathing.",
    "inhale:exhale 1:2": "inhale, exhale 1 to 2.",
    "at 7:30": "at 7 30.",
    "5am-6pm": "5 AM to 6 PM.",
    "2024-05-10": "May 10.",
    "Mon-Fri": "Monday to Friday.",
    "Mon, Wed, Fri": "Monday, Wednesday, Friday.",
    "3x/wk on M/W/F": "3 times a week on Monday, Wednesday and Friday.",
    "M-W-F": "Monday, Wednesday and Friday.",
    "T/Th": "Tuesday and Thursday.",
    "Post-op wk 6": "Post-op week 6.",
    "Hold 3 sets of 10 w/ 5 lb. wt.": "Hold 3 sets of 10 with 5 pound weight.",
    "Push w/your foot": "Push with your foot.",
    "w/in reach": "within reach.",
    "b/c it helps": "because it helps.",
    "Clam shells 2x10 B/L": "Clam shells 2 times 10 on both sides.",
    "B/L squat": "bilateral squat.",
    "Bil. knees": "bilateral knees.",
    "Repeat on opp. side": "Repeat on opposite side.",
    "10x R, 10x L": "10 times right, 10 times left.",
    "Turn to the L.": "Turn to the left.",
    "R/L": "right or left.",
    "size L, please": "size L, please.",
    "No wt. on R LE": "No weight on right lower extremity.",
    "L > R": "left more than right.",
    "Pt. should sit upright": "the patient should sit upright.",
    "AROM as tol.": "active range of motion as tolerated.",
    "Keep ext. rotation": "Keep external rotation.",
    "Big toe ext": "Big toe extension.",
    "Knee flex to 90°": "Knee flexion to 90 degrees.",
    "Hip abd/add": "Hip abduction, adduction.",
    "SLR flex/abd/ext": "straight leg raise flexion, abduction, extension.",
    "post. capsule": "posterior capsule.",
    "6MWT": "6 minute walk test.",
    "10MWT": "10 meter walk test.",
    "8-RM": "8 repetition maximum.",
    "SpO2 > 90%": "oxygen level more than 90 percent.",
    "At pain level 4/10, stop.": "At pain level 4 out of 10, stop.",
    "Raise your R/L arm.": "Raise your right or left arm.",
    "SIJ pain": "SI joint pain.",
    "fig. 2": "figure 2.",
    "pg. 3": "page 3.",
    "QD": "once a day.",
    "↑ reps": "more reps.",
    "-> next": "next.",
    "Ready?Go": "Ready? Go.",
    "Stop.Then go": "Stop. Then go.",
    "NPRS 2": "NPRS 2.",
}

LETTERS = {
    "PT": "pˌiːtˈiː",
    "OT": "ˌoʊ tˈiː",
    "ITB": "ˌaɪ tˈiː bˈænd",
    "SIJ": "ˌɛs ˈaɪ dʒˈɔɪnt",
    "AFO": "ˌeɪ ˌɛf ˈoʊ",
    "TIA": "tˌiː ˌaɪ ˈeɪ",
    "ICU": "ˌaɪ sˌiː jˈuː",
    "VAS": "vˌiː ˌeɪ ˈɛs",
    "T12": "tˈiː twˈɛlv",
    "TMJ": "tˌiːʲˌɛmdʒˈeɪ",
}
"""Short forms that are said letter by letter, with the sounds that reach the model."""


@pytest.mark.parametrize(("written", "said"), SHORTHAND.items(), ids=repr)
def test_shorthand_is_said_in_full(written: str, said: str) -> None:
    """One row of the table."""
    assert speakable(written, {}) == said


@pytest.mark.parametrize("said", sorted(set(SHORTHAND.values())), ids=repr)
def test_said_in_full_it_stays(said: str) -> None:
    """Rewriting what was rewritten changes nothing."""
    assert speakable(said, {}).rstrip(".") == said.rstrip(".")


@pytest.fixture(scope="module")
def engine() -> PiperEngine:
    """The neural voice, for its phonemes."""
    return PiperEngine("", length_scale=1.0)


@pytest.mark.parametrize(("written", "sound"), LETTERS.items())
def test_letters_are_said_one_by_one(written: str, sound: str, engine: PiperEngine) -> None:
    """Never run together into a word: ``OT`` is no ``ott``."""
    profile = load_profile("calm")
    sounds = lexicon_for(profile, load_lexicon(profile.lexicon))
    said = "".join(engine.phonemes(speakable(written, sounds)))
    assert said.removesuffix(".") == sound


def test_words_are_no_short_forms() -> None:
    """What only looks like shorthand stays as it is."""
    for line in (
        "Text a friend.", "Add weight.", "Part A is next.", "Vitamin D helps.", "Lift and flex.",
        "Let your hip flex.",
        "Sat up, and sun on your face.", "A wet towel.", "Stop, then rest.", "We meet on May 5.",
    ):  # fmt: skip
        assert speakable(line, {}) == line
