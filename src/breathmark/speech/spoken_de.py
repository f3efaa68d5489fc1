"""How amounts, signs and short forms are said in German."""

from __future__ import annotations

import re

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
    "Stunden?|Std|h": ("Stunde", "Stunden"),
    "Minuten?|Min": ("Minute", "Minuten"),
    "Sekunden?|Sek|s": ("Sekunde", "Sekunden"),
    "ms": ("Millisekunde", "Millisekunden"),
    "kg": ("Kilogramm", "Kilogramm"),
    "cm": ("Zentimeter", "Zentimeter"),
    "mm": ("Millimeter", "Millimeter"),
    "m": ("Meter", "Meter"),
    "Wdh|Whd|Wh": ("Wiederholung", "Wiederholungen"),
    "deg": ("Grad", "Grad"),
}
_SHORT_FORMS = {
    r"z\.\s?B\.": "zum Beispiel",
    r"d\.\s?h\.": "das heißt",
    r"u\.\s?a\.": "unter anderem",
    r"usw\.": "und so weiter",
    r"bzw\.": "beziehungsweise",
    r"ca\.": "circa",
    r"evtl\.": "eventuell",
    r"ggf\.": "gegebenenfalls",
    r"inkl\.": "inklusive",
    r"max\.": "höchstens",
    r"mind\.|min\.(?=\s?\d)": "mindestens",
    r"tägl\.": "täglich",
    r"wöch\.|wöchentl\.": "wöchentlich",
    r"bds\.|beids\.": "beidseits",
    r"Abb\.": "Abbildung",
    r"S\.(?=\s?\d)": "Seite",
    r"(?:re|rechts?)\.(?=\s+(?:Bein|Knie|Handgelenk|Sprunggelenk))": "rechtes",
    r"(?:li|links?)\.(?=\s+(?:Bein|Knie|Handgelenk|Sprunggelenk))": "linkes",
    r"re\.(?=\s+(?:Arm|Fuß|Ellbogen|Ellenbogen|Daumen))": "rechter",
    r"li\.(?=\s+(?:Arm|Fuß|Ellbogen|Ellenbogen|Daumen))": "linker",
    r"re\.(?=\s+(?:Hand|Seite|Schulter|Hüfte|Ferse|Wade))": "rechte",
    r"li\.(?=\s+(?:Hand|Seite|Schulter|Hüfte|Ferse|Wade))": "linke",
    r"vgl\.": "vergleiche",
    r"(?:re|li)\.?\s?[/+]\s?(?:re|li)(?:\.|(?!\w))": "rechts und links",
    r"li\.": "links",
    r"re\.": "rechts",
    r"Nr\.": "Nummer",
    r"Dr\.": "Doktor",
    r"Übg\.": "Übung",
}
_PARTS = {
    (1, 2): "ein halb", (1, 3): "ein Drittel", (2, 3): "zwei Drittel",
    (1, 4): "ein Viertel", (3, 4): "drei Viertel", (1, 8): "ein Achtel",
}  # fmt: skip
_FEMININE = (
    "Sekunde|Minute|Stunde|Millisekunde|Wiederholung|Woche|Seite|Runde|Serie|Übung|Hand|Schulter"
    "|Hüfte|Ferse|Zehe|Decke|Stufe|Hantel|Rolle|Pause|Person|Drehung"
)
_OTHERS = (
    "Kilogramm|Kilo|Zentimeter|Millimeter|Meter|Grad|Mal|Tag|Atemzug|Durchgang|Satz|Schritt|Teil"
    "|Bein|Knie|Fuß|Arm|Ellbogen|Finger|Daumen|Kissen|Stuhl|Handtuch|Band|Gurt|Ball|Glas"
)
_NTH = ("", "ers", "zwei", "drit", "vier", "fünf", "sechs", "sieb", "ach", "neun", "zehn")
_DAYS = {
    "Mo": "Montag", "Di": "Dienstag", "Mi": "Mittwoch", "Do": "Donnerstag",
    "Fr": "Freitag", "Sa": "Samstag", "So": "Sonntag",
}  # fmt: skip
_ANY_DAY = "|".join(_DAYS)
_ARTICLES = "am|im|vom|zum|zur|den|dem|beim|der|die|das|jeden|jedem|jeder|jede|jedes"
_WITH_TEN = ("am", "im", "vom", "zum", "zur", "den", "dem", "beim", "jeden", "jedem")
_DATIVE = "in|nach|vor|mit|seit|von|bei|aus|ab|außer|zu"


