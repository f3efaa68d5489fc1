"""How amounts, signs and short forms are said in English: a table that can grow.

Each row is a pattern and what is said in its place; rows apply from top to bottom, so
an earlier row may leave work for a later one (``5-10 s`` is first ``5 to 10 s``).  The
short forms of the trade stand in :mod:`breathmark.speech.spoken_en_trade`.
"""

from __future__ import annotations

import re

from breathmark.speech.spoken_en_trade import SHORT_FORMS, TRADE
from breathmark.speech.spoken_signs import Replacement, Rewritings, compiled

_UNITS = {
    "hours?|hrs?|h": ("hour", "hours"),
    "minutes?|mins?": ("minute", "minutes"),
    "seconds?|secs?|s": ("second", "seconds"),
    "ms": ("millisecond", "milliseconds"),
    "weeks?|wks?": ("week", "weeks"),
    "months?|mos?": ("month", "months"),
    "years?|yrs?": ("year", "years"),
    "mm ?hg": ("millimeter of mercury", "millimeters of mercury"),
    "kg|kgs": ("kilogram", "kilograms"),
    "mg": ("milligram", "milligrams"),
    "g": ("gram", "grams"),
    "lbs?": ("pound", "pounds"),
    "oz": ("ounce", "ounces"),
    "cm": ("centimeter", "centimeters"),
    "mm": ("millimeter", "millimeters"),
    "km": ("kilometer", "kilometers"),
    "m": ("meter", "meters"),
    "mi": ("mile", "miles"),
    "yds?": ("yard", "yards"),
    "ft": ("foot", "feet"),
    "inch(?:es)?": ("inch", "inches"),
    "tsp": ("teaspoon", "teaspoons"),
    "tbsp": ("tablespoon", "tablespoons"),
    "ml": ("milliliter", "milliliters"),
    "l": ("liter", "liters"),
    "tabs?": ("tablet", "tablets"),
    "reps?": ("repetition", "repetitions"),
    "deg|degrees?": ("degree", "degrees"),
    "bpm": ("beat a minute", "beats a minute"),
    "mph": ("mile an hour", "miles an hour"),
    "rpm": ("turn a minute", "turns a minute"),
}
_NOUNS = (
    "holds?|walks?|stretch(?:es)?|dumbbells?|weights?|planks?|sessions?|intervals?|pauses?|rests?"
    "|bends?|bands?|steps?|sets?|breaks?|balls?|box|warm-ups?|cool-downs?|squeezes?|counts?|max"
)
"""What an amount is of, when it stands right behind: ``a 10 minute walk``."""

_PARTS = {2: ("half", "halves"), 3: ("third", "thirds"), 4: ("quarter", "quarters"),
          5: ("fifth", "fifths"), 8: ("eighth", "eighths")}  # fmt: skip
_COUNTS = ("zero", "one", "two", "three", "four", "five", "six", "seven")
_ORDINALS = (
    *("zeroth", "first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth"),
    *("ninth", "tenth", "eleventh", "twelfth", "thirteenth", "fourteenth", "fifteenth"),
    *("sixteenth", "seventeenth", "eighteenth", "nineteenth"),
)
_MONTHS = (
    *("January", "February", "March", "April", "May", "June", "July", "August", "September"),
    *("October", "November", "December"),
)
_TENS = ("", "", "twenty", "thirty", "forty", "fifty", "sixty", "seventy", "eighty", "ninety")
_DONE = "hold|stretch|rest|pause|plank|walk|march|bike|ride|jog|warm-?up|cool-?down"
_LASTS = r"s|secs?|seconds?|min(?:ute)?s?|hours?|hrs?|h|days?|weeks?|wks?"
_NUMBER = r"\d+(?:[.,]\d+)?"
_PER = {
    "s": "second", "sec": "second", "min": "minute", "h": "hour", "hr": "hour", "d": "day",
    "wk": "week", "mo": "month", "yr": "year",
}  # fmt: skip


def _clock(match: re.Match[str]) -> str:
    """``1:30`` is a minute and a half here: amounts, not times of day, stand in a line."""
    first, second, third = int(match[1]), int(match[2]), match[3]
    if third:
        amounts = ((first, "h"), (second, "min"), (int(third), "s"))
    else:
        amounts = ((0, "h"), (first, "min"), (second, "s"))
    said = [f"{amount} {unit}" for amount, unit in amounts if amount]
    return " ".join(said) or "0 s"


def _time_of_day(match: re.Match[str]) -> str:
    """``8:30 am`` and ``4 p.m.``; the letters are said one by one."""
    hour, minutes = int(match[1]), match[2]
    half = "AM" if match[3].lower() == "a" else "PM"
    if not minutes or minutes == "00":
        return f"{hour} {half}"
    return f"{hour} {'oh ' if minutes[0] == '0' else ''}{int(minutes)} {half}"


