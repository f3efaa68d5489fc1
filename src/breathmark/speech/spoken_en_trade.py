"""Short forms of the trade in English, and what a person says for them.

Forms in capitals count only in capitals: ``ROM`` is a range of motion, ``rom`` is not.
Forms that are said as letters (``ACL``) stand in the lexicon with their sounds.
"""

from __future__ import annotations

import re

from breathmark.speech.spoken_signs import Row

_JOINT = r"(?:(?<=hip )|(?<=knee )|(?<=back )|(?<=trunk ))"

SHORT_FORMS = {
    r"e\.\s?g\.,?": "for example,",
    r"i\.\s?e\.,?": "that is,",
    r"etc\.(?=\s+(?-i:[A-Z])|\s*$)": "and so on.",
    r"etc\.": "and so on",
    r"approx\.?": "approximately",
    r"incl\.": "including",
    r"max\.?(?=\s*\d)": "at most",
    r"(?<!\d)(?<!\d\s)min\.(?=\s\d)": "at least",
    r"no\.(?=\s?\d)": "number",
    r"(?:fig|figs)\.(?=\s?\d)": "figure",
    r"(?:p|pg|pp)\.(?=\s?\d)": "page",
    r"(?:wk|wks)\.?(?=\s\d)": "week",
    r"dr\.": "Doctor",
    r"vs\.?": "against",
    r"ex\.": "exercise",
    r"w/o": "without",
    r"w/c": "wheelchair",
    r"w/in": "within",
    r"w/": "with",
    r"b/c": "because",
    r"b/[tw]": "between",
    r"b/l(?=\s+[a-z])": "bilateral",
    r"(?:on )?b/l": "on both sides",
    r"wts?\.?(?=\s|$|[,;:])": "weight",
    r"opp\.": "opposite",
    r"pt\.(?=\s+(?:should|must|can|may|will|is|sits?|stands?|lies|to)\b)": "the patient",
    r"as tol\.?": "as tolerated",
    r"ext\.(?=\s+rot)": "external",
    r"int\.(?=\s+rot)": "internal",
    r"rot\.": "rotation",
    rf"ext(?=\s*(?:[,;/]|$|x\s?\d))|ext\.|{_JOINT}ext": "extension",
    rf"flex\.(?=\s+(?:x?\d|rot)|,)|{_JOINT}flex(?=\s*(?:x|/|to )\s?\d)": "flexion",
    r"abd\.|(?-i:Abd)(?=\s*/|\s+x)|(?<=hip )abd": "abduction",
    r"(?<=/)(?-i:Add)|(?<=hip )(?-i:add)": "adduction",
    r"y/o": "years old",
    r"s/p": "after",
    r"ea\.?(?=\s|$|[,;.])": "each",
    r"bilat\.?|bil\.": "bilateral",
    r"ant\.(?=\s(?-i:[a-z]))": "anterior",
    r"post\.(?=\s(?-i:[a-z]))": "posterior",
    r"lat\.(?=\s(?-i:[a-z]))": "lateral",
    r"q\.?\s?(\d+)\s?h\b": r"every \1 h",
    r"prn|p\.r\.n\.": "as needed",
    r"q\.d\.|(?-i:QD)": "once a day",
    r"b\.i\.d\.|(?-i:BID)": "twice a day",
    r"t\.i\.d\.|(?-i:TID)": "three times a day",
    r"q\.i\.d\.|(?-i:QID)": "four times a day",
    r"a\.\s?m\.": "AM",
    r"p\.\s?m\.": "PM",
}
"""Patterns of short forms in small letters or capitals, as whole words."""

