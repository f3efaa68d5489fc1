"""How amounts, signs and short forms are said in Spanish."""

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
    "horas?|h": ("hora", "horas"),
    "minutos?|min": ("minuto", "minutos"),
    "segundos?|segs?|s": ("segundo", "segundos"),
    "ms": ("milisegundo", "milisegundos"),
    "kg": ("kilogramo", "kilogramos"),
    "cm": ("centímetro", "centímetros"),
    "mm": ("milímetro", "milímetros"),
    "m": ("metro", "metros"),
    "reps?": ("repetición", "repeticiones"),
    "deg": ("grado", "grados"),
}
_SHORT_FORMS = {
    r"p\.\s?ej\.": "por ejemplo",
    r"etc\.": "etcétera",
    r"aprox\.": "aproximadamente",
    r"máx\.": "como máximo",
    r"mín\.": "como mínimo",
    r"incl\.": "incluido",
    r"(?:(?<=pierna )|(?<=mano )|(?<=rodilla )|(?<=cadera ))izq\.?/der\.": "izquierda o derecha",
    r"(?<=pierna )izq\.|(?<=mano )izq\.|(?<=rodilla )izq\.|(?<=cadera )izq\.": "izquierda",
    r"(?<=pierna )der\.|(?<=mano )der\.|(?<=rodilla )der\.|(?<=cadera )der\.": "derecha",
    r"c/\s?u\.?": "cada uno",
    r"izda\.": "izquierda",
    r"izdo\.": "izquierdo",
    r"izq\.": "izquierdo",
    r"der\.": "derecho",
    r"fig\.": "figura",
    r"págs?\.": "página",
    r"dcho\.": "derecho",
    r"dcha\.": "derecha",
    r"(?:(?:núm|n)\.(?:\s*deg)?|n\s?deg)(?=\s*\d)": "número",
    r"Uds\.": "ustedes",
    r"Ud\.": "usted",
    r"Dra\.": "Doctora",
    r"Dr\.": "Doctor",
    r"ej\.": "ejercicio",
}
_PARTS = {
    (1, 2): "medio", (1, 3): "un tercio", (2, 3): "dos tercios",
    (1, 4): "un cuarto", (3, 4): "tres cuartos", (1, 8): "un octavo",
}  # fmt: skip
_MASCULINE = (
    "segundos?|minutos?|milisegundos?|kilogramos?|kilos?|centímetros?|milímetros?|metros?|grados?"
    "|días?|lados?|pasos?|ejercicios?|brazos?|pies?|dedos?|codos?|vasos?|cojines|cojín|escalón"
)
_FEMININE = (
    "horas?|repetición|repeticiones|respiración|respiraciones|series?|vez|veces|semanas?|piernas?"
    "|manos?|rodillas?|vueltas?|sillas?|toallas?|almohadas?|bandas?|pelotas?|personas?"
)
_AND_ONE = {
    30: "treinta y", 40: "cuarenta y", 50: "cincuenta y", 60: "sesenta y",
    70: "setenta y", 80: "ochenta y", 90: "noventa y",
}  # fmt: skip
_MASCULINE_TENS = {20: "veintiún"} | {ten: f"{said} un" for ten, said in _AND_ONE.items()}
_FEMININE_TENS = {20: "veintiuna"} | {ten: f"{said} una" for ten, said in _AND_ONE.items()}

_NTH = ("", "primer", "segund", "tercer", "cuart", "quint", "sext", "séptim", "octav", "noven",
        "décim")  # fmt: skip


def _ordinal(match: re.Match[str]) -> str:
    """``1.ª serie`` and ``2.º día``; a degree has no dot before its sign."""
    stem, feminine = _NTH[int(match[1])], match[2].strip().lower() == "a"
    return f"{stem}{'a' if feminine else '' if stem.endswith('er') and match[3] else 'o'}"


REWRITINGS = compiled([
    *FIRST,
    *short_forms(_SHORT_FORMS),
    (r"\b([1-9]|10)(?:\.\s?|(?=[aoe]))(a|deg|o|er)(?!\w)(?=(\s+[a-záéíóúñ])?)", _ordinal),
    (r"\b([1-9]|10)( deg )\s*(?=((?:día|paso|ejercicio|movimiento|dedo|intento)\b))",
     lambda match: f"{_ordinal(match)} "),
    (r"\bc/\s?(?=(?:lado|pierna|brazo|mano|día)\b)", "cada "),
    (r"\b(las? )(\d{1,2}):([0-5]\d)\b",
     lambda match: f"{match[1]}{match[2]}" + (f" y {int(match[3])}" if int(match[3]) else "")),
    (r"\b(\d{2,3})/(\d{2,3})\s*mm ?Hg\b", r"\1 sobre \2"),
    *signs(to="a", at_least="al menos", at_most="como máximo", more="más de",
           less="menos de", times="veces"),
    CLOCK,
    *units_of_fractions(_UNITS),
    (r"\b(\d+)\s+1/2\s+(horas?)\b", r"\1 \2 y media"),
    (r"\b(\d+)\s+1/2\s+(minutos?|segundos?|metros?|kilos?)\b", r"\1 \2 y medio"),
    (r"\b1/2\s+(?=(?:hora|taza|vuelta|milla)\b)", "media "),
    fractions(_PARTS, "de", "y"),
    (rf"({NUMBER})\s*[-–—]\s*(?={NUMBER})", r"\1 a "),
    (r"\b1\s*[x×](?!\w)", "1 vez"),
    (r"(?<=\d)\s*[x×]\s*(?=\d)", " veces "),
    (r"(?<=\d)\s*[x×](?!\w)", " veces"),
    (r"(?<=\s)[x×]\s*(?=\d)|^[x×]\s*(?=\d)", "por "),
    *units(_UNITS),
    (r"\b(\d+ minutos?) (\d+ segundos?)\b", r"\1 y \2"),
    ones(_MASCULINE, "un", _MASCULINE_TENS),
    ones(_FEMININE, "una", _FEMININE_TENS),
    (r"(?<=\w)\s*/\s*sem\b\.?", " por semana"),
    (r"(?<=\w)\s*/\s*(?=(?:lado|día|semana|pierna|brazo|hora|minuto|serie)\b)", " por "),
    (r"\by/o\b", "o"),
    (r"(?<=\d)\s*%", " por ciento"),
    (r"\s*&\s*", " y "),
    (r"(?<=\w)\s*\+\s*(?=\w)", " más "),
    (r"\s*=\s*", " igual a "),
    (r"[~≈]\s*(?=\d)", "cerca de "),
    (r"(?<=[a-záéíóúñ])/(?=[a-záéíóúñ])", " o "),
    *LAST,
])  # fmt: skip
"""The table: pattern, and what is said in its place."""
