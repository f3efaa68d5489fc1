"""Short forms of the trade in English, and what a person says for them.

Forms in capitals count only in capitals: ``ROM`` is a range of motion, ``rom`` is not.
Forms that are said as letters (``ACL``) stand in the lexicon with their sounds.
"""

from __future__ import annotations

import re

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
    r"dr\.": "Doctor",
    r"vs\.?": "against",
    r"ex\.": "exercise",
    r"w/o": "without",
    r"w/c": "wheelchair",
    r"w/": "with",
    r"y/o": "years old",
    r"s/p": "after",
    r"ea\.?(?=\s|$|[,;.])": "each",
    r"bilat\.?": "bilateral",
    r"q\.?\s?(\d+)\s?h\b": r"every \1 h",
    r"prn|p\.r\.n\.": "as needed",
    r"q\.d\.": "once a day",
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
    "HR": "heart rate",
    "BP": "blood pressure",
    "COPD": "C O P D",
    "Hx": "history",
    "EOB": "edge of the bed",
}
_LIMBS = (
    "leg|arm|foot|knee|hip|side|hand|shoulder|ankle|elbow|wrist|heel|toe|thigh|calf|hamstring"
    "|quad|glute"
)

TRADE: tuple[tuple[str, str], ...] = (
    (r"\((?-i:R)\)", "right"),
    (r"\((?-i:L)\)", "left"),
    (rf"\b(?-i:R|Rt)\.?(?=\s+(?:{_LIMBS})s?\b)", "right"),
    (rf"\b(?-i:L|Lt)\.?(?=\s+(?:{_LIMBS})s?\b)", "left"),
    (r"\b(\d+)\s?(?-i:RM)\b", r"\1 repetition maximum"),
    *((rf"(?<![\w-])(?-i:{re.escape(short)})(?![\w-])", said) for short, said in _CAPITALS.items()),
)
"""Rows for sides and for short forms in capitals, before brackets are read."""