_CAPITALS = {
    "ROM": "range of motion",
    "AROM": "active range of motion",
    "PROM": "passive range of motion",
    "AAROM": "active assisted range of motion",
    "SLR": "straight leg raise",
    "SLS": "single leg stance",
    "STS": "sit to stand",
    "TKE": "terminal knee extension",
    "TKR": "total knee replacement",
    "TKA": "total knee replacement",
    "THR": "total hip replacement",
    "THA": "total hip replacement",
    "LBP": "low back pain",
    "HEP": "home exercise program",
    "ADLs": "activities of daily living",
    "ADL": "activities of daily living",
    "OA": "osteoarthritis",
    "RA": "rheumatoid arthritis",
    "FWB": "full weight bearing",
    "PWB": "partial weight bearing",
    "NWB": "no weight bearing",
    "WBAT": "weight bearing as tolerated",
    "TTWB": "toe-touch weight bearing",
    "UE": "upper extremity",
    "LE": "lower extremity",
    "DF": "dorsiflexion",
    "PF": "plantar flexion",
    "ER": "external rotation",
    "IR": "internal rotation",
    "WB": "weight bearing",
    "BW": "body weight",
    "ITB": "IT band",
    "SIJ": "SI joint",
    "COG": "center of gravity",
    "BOS": "base of support",
    "SpO2": "oxygen level",
    "O2": "oxygen",
    "HR": "heart rate",
    "BP": "blood pressure",
    "COPD": "C O P D",
    "Hx": "history",
    "EOB": "edge of the bed",
}
_DAYS = {
    "M": "Monday", "T": "Tuesday", "Tu": "Tuesday", "W": "Wednesday", "Th": "Thursday",
    "F": "Friday", "Sa": "Saturday", "Su": "Sunday", "Mon": "Monday", "Tue": "Tuesday",
    "Wed": "Wednesday", "Thu": "Thursday", "Fri": "Friday", "Sat": "Saturday", "Sun": "Sunday",
    "Tues": "Tuesday", "Thurs": "Thursday",
}  # fmt: skip
_ANY_DAY = "|".join(sorted(_DAYS, key=len, reverse=True))
_SHORT_DAY = "|".join(sorted((day for day in _DAYS if len(day) > 1), key=len, reverse=True))
_LIMBS = (
    "UE|LE|leg|arm|foot|knee|hip|side|hand|shoulder|ankle|elbow|wrist|heel|toe|thigh|calf"
    "|hamstring|quad|glute"
)
_LEVELS = "level|stage|phase|week|day|grade"


def _motions(match: re.Match[str]) -> str:
    """``flex/abd/ext`` as the names of the movements."""
    names = {"flex": "flexion", "ext": "extension", "abd": "abduction", "add": "adduction"}
    return ", ".join(names[short] for short in match[0].split("/"))


def _day(match: re.Match[str]) -> str:
    return _DAYS[match[0].strip(".")]


def _span_of_days(match: re.Match[str]) -> str:
    return f"{_DAYS[match[1]]} to {_DAYS[match[2]]}"


def _days(match: re.Match[str]) -> str:
    """``M/W/F`` and ``M-W-F`` as the days of the week."""
    *days, last = (_DAYS[day] for day in re.split(r"\s*[/-]\s*", match[0]))
    return f"{', '.join(days)} and {last}"


TRADE: tuple[Row, ...] = (
    (rf"\b(?-i:(?:{_ANY_DAY})(?:([/-])(?:{_ANY_DAY}))(?:\1(?:{_ANY_DAY}))+)(?![\w/-])", _days),
    (rf"\b(?-i:(?:T|{_SHORT_DAY})\s?/\s?(?:{_SHORT_DAY}))(?![\w/])", _days),
    (rf"\b(?-i:({_SHORT_DAY})\s*[-–]\s*({_SHORT_DAY}))\b(?!-)", _span_of_days),
    (r"\b(?-i:Mon|Tues?|Wed|Thu(?:rs)?|Fri)\b\.?(?!\w)", _day),
    (r"\b(?:(?-i:flex|ext|abd|add)/)+(?-i:flex|ext|abd|add)\b", _motions),
    (r"\b10\s?(?-i:MWT)\b", "10 meter walk test"),
    (r"\b(\d+)\s?(?-i:MWT)\b", r"\1 minute walk test"),
    (r"(?<!\w)(?-i:L\s*>\s*R)(?!\w)", "left more than right"),
    (r"(?<!\w)(?-i:R\s*>\s*L)(?!\w)", "right more than left"),
    (rf"\b({_LEVELS})s?\s+(\d+)/(?!10\b)(\d+)(?![\d/])", r"\1 \2 or \3"),
    (r"\b(week|day|level|stage|phase)\s+(\d+)\+(?!\w)", r"\1 \2 and on"),
    (r"\((?-i:R)\)", "right"),
    (r"\((?-i:L)\)", "left"),
    (rf"(?<!/)\b(?-i:R|Rt)\.?(?=\s+(?:{_LIMBS})s?\b)", "right"),
    (rf"(?<!/)\b(?-i:L|Lt)\.?(?=\s+(?:{_LIMBS})s?\b)", "left"),
    (r"(?<![\w/])(?-i:R)\s?/\s?(?-i:L)(?![\w/])", "right or left"),
    (r"(?<![\w/])(?-i:L)\s?/\s?(?-i:R)(?![\w/])", "left or right"),
    (r"(?<=[a-z]\s)(?-i:R)(?=\s*(?:[.,;:]|$)|\s+(?:then|and|or|first|only)\b)", "right"),
    (r"(?<=[a-z]\s)(?<!size )(?-i:L)(?=\s*(?:[.,;:]|$)|\s+(?:then|and|or|first|only)\b)", "left"),
    (r"\b(\d+)[\s-]?(?-i:RM)\b", r"\1 repetition maximum"),
    *((rf"(?<![\w-])(?-i:{re.escape(short)})(?![\w-])", said) for short, said in _CAPITALS.items()),
)
"""Rows for sides and for short forms in capitals, before brackets are read."""