def _ordinal(match: re.Match[str]) -> str:
    """``der 2. Satz``, ``am 2. Tag``, ``ab der 2. Woche``: its dot ends no sentence."""
    before, article, stem = match[1] or "", match[2], _NTH[int(match[3])]
    weak = article.lower() in _WITH_TEN or (before and article.lower() in ("der", "jeder"))
    ending = "ten" if weak else "te"
    return f"{before}{article} {stem}{ending}"


def _days(match: re.Match[str]) -> str:
    *days, last = (_DAYS[day] for day in match[0].split("/"))
    return f"{', '.join(days)} und {last}"


REWRITINGS = compiled([
    *FIRST,
    *short_forms(_SHORT_FORMS),
    (rf"\b(?-i:(?:{_ANY_DAY})(?:/(?:{_ANY_DAY}))+)\b", _days),
    (rf"\b((?:in|ab|mit|nach|seit|von|bei|zu|aus|an|auf|vor|während)\s+)?({_ARTICLES})"
     r"\s+([1-9]|10)\.\s?(?=(?-i:[A-ZÄÖÜ]))",
     lambda match: f"{_ordinal(match)} "),
    (r"\b(\d{1,2}):([0-5]\d)\s*Uhr\b", lambda match: f"{int(match[1])} Uhr {int(match[2]) or ''}"),
    (r"\b(\d{2,3})/(\d{2,3})\s*mm ?Hg\b", r"\1 zu \2"),
    *signs(to="bis", at_least="mindestens", at_most="höchstens", more="mehr als",
           less="weniger als", times="mal"),
    CLOCK,
    *units_of_fractions(_UNITS),
    (rf"\b1\s+1/2\s+(?={_FEMININE})", "eineinhalb "),
    (rf"\b1/2\s+(?=(?:{_FEMININE}|Tasse|Drehung|Umdrehung)\b)", "eine halbe "),
    (r"\b1/2\s+(?=(?:Meter|Schritt|Tag|Teelöffel)\b)", "ein halber "),
    (r"\b1/2\s+(?=(?:Glas|Kilo|Kilogramm)\b)", "ein halbes "),
    fractions(_PARTS, "von", "und"),
    (rf"({NUMBER})\s*[-–—]\s*(?={NUMBER})", r"\1 bis "),
    (r"(?<![\d.,/:])1\s*(?:[x×]|mal)(?!\w)", "einmal"),
    (r"(?<=\d)\s*[x×]\s*(?=\d)", " mal "),
    (r"(?<=\d)\s*[x×](?!\w)", " mal"),
    (r"(?<=\s)[x×]\s*(?=\d)|^[x×]\s*(?=\d)", "mal "),
    *units(_UNITS),
    (r"\b(\d+ Minuten?) (\d+ Sekunden?)\b", r"\1 und \2"),
    (rf"\b({_DATIVE})\s+1\s+(?=(?:{_FEMININE})\b)", r"\1 einer "),
    (rf"\b({_DATIVE})\s+1\s+(?=(?:{_OTHERS})\b)", r"\1 einem "),
    ones(_FEMININE, "eine"),
    ones(_OTHERS, "ein"),
    (r"(?<=\w)\s*/\s*Wo\b\.?", " pro Woche"),
    (r"(?<=\w)\s*/\s*(?=(?:Seite|Tag|Woche|Bein|Arm|Stunde|Minute|Durchgang|Satz)\b)", " pro "),
    (r"\bund/oder\b", "oder"),
    (r"(?<=\d)\s*%", " Prozent"),
    (r"\s*&\s*", " und "),
    (r"(?<=\w)\s*\+\s*(?=\w)", " plus "),
    (r"\s*=\s*", " gleich "),
    (r"[~≈]\s*(?=\d)", "etwa "),
    (r"(?<=[a-zäöüß])/(?=[a-zäöüß])", " oder "),
    *LAST,
])  # fmt: skip
"""The table: pattern, and what is said in its place."""