def _fraction(match: re.Match[str]) -> str:
    """``1/2`` is a half, ``3/10`` is a score, ``120/80`` a pressure, ``90/90`` two angles."""
    whole, over, under = match[1], int(match[2]), int(match[3])
    if under in _PARTS and 0 < over < min(under, len(_COUNTS) + 1):
        one, several = _PARTS[under]
        part = f"{_COUNTS[over]} {one if over == 1 else several}"
        if not whole:
            return part
        return f"{whole} and a {one}" if over == 1 else f"{whole} and {part}"
    if over <= under <= 11:
        said = f"{over} out of {under}"
    elif over > under >= 40:
        said = f"{over} over {under}"
    else:
        said = f"{over}, {under}"
    return f"{whole or ''} {said}".strip()


def _ordinal(match: re.Match[str]) -> str:
    number = int(match[1])
    if number < 20:
        return _ORDINALS[number]
    if number >= 100:
        return match[0]
    tens, ones = divmod(number, 10)
    return f"{_TENS[tens]}-{_ORDINALS[ones]}" if ones else f"{_TENS[tens][:-1]}ieth"


def _decade(match: re.Match[str]) -> str:
    """``your 60s``, ``the 1990s``: a number of years, no seconds."""
    tens = _TENS[int(match[2])]
    return f"{match[1] or ''} {tens[:-1]}ies".strip()


def _year(match: re.Match[str]) -> str:
    """``in 1998`` in two halves; from 2000 to 2009 a voice has it right."""
    century, rest = match[2], match[3]
    if century == "20" and rest < "10":
        return match[0]
    if rest == "00":
        return f"{match[1]} {century} hundred"
    return f"{match[1]} {century} {rest.replace('0', 'oh ', int(rest < '10'))}"


def _date(match: re.Match[str]) -> str:
    """``2026-05-10`` (ISO 8601) is May 10; the year goes without saying."""
    return f"{_MONTHS[int(match[2]) - 1]} {int(match[3])}"


def _tempo(match: re.Match[str]) -> str:
    """``3-1-3`` and ``3-0-1-0`` are counts, one by one."""
    return ", ".join(part for part in match.groups() if part)


def _per(match: re.Match[str]) -> str:
    unit = _PER.get(match[1].lower(), match[1])
    return f" {'an' if unit.startswith('hour') or unit == 'arm' else 'a'} {unit}"


def _unit(one: str, several: str) -> Replacement:
    """``30 s`` is seconds, but ``a 30 s hold`` and ``a 30-second hold`` are singular."""

    def said(match: re.Match[str]) -> str:
        article, number, between, noun = match[1] or "", match[2], match[3], match[4]
        number = re.sub(r"(?<=\d),(?=\d{1,2}\b)", ".", re.sub(r"[.,]0{1,2}\b", "", number))
        singular = article or between or noun or number == "1"
        return f"{article}{number} {one if singular else several}{noun or ''}"

    return said


def _part_of_unit(one: str) -> Replacement:
    """``1/2 min`` is half a minute, ``3/4 h`` three quarters of an hour."""
    whole = f"an {one}" if one in ("hour", "inch", "ounce") else f"a {one}"

    def said(match: re.Match[str]) -> str:
        part = match[1].lower().replace("one ", "a ")
        return f"half {whole}" if part == "a half" else f"{part} of {whole}"

    return said


def _unit_rows() -> list[tuple[str, Replacement]]:
    more = r"(?: or more| and an? (?:half|third|quarter))?"
    before = rf"(?<![\d.,/])(\ban?\s+)?({_NUMBER}{more})(?:\s*|(-))"
    parts = r"(?<!\d and )\b(one half|one quarter|three quarters|one third|two thirds)\s+"
    full_stop = r"(?:\.(?=\s*(?:,|(?-i:[a-z]))))?"  # of the short form, not of the sentence
    noun = rf"(?:\.?(\s+(?-i:{_NOUNS})\b))?"
    return [
        row
        for unit, said in _UNITS.items()
        for row in (
            (rf"{parts}(?:{unit})\b", _part_of_unit(said[0])),
            (rf"{before}(?:{unit})\b(?!'){noun}{full_stop}", _unit(*said)),
        )
    ]


