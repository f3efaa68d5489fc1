"""Amounts, signs and short forms are said as a person would say them.

Marks behind the rows: SI, the SI Brochure (9th edition, 2019): names of units, a blank
between number and unit, ° for degrees, min and h beside the SI; ISO 8601 for clock
times; RX, the abbreviations of prescriptions (b.i.d. and so on) as medical dictionaries
list them, from memory; PT, common practice in physical therapy notes, from memory.
Rows without a mark are common practice.
"""

from __future__ import annotations

import pytest

from breathmark.speech.speakable import speakable

AMOUNTS = {
    "30 s": "30 seconds.",  # SI
    "1 s": "1 second.",  # SI
    "45 sec": "45 seconds.",
    "45 secs.": "45 seconds.",
    "Hold 30 sec. Then rest.": "Hold 30 seconds. Then rest.",
    "Hold for 2 min 30 s. Rest 1 min.": "Hold for 2 minutes and 30 seconds. Rest 1 minute.",  # SI
    "10 min": "10 minutes.",  # SI
    "10 min walk": "10 minute walk.",
    "a 10 min walk": "a 10 minute walk.",
    "1 h": "1 hour.",  # SI
    "2 hrs": "2 hours.",
    "1 h 30 min": "1 hour and 30 minutes.",  # SI
    "1h30": "1 hour and 30 minutes.",
    "1 h 1 min 1 s": "1 hour, 1 minute and 1 second.",  # SI
    "500 ms": "500 milliseconds.",  # SI
    "6 wks": "6 weeks.",
    "2-3 wk": "2 to 3 weeks.",
    "3 mos": "3 months.",
    "2 yrs": "2 years.",
    "70 y/o": "70 years old.",
    "3.0 kg": "3 kilograms.",  # SI
    "2.5 kg": "2.5 kilograms.",  # SI
    "2,5 kg": "2.5 kilograms.",  # SI: either sign of the decimal
    "0.5 kg": "0.5 kilograms.",
    "1 kg": "1 kilogram.",
    "a 2 kg weight": "a 2 kilogram weight.",
    "100 mg": "100 milligrams.",  # SI
    "5 g": "5 grams.",  # SI
    "5 lb": "5 pounds.",
    "10 lbs.": "10 pounds.",
    "5 lb. dumbbell": "5 pound dumbbell.",
    "8 oz": "8 ounces.",
    "5 cm": "5 centimeters.",  # SI
    "20 mm": "20 millimeters.",  # SI
    "400 m": "400 meters.",  # SI
    "1 m": "1 meter.",
    "5 km": "5 kilometers.",  # SI
    "2 mi": "2 miles.",
    "20 yd": "20 yards.",
    "1 ft": "1 foot.",
    "3 ft": "3 feet.",
    "6 inches": "6 inches.",
    "1 inch": "1 inch.",
    "a 6 in. step": "a 6 inch step.",
    "12 in wide": "12 inches wide.",
    'a 6" step': "a 6 inch step.",
    "Breathe in. Then out.": "Breathe in. Then out.",
    "5'10\"": "5 feet 10 inches.",
    "250 ml": "250 milliliters.",  # SI
    "2 l": "2 liters.",  # SI
    "120 mmHg": "120 millimeters of mercury.",
    "60 bpm": "60 beats a minute.",
    "90°": "90 degrees.",  # SI
    "90 °": "90 degrees.",
    "90-120°": "90 to 120 degrees.",
    "37 °C": "37 degrees Celsius.",  # SI
    "98 °F": "98 degrees Fahrenheit.",
    "60°/s": "60 degrees a second.",
    "10 cm/s": "10 centimeters a second.",
    "hip 90°/knee 90°": "hip 90 degrees, knee 90 degrees.",
    "3 s/3 s": "3 seconds, 3 seconds.",
}

CLOCKS = {
    "1:30": "1 minute and 30 seconds.",
    "0:05": "5 seconds.",
    "00:30": "30 seconds.",
    "1:05": "1 minute and 5 seconds.",
    "2:00 min": "2 minutes.",
    "1:00:00": "1 hour.",  # ISO 8601
    "1:01:01": "1 hour, 1 minute and 1 second.",  # ISO 8601
    "1'30\"": "1 minute and 30 seconds.",
    'hold 30"': "hold 30 seconds.",
    "8 am": "8 AM.",
    "8:30 a.m. daily": "8 30 AM daily.",
    "8:05 pm": "8 oh 5 PM.",
    "at 12:00 p.m.": "at 12 PM.",
    "8 o'clock": "8 o'clock.",
    "in 1998": "in 19 98.",
    "since 2019": "since 20 19.",
    "in 1905": "in 19 oh 5.",
    "in 2005": "in 2005.",
    "in 2000 steps": "in 2000 steps.",
    "the 1990s": "the 19 nineties.",
    "in your 60s": "in your sixties.",
    "20s": "20 seconds.",
}

