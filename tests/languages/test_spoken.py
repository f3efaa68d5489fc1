"""Amounts, signs and short forms as they are said in German, Spanish and French."""

from __future__ import annotations

import unicodedata

import pytest

from breathmark.speech.speakable import speakable
from tests.languages.catalogues import phonemes

SAID = {
    "de": {
        "Halten Sie 30 s.": "Halten Sie 30 Sekunden.",
        "1 min": "eine Minute.",
        "nach 1 min": "nach einer Minute.",
        "1 min 30 s halten": "eine Minute und 30 Sekunden halten.",
        "1:30 halten": "eine Minute und 30 Sekunden halten.",
        "0:45": "45 Sekunden.",
        "1/2 Minute": "eine halbe Minute.",
        "1 ½ Minuten": "eineinhalb Minuten.",
        "3/4 der Zeit": "drei Viertel der Zeit.",
        "2/5": "2 von 5.",
        "2 x 30 s je Seite": "2 mal 30 Sekunden je Seite.",
        "3x täglich": "3 mal täglich.",
        "1x täglich": "einmal täglich.",
        "5-10 Wdh.": "5 bis 10 Wiederholungen.",
        "5–10 s": "5 bis 10 Sekunden.",
        "90° beugen": "90 Grad beugen.",
        "2,5 kg": "2,5 Kilogramm.",
        "2.5 kg": "2,5 Kilogramm.",
        "80 %": "80 Prozent.",
        "ca. 10 cm": "circa 10 Zentimeter.",
        "z. B. ein Kissen": "zum Beispiel ein Kissen.",
        "3 Sätze/Tag": "3 Sätze pro Tag.",
        "1 Atemzug": "ein Atemzug.",
        "11 Sekunden, 1. Übung": "11 Sekunden, 1. Übung.",
        "die „Brücke“ (leicht)": "die Brücke, leicht.",
        "rechts/links": "rechts oder links.",
        "C5 - C6": "C5 bis C6.",
        "C5–C6": "C5 bis C6.",
        "0°–90°": "0 Grad bis 90 Grad.",
        "3x tägl.": "3 mal täglich.",
        "½ Tasse": "eine halbe Tasse.",
        "re. Bein": "rechtes Bein.",
        "li. Hand": "linke Hand.",
        "re.": "rechts.",
        "am 2. Tag": "am zweiten Tag.",
        "Der 1. Satz": "Der erste Satz.",
        "≤ 5/10": "höchstens 5 von 10.",
        "min. 3": "mindestens 3.",
        "um 8:30 Uhr": "um 8 Uhr 30.",
        "30 s x 3": "30 Sekunden, 3 mal.",
        "x10": "10 mal.",
        "Mo/Mi/Fr": "Montag, Mittwoch und Freitag.",
        "Abb. 2, S. 3": "Abbildung 2, Seite 3.",
        "120/80 mmHg": "120 zu 80.",
        "30''": "30 Sekunden.",
        '30" halten': "30 Sekunden halten.",
        "30” halten": "30 Sekunden halten.",
        "2' gehen": "2 Minuten gehen.",
        "1'30\"": "eine Minute und 30 Sekunden.",
        'Sagen Sie "Stufe 2" laut': "Sagen Sie Stufe 2 laut.",
        "1 1/2 min": "eineinhalb Minuten.",
        "½ Min.": "eine halbe Minute.",
        "2x/Wo.": "2 mal pro Woche.",
        "re/li im Wechsel": "rechts und links im Wechsel.",
        "ab der 3. Woche": "ab der dritten Woche.",
        "jeden 2. Tag": "jeden zweiten Tag.",
        "mit 1 Bein": "mit einem Bein.",
        "1 Hand": "eine Hand.",
    },
    "es": {
        "Mantenga 30 s.": "Mantenga 30 segundos.",
        "1 min": "un minuto.",
        "1 hora": "una hora.",
        "21 s": "veintiún segundos.",
        "21 veces": "veintiuna veces.",
        "31 segundos": "treinta y un segundos.",
        "41 repeticiones": "cuarenta y una repeticiones.",
        "11 segundos": "11 segundos.",
        "101 minutos": "101 minutos.",
        "1:30": "un minuto y 30 segundos.",
        "1/2 hora": "media hora.",
        "1/2 minuto": "medio minuto.",
        "1 1/2 minutos": "un minuto y medio.",
        "2 1/2 horas": "2 horas y media.",
        "3/4 de la fuerza": "tres cuartos de la fuerza.",
        "2 x 30 s": "2 veces 30 segundos.",
        "1x al día": "una vez al día.",
        "3x al día": "3 veces al día.",
        "5-10 reps": "5 a 10 repeticiones.",
        "90°": "90 grados.",
        "2,5 kg": "2,5 kilogramos.",
        "80 %": "80 por ciento.",
        "p. ej. una silla": "por ejemplo una silla.",
        "2 veces/día": "2 veces por día.",
        "n.º 3": "número 3.",
        "¿Listo? Siga.": "¿Listo? Siga.",
        "y/o": "o.",
        "C5–C6": "C5 a C6.",
        "pierna izq.": "pierna izquierda.",
        "pie izq.": "pie izquierdo.",
        "½ taza": "media taza.",
        "1.ª serie": "primera serie.",
        "1.er día": "primer día.",
        "2.º día": "segundo día.",
        "90º": "90 grados.",
        "≤ 5/10": "como máximo 5 de 10.",
        "a las 8:30": "a las 8 y 30.",
        "30 s x 3": "30 segundos, 3 veces.",
        "x10": "10 veces.",
        "fig. 2, pág. 3": "figura 2, página 3.",
        "120/80 mmHg": "120 sobre 80.",
        "30''": "30 segundos.",
        '30" por lado': "30 segundos por lado.",
        "1/2 kg": "medio kilogramo.",
        "nº 3": "número 3.",
        "1ª serie": "primera serie.",
        "2º día": "segundo día.",
        "a 5º de flexión": "a 5 grados de flexión.",
        "pierna izq./der.": "pierna izquierda o derecha.",
        "lado izdo.": "lado izquierdo.",
        "10 s c/lado": "10 segundos cada lado.",
        "3 veces/sem.": "3 veces por semana.",
        "1 pierna": "una pierna.",
        "1 brazo": "un brazo.",
    },
    "fr": {
        "Tenez 30 s.": "Tenez 30 secondes.",
        "1 min": "une minute.",
        "1 fois": "une fois.",
        "21 secondes": "vingt et une secondes.",
        "31 fois": "trente et une fois.",
        "81 répétitions": "quatre-vingt-une répétitions.",
        "71 secondes": "71 secondes.",
        "11 secondes": "11 secondes.",
        "1:30": "une minute et 30 secondes.",
        "1/2 heure": "une demi-heure.",
        "1 1/2 minute": "une minute et demie.",
        "3/4 du temps": "trois quarts du temps.",
        "2 x 30 s": "2 fois 30 secondes.",
        "3x par jour": "3 fois par jour.",
        "5-10 rép.": "5 à 10 répétitions.",
        "90°": "90 degrés.",
        "2,5 kg": "2,5 kilogrammes.",
        "80 %": "80 pour cent.",
        "p. ex. une chaise": "par exemple une chaise.",
        "3 fois/jour": "3 fois par jour.",
        "n° 3": "numéro 3.",
        "D’abord\u00a0: Talons.": "D'abord: Talons.",
        "l’étirement «\u00a0doux\u00a0»": "l'étirement doux.",
        "et/ou": "ou.",
        "C5–C6": "C5 à C6.",
        "jambe D": "jambe droite.",
        "pied D": "pied droit.",
        "genou G": "genou gauche.",
        "½ tasse": "une demi-tasse.",
        "1re série": "première série.",
        "1er jour": "premier jour.",
        "2ème jour": "deuxième jour.",
        "≤ 5/10": "au plus 5 sur 10.",
        "3x/j": "3 fois par jour.",
        "à 8h30": "à 8 heures 30.",
        "30 s x 3": "30 secondes, 3 fois.",
        "x10": "10 fois.",
        "par ex. une chaise": "par exemple une chaise.",
        "M. Martin": "Monsieur Martin.",
        "120/80 mmHg": "120 sur 80.",
        "30''": "30 secondes.",
        '30" par côté': "30 secondes par côté.",
        "1'30": "une minute et 30 secondes.",
        "l'étirement": "l'étirement.",
        "1/2 kg": "un demi-kilogramme.",
        "10 répét.": "10 répétitions.",
        "jambe G/D": "jambe gauche ou droite.",
        "max 3/10": "au maximum 3 sur 10.",
        "3x/sem": "3 fois par semaine.",
        "1 jambe": "une jambe.",
        "main dte": "main droite.",
    },
}
CASES = [(language, text, said) for language in SAID for text, said in SAID[language].items()]