_ROWS: list[tuple[str, Replacement]] = [
    (r"[‘’‛′]", "'"),
    # Minutes and seconds, feet and inches, by their signs; a lone 6" stays in doubt
    (r"\b([4-6])'\s?(\d|1[01])(?:\"|''|″|”)", r"\1 ft \2 inches"),
    (r"\b(\d+)'\s?(\d\d)(?:\"|''|″|”)", r"\1 min \2 s"),
    (r"(\b(?:hold|rest|pause|for|x|×)\s*\d+)\s?(?:\"|''|″|”)", r"\1 s "),
    (r"(\d)\s?(?:\"|″|”|in\.?)(?=\s+(?:wide|long|high|tall|apart|deep|box|step|ball|block"
     r"|wedge|lift|pad|riser)\b)", r"\1 inch"),
    (rf"(\d)\s?(?:\"|''|″|”)(?=\s+(?:{_DONE})\b)", r"\1 s"),
    (rf"(\d)['′](?=\s+(?:{_DONE})\b)|(\b(?:{_DONE}|for)\s+\d+)['′](?![\w'])", r"\1\2 min"),
    (r"(\d)\s?(?:\"|″|”)\s*[-–]\s*(\d+)\s?(?:\"|″|”)", r"\1 to \2 inches"),
    (r"(\d)\s?in\.(?=\s*(?:,|$|(?-i:[a-z])))", r"\1 inch"),
    (r"[“”„«»\"″`*_^|\\]", " "),
    *TRADE,
    (r"\s*[()\[\]{}]\s*", ", "),
    (r"[‐‑−]", "-"),
    (r"(?<=\d)\s*(?:\.{2,}|,\s)\s*(?=\d)", ", "),
    (r"\b(20\d\d)-(0[1-9]|1[0-2])-(0[1-9]|[12]\d|3[01])\b", _date),
    (r"\b(\d)[-–](\d)[-–](\d)(?:[-–](\d))?\b", _tempo),
    (r"\b(\d)[-–](\d)(?=\s+breathing\b)", r"\1, \2"),
    (r"(?<=[a-z][.!?])(?=(?-i:[A-Z]))", " "),
    (r"(\d\s?[ap]m)\s*[-–]\s*(?=\d)", r"\1 to "),
    (r"\bat (\d{1,2}):([1-5]\d)\b(?!:)(?!\s*(?:[ap]\.?m|min|s\b))", r"at \1 \2"),
    (r"\b(\d):(\d)\b(?!:)", r"\1 to \2"),
    (r"(?<=[a-z]):(?=[a-z])", ", "),
    (r"(\d:\d\d)\s*[-–]\s*(?=\d{1,2}:\d\d)", r"\1 to "),
    (r"(\d)\s?#(?!\w)", r"\1 lb"),
    (r"\b([12])/([23])rds?\b", r"\1/\2"),
    (r"(?<=\bdeg )\s*[-–—]\s*(?=\d)", "to "),
    (r"(?<![\d.,/])(?<!\d\s)1/2(?:-|\s+)(?=(?:kneel|squat|lunge|sit|way)\w*)", "half "),
    (r"(?<![\d.,/])(?<!\d\s)1/2\s+(turn|cup|mile|circle|tablet|teaspoon|foot|inch)\b",
     lambda match: f"half {'an' if match[1] == 'inch' else 'a'} {match[1]}"),
    (r"(?<![\d.,/])(?<!\d\s)3/4(?:-|\s+)(?=(?:range|depth|squat|turn|speed|sit)\b)",
     "three quarter "),
    (r"\.{2,}(?=\s*$)", "."),
    (r"\.{2,}", ", "),
    *[(rf"(?<!\w)(?:{short})(?!\w)", said) for short, said in SHORT_FORMS.items()],
    (r"(?<!\w)w/(?=[a-z])", "with "),
    # Times, years, ordinals, fractions
    (r"\b(\d{1,2})(?::([0-5]\d))?\s*(?:([ap])(?:\.\s?m\.(?=\s+(?-i:[a-z])|,)|\.\s?m\b|m\b))",
     _time_of_day),
    (r"\b(\d{1,2}):([0-5]\d)(?::([0-5]\d))?\b(?:\s*min(?:utes|s)?\b)?", _clock),
    (r"\b(\d)h([0-5]\d)\b(?!\s*m)", r"\1 h \2 min"),
    (r"\b((?:in|since|until|by|from|of|year)) (19|20)(\d\d)\b(?!\s*(?:[-–x×%°/]|[a-z]+s\b))",
     _year),
    (r"\b(?:(19|20))([2-9])0s\b", _decade),
    (r"\b(your|the|his|her|their|my|early|mid|late)[ -]([2-9])0s\b", _decade),
    (r"\b(\d+)(?:st|nd|rd|th)\b", _ordinal),
    (r"(?:\b(\d+)\s+)?(?<![\d:.,])\b(\d+)[/⁄](\d+)\b(?![/:])", _fraction),
    # Signs between and before numbers
    (rf"({_NUMBER})\s*[-–—]\s*(?={_NUMBER})", r"\1 to "),
    (r"\b([a-z]\d+)[-–](?=[a-z]?\d)", r"\1 to "),
    (r"\b(first|second|third|fourth|fifth)-(?=(?:second|third|fourth|fifth|sixth)\b)", r"\1 to "),
    (r"\s*±\s*(?=\d)", " plus or minus "),
    (r"(?<![\w.)])-(?=\d+(?:\.\d+)?\s*(?:deg|kg|%|$))", "minus "),
    (r"(?<![\w.)])\+(?=\d)", "plus "),
    (r"(?<=\d)\+(?=\s|$|[,.;:!?])", " or more"),
    (r"(\d\S*(?:\s?[a-z]+)?)\s*(?:->|→|⇒)\s*(?=\d)", r"\1 to "),
    (r"\s*(?:->|=>|→|⇒)\s*", ", "),
    (r"≥\s*|>=\s*", " at least "),
    (r"≤\s*|<=\s*", " at most "),
    (r"(?<!-)\s*>\s*(?=\d)", " more than "),
    (r"\s*<\s*(?=\d)", " less than "),
    (r"\s+[-–—]+\s+|[–—]", ", "),
    (r"\b1\s*[x×]\s*/\s*(?=[a-z])", "once /"),
    (r"(?<![\d.,])1\s*[x×](?!\w)|(?<![\d.,])1\s*[x×]\s*(?=\d)", "1 time "),
    (r"(?<=\s)[x×]\s*(\d+)\s+[x×]\s*(\d+)\b", r", \1 times, \2 times"),
    (r"(\d sets?)\s*[x×]\s*(?=\d)", r"\1 of "),
    (r"(?<=\d)\s*[x×]\s*(?=\d)", " times "),
    (r"(?<=\d)\s*[x×](?!\w)", " times"),
    (rf"(?:^|,?\s+)[x×]\s*(?={_NUMBER}(?:\s*(?:to|-)\s*{_NUMBER})?\s*(?:{_LASTS})\b)",
     " for "),
    (r"^[x×]\s*(\d+)", r"\1 times"),
    (r",?\s+[x×]\s*(\d+(?: to \d+)?)\b(?!\s*(?:repetitions?|reps?|sets?)\b)", r", \1 times"),
    (r",?\s+[x×]\s*(?=\d)", ", "),
    # Units
    (r"\bdeg\s*(?-i:F)\b", "degrees Fahrenheit"),
    (r"\bdeg\s*(?-i:C)\b", "degrees Celsius"),
    (r"\s*/\s*(s|sec|min|hr?|d|wk|mo|yr|side|day|week|month|leg|arm|hour|minute|second"
     r"|set|night|meal|visit|session|direction|foot|hand|way)\b",
     _per),
    (r"(?<=[a-z])\s*/\s*(?=\d)|(?<=\bdeg)\s*/\s*", ", "),
    *_unit_rows(),
    (r"\b(\d+ hours?) (\d+ minutes?)\b(?! \d)", r"\1 and \2"),
    (r"\b(\d+ hours?) (\d+ minutes?) (?=\d)", r"\1, \2 "),
    (r"\b(\d+ minutes?) (\d+ seconds?)\b", r"\1 and \2"),
    (r"\$\s?(\d+)\b", r"\1 dollars"),
    # What is left
    (r"\band/or\b", "or"),
    (r"(?<=\d)\s*%", " percent"),
    (r"#\s*(?=\d)", "number "),
    (r"\s*&\s*", " and "),
    (r"(?<=\w)\s*\+\s*(?=\w)", " plus "),
    (r"↑\s*(?=[a-z])", "more "),
    (r"↓\s*(?=[a-z])", "less "),
    (r"[↑↓]", " "),
    (r"\s*=\s*", " equals "),
    (r"[~≈]\s*(?=\d)", "about "),
    (r"(?<=[a-z])\s*/\s*(?=[a-z])", " or "),
    (r"(?<=\d)\s*/\s*(?=\w)", ", "),
    (r"(?:^|\s+)@\s*|@\s*(?=\d)", " at "),
    (r"\bdegrees\s+(?=(?:(?:hip|knee|trunk|elbow|shoulder|wrist|ankle|neck|back) )?"
     r"(?:dorsi|plantar ?)?(?:flexion|extension|abduction|adduction|rotation|bend)\b)",
     "degrees of "),
    (r"[<>#~≈@/+]", " "),
]  # fmt: skip

REWRITINGS: Rewritings = compiled(_ROWS)
"""The table: pattern, and what is said in its place."""
