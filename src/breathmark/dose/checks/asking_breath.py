"""Where English words ask for a held breath, and where they warn against one."""

from __future__ import annotations

import re

_BREATH = (
    r"(?:(?:your|the|that|this|a|one) )?(?:(?:deep|big|full|in) )?"
    r"(?:breath(?!ing)|in-breath|inhale|inhalation)\b"
)
_BREATHING_IN = (
    r"(?:inhal(?:e|ing)|breathe?(?: \w+ly| deep)? in|(?:big|deep|full) breath(?: in)?"
    r"|(?:take|taking|draw|get) (?:in )?(?:a|one|another|your)\b[^.!?,]{0,20}\bbreath(?: in)?"
    r"|fill(?:ing)? (?:your|the) (?:lungs|chest))\b"
)
_STILL_IN = (
    r"(?:(?!\b(?:out|exhale|sigh|blow|let|relax|rest|release|keep"
    r"|not|never|no|without|(?:as|while|when) you)\b|n't)"
    r"[^.!?])"
)
_A_THING = (
    r" (?:the|your|on|onto|to|with|a|an|each|both|them|this \w|that \w|these|those|every|hands)\b"
)
_ASKED = re.compile(
    rf"\b(?:hold|holding|stop|stopping)(?: on to| onto| in)? {_BREATH}"
    rf"|\b(?:keep|keeping) {_BREATH} (?:in|held)\b|\bbreath held\b"
    r"|\bhold(?:ing)? it in\b(?! (?:the|place|your|front|line|a|this|that)\b)"
    r"|\b(?:hold|keep)(?:ing)? (?:(?:the|your|that|all the) )?air in\b(?! (?:the|your)\b)"
    r"|\bbear(?:ing)? down\b|\bstop breathing\b"
    rf"|\b{_BREATHING_IN}{_STILL_IN}{{0,25}}\bhold(?:ing)?\b(?!{_A_THING})"
    rf"|\b{_BREATHING_IN}(?:(?<=in)|(?<=hale))(?:[.!]|\.\.\.|…) hold\b(?!{_A_THING})"
    r"|\b(?:don't|do not|never) (?:breathe|exhale|inhale)\b(?!,? in,? (?:and|then) hold)"
    r"(?=\s*(?:[.,;:!?]|$)|\s+(?:at all|yet|again|while|as|when|until|till|for|during|and|or"
    r"|before|(?:in|out)\b(?! (?:too|so|hard|fast|through|against|into)\b| \w+ly\b))\b)"
    r"|\b(?:without|no) breathing\b"
    r"(?=\s*(?:[.,;:!?]|$)|\s+(?:at all|while|as|until|till|in|out)\b)",
    re.IGNORECASE,
)
_NEXT = r"(?:\s*[.,;:!…–—-]+\s*|\s+)(?:(?:and|then)\s+)*"
_HOW_IN = (
    r"(?:(?: slow|gent|deep|soft|full|quiet)\w*| \w+ly| deep| for \w+"
    r"| (?:through|by) (?:the|your) nose| to the top| into (?:the|your) \w+)?"
)
_HOW_LONG = (
    r"(?: (?:there|briefly|a moment|for (?:a|an|\w+)(?: (?:second|count|moment|beat)s?)?"
    r"|at the top))*"
)
_OUT = (
    r"(?:(?:slowly|gently|softly)\s+)?(?:breath\w* out|exhal\w+|out\b|let (?:it )?(?:go|out)|blow)"
)
_PAUSED = re.compile(
    rf"\b{_BREATHING_IN}{_HOW_IN}{_NEXT}(?:pause|wait|keep it(?: in)?){_HOW_LONG}{_NEXT}{_OUT}"
    rf"|\b(?:inhale|breathe?(?: \w+ly)? in|fill your lungs){_HOW_IN}{_NEXT}"
    rf"pause{_HOW_LONG}(?=\s*(?:[.!]|$))"
    rf"|\bpaus(?:e|ing) (?:your|the) breath(?:ing)?\b"
    rf"|\b(?:{_BREATHING_IN}|breathe out|exhale){_HOW_IN}{_NEXT}stay (?:full|empty)\b",
    re.IGNORECASE,
)
_NOT = re.compile(
    r".*\b(?:(?:don't|do not|never|avoid|mustn't|shouldn't|aren't|isn't)\b(?P<list>[\w\s,'-]{0,40})"
    r"|(?:not|without|no|instead of|rather than|needn't|can't|cannot|keep from)\b"
    r"(?P<short>[\w\s,'-]{0,20}))$",
    re.IGNORECASE | re.DOTALL,
)
_ANOTHER = re.compile(r"\b(?:or|nor)\b", re.IGNORECASE)
_GOES_ON = re.compile(r",? (?:or|nor)\b", re.IGNORECASE)
_IF_YOU = re.compile(
    r"\b(?:(?:if|whenever|unless|in case|before|should|that|are|the moment|as soon as"
    r"|(?:notice|check|feel) (?:when|whether)) you"
    r"(?:'re| are| ever| still| find yourself| catch yourself| (?:have|need|want|tend|start) to"
    r"| start| end up)*|watch for|tempted to) $",
    re.IGNORECASE,
)
_IS_DOING = re.compile(
    r"\b(?:stop|quit|end up|(?:catch|find|notice)(?:ing)? yourself) $", re.IGNORECASE
)


def asked_phrase(text: str) -> str:
    """The words that ask for a held breath; empty where none do or the line warns of it.

    >>> asked_phrase("Lift and hold your breath."), asked_phrase("Never hold your breath.")
    ('hold your breath', '')
    """
    return _unwarned(_ASKED, text)


def paused_phrase(text: str) -> str:
    """The words that ask for a held breath without the word: a pause before the breath out.

    >>> paused_phrase("Breathe in. Pause. Breathe out."), paused_phrase("Breathe in, out, pause.")
    ('Breathe in. Pause. Breathe out', '')
    """
    return _unwarned(_PAUSED, text)


def _unwarned(asked: re.Pattern[str], text: str) -> str:
    plain = text.replace("’", "'")
    for match in asked.finditer(plain):
        if not _warned(plain, match):
            return text[match.start() : match.end()]
    return ""


def _warned(text: str, phrase: re.Match[str]) -> bool:
    """Whether a sentence warns against what it names, by the words around.

    A comma ends what is forbidden unless it goes on with another: `Don't strain, or …`.
    """
    before, after = text[: phrase.start()], text[phrase.end() :]
    if _IF_YOU.search(before):
        return True
    if phrase.group().split()[0].lower().endswith("ing") and _IS_DOING.search(before):
        return True
    if not (denied := _NOT.match(before)):
        return False
    between = denied["list"] or denied["short"] or ""
    return "," not in between or bool(_ANOTHER.search(between) or _GOES_ON.match(after))