@pytest.mark.parametrize(("language", "text", "said"), CASES)
def test_written_is_said(language: str, text: str, said: str) -> None:
    """As a person would read it to a patient."""
    assert speakable(text, {}, language) == said


@pytest.mark.parametrize(("language", "text", "said"), CASES)
def test_what_is_said_is_left_alone(language: str, text: str, said: str) -> None:
    """Made speakable twice is the same as once: no rule feeds on another's words."""
    assert text
    assert speakable(said, {}, language) == said


@pytest.mark.parametrize(("language", "text", "sounds"), [
    ("de", "Durchgang 2.", "tsvˈaɪ"),
    ("de", "Noch 1 Minute.", "ˌaɪnə miːnˈuːtə"),
    ("de", "2,5 kg", "kɔmɑː fˈʏnf"),
    ("es", "21 veces", "beɪntjˈuna βˈeθes"),
    ("es", "1 minuto", "ˈun minˈuto"),
    ("fr", "1 minute", "yn minˈyt"),
    ("fr", "21 secondes", "yn səɡˈɔ̃d"),
])  # fmt: skip
def test_the_voice_reads_the_number_right(language: str, text: str, sounds: str) -> None:
    """By eSpeak NG's own phonemes: the number agrees with its noun, and is no ordinal."""
    found = phonemes(language, speakable(text, {}, language))
    assert unicodedata.normalize("NFC", sounds) in found


def test_a_language_without_rules_has_its_signs_made_silent() -> None:
    """And its amounts left to the voice, never said in English."""
    assert speakable("30 s (rechts) – 5 x", {}, "nl") == "30 s, rechts, 5 x."


def test_a_region_speaks_as_its_language() -> None:
    """Swiss German says seconds as German does."""
    assert speakable("30 s", {}, "de-CH") == "30 Sekunden."
