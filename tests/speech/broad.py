"""Phonemes made comparable across dictionaries: a broad form in which variants fall together.

Kept are the consonants, the place of the main stress, the quality of the stressed vowel
and every full vowel.  Made one are what American dictionaries write differently for the
same sound: weak vowels, length, the flapped t, r-coloured vowels, the vowels of cot and
caught, a glide between vowels, a syllabic l or n.
"""

from __future__ import annotations

import re
import unicodedata

_VOWELS = "aeiouæɑɔəɛɜɝɪʊʌᵻɐɚ"
_SIGNS = {
    "ˌ": "", "ɜː": "ɝ", "ɜɹ": "ɝ", "ː": "", "ʲ": "", "ɾ": "t", "ɚ": "əɹ", "g": "ɡ",
    "ɝɹ": "ɝ", "ɹɹ": "ɹ", " ": "", ".": "",
}  # fmt: skip
_RULES = (
    (r"iəɹ(?=[ɪi])", "ɪɹ"),  # the vowel of near before another
    (r"ɔ(?!ɹ|ɪ)", "ɑ"),
    (rf"(?<!ˈ)[ɪi](?=[{_VOWELS}ˈ])(?!ɪ)", "i"),
    (r"(?<![ˈaeɔ])[ɪᵻɐʌæɛ]|(?<![ˈaoɔ])ʊ", "ə"),
    (r"ntʃ", "nʃ"),
    (r"(?<!ˈ)ə(?=l$|lz$|n$)", ""),
)


def broad(sounds: str) -> str:
    """The broad form of one word's phonemes.

    >>> broad("ˌɪnfɹəspaɪnˈeɪɾəs") == broad("ɪnfɹəspaɪnˈeɪtəs")
    True
    >>> broad("pˈeɪɾəlɚ") == broad("pətˈɛləɹ")
    False
    """
    text = unicodedata.normalize("NFD", sounds)
    for sign, plain in _SIGNS.items():
        text = text.replace(sign, plain)
    for pattern, plain in _RULES:
        text = re.sub(pattern, plain, text)
    return text
