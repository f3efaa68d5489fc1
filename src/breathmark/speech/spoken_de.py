"""How amounts, signs and short forms are said in German."""

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
    r"mind\.": "mindestens",
    r"vgl\.": "vergleiche",
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
_FEMININE = "Sekunde|Minute|Stunde|Millisekunde|Wiederholung|Woche|Seite|Runde|Serie|Übung"
_OTHERS = (
    "Kilogramm|Kilo|Zentimeter|Millimeter|Meter|Grad|Mal|Tag|Atemzug|Durchgang|Satz|Schritt|Teil"
)
_DATIVE = "in|nach|vor|mit|seit|von|bei|aus|ab|außer|zu"

REWRITINGS = compiled([
    *FIRST,
    *short_forms(_SHORT_FORMS),
    CLOCK,
    (rf"\b1\s+1/2\s+(?={_FEMININE}|min|h\b)", "eineinhalb "),
    (rf"\b1/2\s+(?=(?:{_FEMININE})\b)", "eine halbe "),
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
