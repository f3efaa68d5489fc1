"""How amounts, signs and short forms are said in French."""

from __future__ import annotations

from breathmark.speech.spoken_signs import (
    CLOCK,
    FIRST,
    LAST,
    NUMBER,
    compiled,
    fractions,
    ones,
    short_forms,
    signs,
    units,
    units_of_fractions,
)

_UNITS = {
    "heures?|h": ("heure", "heures"),
    "minutes?|min|mn": ("minute", "minutes"),
    "secondes?|secs?|s": ("seconde", "secondes"),
    "ms": ("milliseconde", "millisecondes"),
    "kg": ("kilogramme", "kilogrammes"),
    "cm": ("centimètre", "centimètres"),
    "mm": ("millimètre", "millimètres"),
    "m": ("mètre", "mètres"),
    "rép(?:ét)?|reps?": ("répétition", "répétitions"),
    "deg": ("degré", "degrés"),
}
_SHE = "(?:(?<=main )|(?<=jambe )|(?<=épaule )|(?<=hanche )|(?<=cheville ))"
_HE = "(?:(?<=pied )|(?<=genou )|(?<=bras )|(?<=coude )|(?<=côté ))"
_EITHER = r"(?-i:G\s?/\s?D|D\s?/\s?G)"
_SHORT_FORMS = {
    _SHE + _EITHER: "gauche ou droite",
    _HE + _EITHER: "gauche ou droit",
    r"p\.\s?ex\.|par ex\.": "par exemple",
    r"fig\.": "figure",
    r"p\.(?=\s?\d)": "page",
    r"min\.(?=\s?\d)": "au minimum",
    r"M\.(?=\s(?-i:[A-Z]))": "Monsieur",
    r"gche(?=$|[\s,;])": "gauche",
    rf"{_SHE}(?-i:D|dr\.)": "droite",
    rf"{_HE}(?-i:D|dr\.)": "droit",
    rf"(?:{_SHE}|{_HE})(?-i:G)": "gauche",
    r"c\.?-à-d\.?": "c'est-à-dire",
    r"etc\.": "et cétéra",
    r"env\.": "environ",
    r"dte\.?": "droite",
    rf"{_HE}dt\.?": "droit",
    r"max\.|max(?=\s?\d)": "au maximum",
    r"incl\.": "inclus",
    r"ex\.": "exercice",
    r"n deg(?=\s*\d)": "numéro",
    r"Dr\.?(?=\s(?-i:[A-Z]))": "Docteur",
    r"Mme": "Madame",
}
_PARTS = {
    (1, 2): "un demi", (1, 3): "un tiers", (2, 3): "deux tiers",
    (1, 4): "un quart", (3, 4): "trois quarts", (1, 8): "un huitième",
}  # fmt: skip
_FEMININE = (
    "secondes?|minutes?|heures?|millisecondes?|répétitions?|respirations?|séries?|fois|semaines?"
    "|jambes?|mains?|épaules?|hanches?|chevilles?|marches?|chaises?|serviettes?|balles?|personnes?"
)
_TENS = {
    20: "vingt et une", 30: "trente et une", 40: "quarante et une",
    50: "cinquante et une", 60: "soixante et une", 80: "quatre-vingt-une",
}  # fmt: skip

_NTH = ("", "", "deux", "trois", "quatr", "cinqu", "six", "sept", "huit", "neuv", "dix")

REWRITINGS = compiled([
    *FIRST,
    *short_forms(_SHORT_FORMS),
    (r"\b1(?:[èe]?re)\b", "première"),
    (r"\b1er\b", "premier"),
    (r"\b([2-9]|10)(?:[èe]me|e)\b", lambda match: f"{_NTH[int(match[1])]}ième"),
    (r"\b(\d{1,2})\s?h\s?([0-5]\d)\b(?!\s*m)", r"\1 h \2"),
    (r"(?<=\w)\s*/\s*j\b", " par jour"),
    (r"\b(\d{2,3})/(\d{2,3})\s*mm ?Hg\b", r"\1 sur \2"),
    *signs(to="à", at_least="au moins", at_most="au plus", more="plus de",
           less="moins de", times="fois"),
    CLOCK,
    *units_of_fractions(_UNITS),
    (r"\b(\d+)\s+1/2\s+(minutes?|heures?|secondes?)\b", r"\1 \2 et demie"),
    (r"\b1/2\s+(?=(?:heure|minute|seconde|tasse)\b)", "une demi-"),
    (r"\b1/2\s+(?=(?:kilogramme|mètre|tour|verre)\b)", "un demi-"),
    fractions(_PARTS, "sur", "et"),
    (rf"({NUMBER})\s*[-–—]\s*(?={NUMBER})", r"\1 à "),
    (r"(?<=\d)\s*[x×]\s*(?=\d)", " fois "),
    (r"(?<=\d)\s*[x×](?!\w)", " fois"),
    (r"(?<=\s)[x×]\s*(?=\d)|^[x×]\s*(?=\d)", "fois "),
    *units(_UNITS),
    (r"\b(\d+ minutes?) (\d+ secondes?)\b", r"\1 et \2"),
    ones(_FEMININE, "une", _TENS),
    (r"(?<=\w)\s*/\s*sem\b\.?", " par semaine"),
    (r"(?<=\w)\s*/\s*(?=(?:côté|jour|semaine|jambe|bras|heure|minute|série)\b)", " par "),
    (r"\bet/ou\b", "ou"),
    (r"(?<=\d)\s*%", " pour cent"),
    (r"\s*&\s*", " et "),
    (r"(?<=\w)\s*\+\s*(?=\w)", " plus "),
    (r"\s*=\s*", " égale "),
    (r"[~≈]\s*(?=\d)", "environ "),
    (r"(?<=[a-zàâçéèêëîïôùûü])/(?=[a-zàâçéèêëîïôùûü])", " ou "),
    *LAST,
])  # fmt: skip
"""The table: pattern, and what is said in its place."""