TIMES = {
    "2 x 30 s": "2 times 30 seconds.",
    "2x30s": "2 times 30 seconds.",
    "3 × 10": "3 times 10.",
    "3 x 10-12 reps": "3 times 10 to 12 repetitions.",
    "3 sets x 10 reps": "3 sets of 10 repetitions.",
    "1 x 30 s": "1 time 30 seconds.",
    "5 x 10 s hold": "5 times 10 second hold.",
    "30 s x 3": "30 seconds, 3 times.",
    "2x": "2 times.",
    "2x/day": "2 times a day.",
    "1x/day": "once a day.",
    "2-3x/wk": "2 to 3 times a week.",
    "3 x / week": "3 times a week.",
    "10 reps/side": "10 repetitions a side.",
    "10/leg": "10 a leg.",
    "5 reps/min": "5 repetitions a minute.",
    "b.i.d.": "twice a day.",  # RX
    "TID": "three times a day.",  # RX
    "q.i.d.": "four times a day.",  # RX
    "q.d.": "once a day.",  # RX
    "q 2 h": "every 2 hours.",  # RX
    "p.r.n.": "as needed.",  # RX
    "1RM": "1 repetition maximum.",  # PT
    "1-rep max": "1 repetition max.",  # PT
    "5+ reps": "5 or more repetitions.",
    "65+": "65 or more.",
}

RANGES = {
    "5-10": "5 to 10.",
    "5 - 10 s": "5 to 10 seconds.",
    "5–10 s": "5 to 10 seconds.",
    "1–2 min": "1 to 2 minutes.",
    "8 to 12 reps": "8 to 12 repetitions.",
    "4-7-8 breathing": "4, 7, 8 breathing.",
    "50-60 %": "50 to 60 percent.",
    "30 s → 45 s": "30 seconds to 45 seconds.",
    "C5-C6": "C5 to C6.",
    "L5-S1": "L5 to S1.",
    "C5/C6": "C5, C6.",
    "1st-2nd": "first to second.",
    "-5°": "minus 5 degrees.",
    "+5 kg": "plus 5 kilograms.",
    "±5°": "plus or minus 5 degrees.",
    "10 ± 2": "10 plus or minus 2.",
    ">90°": "more than 90 degrees.",
    "< 5 min": "less than 5 minutes.",
    "≥ 30 s": "at least 30 seconds.",
    "≤ 3/10": "at most 3 out of 10.",
    "~10 s": "about 10 seconds.",
}

PARTS = {
    "1/2": "one half.",
    "1/2 min": "half a minute.",
    "1/2 h": "half an hour.",
    "3/4 h": "three quarters of an hour.",
    "1/3 of the way": "one third of the way.",
    "2/3": "two thirds.",
    "5/8": "five eighths.",
    "1½ min": "1 and a half minutes.",
    "1 1/2 turns": "1 and a half turns.",
    "¼ squat": "one quarter squat.",
    "pain 3/10": "pain 3 out of 10.",
    "RPE 5-6/10": "RPE 5 to 6 out of 10.",
    "BP 120/80": "blood pressure 120 over 80.",
    "90/90": "90, 90.",
    "100%": "100 percent.",
    "1,000 steps": "1,000 steps.",
    "1st": "first.",
    "the 2nd set": "the second set.",
    "12th": "twelfth.",
    "20th": "twentieth.",
    "21st": "twenty-first.",
    "No. 3": "number 3.",
    "#3": "number 3.",
    "No. Stop.": "No. Stop.",
}

TRADE = {
    "10 reps": "10 repetitions.",
    "1 rep": "1 repetition.",
    "full ROM": "full range of motion.",  # PT
    "AROM": "active range of motion.",  # PT
    "PROM, AAROM": "passive range of motion, active assisted range of motion.",  # PT
    "SLR": "straight leg raise.",  # PT
    "TKE": "terminal knee extension.",  # PT
    "after TKR": "after total knee replacement.",  # PT
    "s/p THR": "after total hip replacement.",  # PT
    "LBP": "low back pain.",  # PT
    "your HEP": "your home exercise program.",  # PT
    "ADLs": "activities of daily living.",  # PT
    "WBAT": "weight bearing as tolerated.",  # PT
    "NWB": "no weight bearing.",  # PT
    "hip ER": "hip external rotation.",  # PT
    "ask your PT": "ask your PT.",  # PT: said as two letters
    "R leg": "right leg.",  # PT
    "Lt. knee": "left knee.",  # PT
    "(R) arm": "right arm.",  # PT
    "10 ea": "10 each.",
    "bilat. squat": "bilateral squat.",
    "w/ band": "with band.",
    "w/o band": "without band.",
    "e.g., a towel": "for example, a towel.",
    "i.e. slowly": "that is, slowly.",
    "sit, stand, etc. Then rest.": "sit, stand, and so on. Then rest.",
    "approx. 5 cm": "approximately 5 centimeters.",
    "left vs. right": "left against right.",
    "max. 3": "at most 3.",
    "min. 3 times": "at least 3 times.",
    "incl. warm-up": "including warm-up.",
    "and/or": "or.",
    "left / right": "left or right.",
    "left & right": "left and right.",
    "the rom": "the rom.",
    "Let us go": "Let us go.",
}

CASES = {**AMOUNTS, **CLOCKS, **TIMES, **RANGES, **PARTS, **TRADE}


def test_the_table_is_large_enough() -> None:
    """At least 150 rows, no two of them alike."""
    assert len(CASES) >= 150
    tables = (AMOUNTS, CLOCKS, TIMES, RANGES, PARTS, TRADE)
    assert len(CASES) == sum(map(len, tables))


@pytest.mark.parametrize(("written", "said"), CASES.items(), ids=repr)
def test_amounts_are_said_as_by_a_person(written: str, said: str) -> None:
    """One row of the tables."""
    assert speakable(written, {}) == said


@pytest.mark.parametrize("said", sorted(set(CASES.values())), ids=repr)
def test_what_is_said_once_stays_as_it_is(said: str) -> None:
    """Rewriting what was rewritten changes nothing: no row undoes another."""
    assert speakable(said, {}) == said
