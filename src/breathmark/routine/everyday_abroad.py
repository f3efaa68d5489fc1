"""What clinicians write in German, Spanish and French where a file has English words.

A routine's texts are in its language and its keys are not, and a hurried hand mixes them.
Only words that mean the same are here.  Left out on purpose: "beidseits" and its kin, which may
be at once or in turn (:mod:`everyday` has them), and "Dauer", "Zeit" and "Ausgangsstellung".
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from typing import Final

_CHOICES: Final[Mapping[str, str]] = {
    "left": "links, linke seite, izquierda, izquierdo, lado izquierdo, gauche, côté gauche",
    "right": "rechts, rechte seite, derecha, derecho, lado derecho, droite, droit, côté droit",
    "each": "je seite, jede seite, pro seite, cada lado, por lado, chaque côté, de chaque côté, "
    "par côté",
    "alternating": "abwechselnd, im wechsel, wechselseitig, alternierend, alternando, alternado, "
    "alternos, en alternance, alterné, alternés",
    "standing": "stehend, im stehen, stehen, stand, de pie, debout",
    "seated": "sitzend, im sitzen, sitzen, sitz, sentado, sentada, assis, assise",
    "supine": "rückenlage, in rückenlage, auf dem rücken, decúbito supino, supino, boca arriba, "
    "sur le dos, décubitus dorsal, couché sur le dos",
    "prone": "bauchlage, in bauchlage, auf dem bauch, decúbito prono, prono, boca abajo, "
    "sur le ventre, décubitus ventral, procubitus",
    "side-lying": "seitenlage, seitlage, in seitenlage, decúbito lateral, décubitus latéral, "
    "couché sur le côté",
    "kneeling": "kniend, im knien, kniestand, de rodillas, à genoux",
    "hands and knees": "vierfüßlerstand, vierfüsslerstand, im vierfüßlerstand, vierfüßler, "
    "cuadrupedia, a cuatro patas, à quatre pattes, quadrupédie",
    "hold": "halten, dehnen, dehnung, isometrisch, mantener, estirar, estiramiento, isométrico, "
    "étirer, étirement, maintien, isométrique",
    "reps": "wiederholungen, wdh, repeticiones, répétitions",
    "free": "frei, libre",
    "breathing": "atmen, atmung, atemübung, respiración, respirar, respiration, respirer",
    "contract-relax": "anspannen-entspannen, anspannen entspannen, contraer-relajar, "
    "contracción-relajación, contracter-relâcher, contracté-relâché",
    "pause": "pausa, descanso, repos",
    "easier": "leichter, einfacher, más fácil, plus facile",
    "harder": "schwerer, schwieriger, más difícil, plus difficile",
    "yes": "ja, j, sí, si, oui, true",
    "no": "nein, non, false",
}
_KEYS: Final[Mapping[str, str]] = {
    "title": "titel, título, titre",
    "length": "länge, gesamtdauer, duración, durée",
    "language": "sprache, idioma, lengua, langue",
    "voice": "stimme, voz, voix",
    "frequency": "häufigkeit, frecuencia, fréquence",
    "equipment": "hilfsmittel, material, geräte, equipo, matériel, équipement",
    "cautions": "vorsicht, vorsichtsmaßnahmen, precauciones, précautions",
    "rests": "pausen, descansos, pauses, repos",
    "exercises": "übungen, ejercicios, exercices",
    "alternatives": "alternativen, alternativas",
    "name": "nombre, nom",
    "kind": "art, übungsart, tipo",
    "position": "stellung, posición",
    "sides": "seite, seiten, lado, lados, côté, côtés",
    "hold": "halten, haltezeit, mantener, maintien, tenir",
    "sets": "sätze, satz, serien, durchgänge, series, serie, séries, série",
    "reps": "wiederholungen, wiederholung, wdh, repeticiones, répétitions",
    "breaths": "atemzüge, respiraciones, respirations",
    "setup": "anleitung, instrucciones",
    "cues": "hinweise, indicaciones, consignes",
    "feel": "gefühl, sensación, ressenti",
    "easier": "leichter, einfacher, más fácil, plus facile",
    "harder": "schwerer, schwieriger, más difícil, plus difficile",
    "breathe": "atmung, respiración, respiration",
    "targets": "muskel, muskeln, músculo, músculos",
    "picture": "bild, imagen, foto",
    "avoid": "vermeiden, meiden, evitar, éviter",
    "greeting": "begrüßung, saludo, salutation",
    "changes": "änderungen, cambios, changements",
}


def _turned(words: Mapping[str, str]) -> Mapping[str, tuple[str, ...]]:
    """From what people write to the words of the file that it may stand for."""
    found: dict[str, tuple[str, ...]] = {}
    for ours, theirs in words.items():
        for word in theirs.split(", "):
            found[word] = (*found.get(word, ()), ours)
    return found


CHOICES: Final = _turned(_CHOICES)
"""From everyday words to those of a choice."""

KEYS: Final = _turned(_KEYS)
"""From everyday words to keys."""


def _amount_rows(rows: Iterable[tuple[str, str]]) -> tuple[tuple[re.Pattern[str], str], ...]:
    return tuple((re.compile(pattern, re.IGNORECASE), ours) for pattern, ours in rows)


_AMOUNTS: Final = _amount_rows([
    (r"(?<=\d)\s*(?:mal|veces|vez|fois)\s+(?:je\s+)?(?=\d)", " x "),
    (r"(?<=\d)\s*(?:sekunden?|sek\.?|segundos?|segs?\.?|secondes?)(?!\w)", " s"),
    (r"(?<=\d)\s*(?:minuten?|minutos?|mn\.?)(?!\w)", " min"),
    (r"(?<=\d)\s*(?:stunden?|std\.?|horas?|heures?)(?!\w)", " h"),
    (r"(?<=\d)\s*(?:wiederholungen|wdh\.?|repeticiones|rép(?:étitions|s?\.)?)(?!\w)", ""),
    (r"(?<=[\dhns])\s+(?:bis|a|hasta|à|jusqu'à)\s+(?=\d)", " to "),
    (r"(?<=[hn])\s+(?:und|y|et)\s+(?=\d)", " "),
    (r"(?<=\()\s*(?:von|de)\s+(?=\d)", ""),
    (r"(?<=\d),(?=\d)", "."),
])  # fmt: skip


def amount_in_our_words(text: str) -> str:
    """An amount with the words of the three languages put into those of the file.

    >>> amount_in_our_words("30 Sek. (20 bis 45)"), amount_in_our_words("1 minuto y 30 segundos")
    ('30 s (20 to 45)', '1 min 30 s')
    """
    for pattern, ours in _AMOUNTS:
        text = pattern.sub(ours, text)
    return " ".join(text.split())
