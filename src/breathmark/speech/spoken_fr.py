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
    units,
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
    "rép|reps?": ("répétition", "répétitions"),
    "deg": ("degré", "degrés"),
}
_SHORT_FORMS = {
    r"p\.\s?ex\.": "par exemple",
    r"c\.?-à-d\.?": "c'est-à-dire",
    r"etc\.": "et cétéra",
    r"env\.": "environ",
    r"max\.": "au maximum",
    r"incl\.": "inclus",
    r"ex\.": "exercice",
    r"n deg(?=\s*\d)": "numéro",
    r"Dr\.?": "Docteur",
    r"Mme": "Madame",
}
_PARTS = {
    (1, 2): "un demi", (1, 3): "un tiers", (2, 3): "deux tiers",
    (1, 4): "un quart", (3, 4): "trois quarts", (1, 8): "un huitième",
}  # fmt: skip
_FEMININE = (
    "secondes?|minutes?|heures?|millisecondes?|répétitions?|respirations?|séries?|fois|semaines?"
)
_TENS = {
    20: "vingt et une", 30: "trente et une", 40: "quarante et une",
    50: "cinquante et une", 60: "soixante et une", 80: "quatre-vingt-une",
}  # fmt: skip

REWRITINGS = compiled([
    *FIRST,
    *short_forms(_SHORT_FORMS),
    CLOCK,
    (r"\b(\d+)\s+1/2\s+(minutes?|heures?|secondes?)\b", r"\1 \2 et demie"),
    (r"\b1/2\s+(?=(?:heure|minute|seconde)\b)", "une demi-"),
    fractions(_PARTS, "sur", "et"),
    (rf"({NUMBER})\s*[-–—]\s*(?={NUMBER})", r"\1 à "),
    (r"(?<=\d)\s*[x×]\s*(?=\d)", " fois "),
    (r"(?<=\d)\s*[x×](?!\w)", " fois"),
    (r"(?<=\s)[x×]\s*(?=\d)|^[x×]\s*(?=\d)", "fois "),
    *units(_UNITS),
    (r"\b(\d+ minutes?) (\d+ secondes?)\b", r"\1 et \2"),
    ones(_FEMININE, "une", _TENS),
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
