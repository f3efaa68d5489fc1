"""The table of English words with two readings: which places make which reading.

For each word the first row that fits decides.  The sounds of the readings stand in the
lexicon, as ``close (verb)`` and ``close (adjective)``.
"""

from __future__ import annotations

from collections.abc import Mapping

from breathmark.speech.heteronyms import Clue, clue

_DONE = (
    clue("verb", "to", never="determined"),
    clue("verb", "modal", never="determined"),
    clue("verb", "start object"),
    clue("verb", "start manner"),
)
"""What is done: ``to increase``, ``do not increase``, ``Increase it``, ``Increase slowly``."""

_ACT_OR_THING = (clue("noun", "determined"), *_DONE, clue("noun", "preposition"))
_ACT_OR_KIND = (
    clue("adjective", "determined"),
    *_DONE,
    clue("adjective", "preposition"),
)
_DOES_OR_THINGS = (
    clue("noun", "determined"),
    clue("verb", "subject"),
    clue("noun", "preposition"),
)
"""Words with an s: ``pain increases``, ``two increases``."""

_BODY = "eyes eye hands hand fists fist mouth lips fingers eyelids lids jaw"
_INJURED = (
    "muscle tendon cuff meniscus meniscal ligament labral labrum calf hamstring acl partial "
    "complete groin and old small"
)

CLUES: Mapping[str, tuple[Clue, ...]] = {
    # A voiced or a voiceless end
    "close": (
        clue("adjective", after="to together by behind beside at enough against", never="let"),
        clue("verb", "start object"),
        clue("verb", "to"),
        clue("verb", "start manner"),
        clue("verb", "start", after=_BODY),
        clue("adjective", "kept"),
        clue("adjective", "determined"),
        clue("verb", "modal"),
        clue("verb", "let end"),
        clue("verb", "let manner"),
        clue("verb", "start end"),
    ),
    "use": (
        clue("noun", after="of"),
        clue("noun", "determined"),
        clue("noun", "preposition", never="object"),
        clue("noun", "to end", before="to", never="start modal object"),
        clue("verb", "to"),
        clue("verb", "modal"),
        clue("verb", "start", never="end"),
        clue("verb", "let"),
    ),
    "uses": _DOES_OR_THINGS,
    "excuse": _ACT_OR_THING,
    "refuse": _ACT_OR_THING,
    # Another vowel
    "wind": (
        clue("noun", "determined"),
        clue("noun", "preposition"),
        clue("verb", after="down up"),
        clue("verb", "start object"),
        clue("verb", "to"),
        clue("verb", "modal"),
        clue("noun", after="blows and is from instruments"),
    ),
    "live": (
        clue("adjective", "determined"),
        clue("adjective", after="music class classes session sessions recording stream"),
        clue("verb", "to"),
        clue("verb", "modal"),
        clue("verb", after="in with well at alone on near by without your"),
        clue("adjective", "end", before="recorded streamed heard broadcast shown played"),
    ),
    "lives": (clue("noun", "determined"), clue("verb", "subject"), clue("noun", "preposition")),
    "lead": (
        clue("metal", after="weight weights pipe pipes apron paint shot"),
        clue("metal", "end", before="like of as"),
        clue("verb", "start"),
        clue("verb", "to"),
        clue("verb", "modal"),
        clue("verb", "determined"),
        clue("verb", "let"),
    ),
    "tear": (
        clue("eye", after="duct ducts drop drops film gland runs rolls"),
        clue("rip", "start object"),
        clue("rip", "to"),
        clue("rip", "modal"),
        clue("rip", "start", after="off up apart"),
        clue("rip", after="in of"),
        clue("rip", before=_INJURED),
        clue("eye", after="away"),
    ),
    "tears": (
        clue("rip", before=_INJURED),
        clue("eye", before="dry artificial into of to your"),
        clue("eye", after="in run roll well"),
    ),
    "wound": (
        clue("wind", after="around round up tightly loosely twice once", never="determined"),
        clue("wind", "been", after="on onto into"),
        clue("injury", "determined"),
        clue("injury", "preposition"),
    ),
    "bow": (
        clue("knot", after="and legs legged tie string"),
        clue("knot", "determined", never="manner", before="a the"),
        clue("bend", "start"),
        clue("bend", "to"),
        clue("bend", "modal"),
        clue("bend", "determined", before="deep slow low slight small little"),
        clue("bend", "let"),
    ),
    "bowed": (clue("bent", after="legs leg knees knee shins"), clue("bend", after="head heads")),
    "minute": (
        clue("tiny", before="most very extremely so such these"),
        clue("tiny", after="movements motions changes adjustments amounts shifts differences"),
        clue("tiny", before="a", after="movement motion change adjustment amount shift difference"),
    ),
    "read": (
        clue("past", "been", never="to modal"),
        clue("past", "been", before="have has had be been already"),
        clue("verb", "start"),
        clue("verb", "to"),
        clue("verb", "modal"),
    ),
    "number": (
        clue("numb", "end", before="get gets feel feels grow grows becomes much even"),
        clue("numb", after="than"),
        clue("count", "determined"),
        clue("count", "start"),
    ),
    "bass": (
        clue("fish", before="sea striped"),
        clue("sound", "determined"),
        clue("sound", after="line drum guitar voice note notes"),
    ),
    "dove": (clue("dive", before="he she it they i we you who"), clue("bird", "determined")),
    "axes": (
        clue("axis", after="of"),
        clue("axis", before="joint x y z body movement"),
        clue("axe", after="and"),
    ),
    # Stress on the first syllable or on the second
    "contract": (clue("noun", "determined"), clue("noun", after="says ends"), clue("verb")),
    "contracts": (clue("noun", "determined"), clue("verb", "subject")),
    "increase": (*_ACT_OR_THING, clue("verb", "let")),
    "increases": _DOES_OR_THINGS,
    "decrease": (*_ACT_OR_THING, clue("verb", "let")),
    "decreases": _DOES_OR_THINGS,
    "progress": _ACT_OR_THING,
    "record": _ACT_OR_THING,
    "records": _DOES_OR_THINGS,
    "project": _ACT_OR_THING,
    "object": (clue("noun", "determined"), *_DONE, clue("noun", "preposition")),
    "present": (
        clue("noun", "determined"),
        clue("noun", "preposition"),
        clue("noun", "end", before="be stay fully feel"),
        clue("verb", "start object"),
        clue("verb", "to object"),
        clue("verb", "modal object"),
    ),
    "permit": _ACT_OR_THING,
    "transfer": _ACT_OR_THING,
    "insert": _ACT_OR_THING,
    "conduct": _ACT_OR_THING,
    "subject": _ACT_OR_THING,
    "survey": _ACT_OR_THING,
    "contrast": _ACT_OR_THING,
    "recall": _ACT_OR_THING,
    "update": _ACT_OR_THING,
    "segment": _ACT_OR_THING,
    "console": _ACT_OR_THING,
    "desert": _ACT_OR_THING,
    "rebel": _ACT_OR_THING,
    "compress": _ACT_OR_THING,
    "incline": _ACT_OR_THING,
    "overlap": _ACT_OR_THING,
    "reset": _ACT_OR_THING,
    "perfect": _ACT_OR_KIND,
    "content": (
        clue("noun", "determined"),
        clue("adjective", after="with to"),
        clue("adjective", before="be is are feel feeling feels stay rest quietly"),
        clue("noun", after="of"),
    ),
    # A full or a weak end
    "separate": (*_ACT_OR_KIND, clue("adjective", "kept end"), clue("verb", "let end")),
    "alternate": (
        clue("adjective", after="days weeks mornings evenings"),
        *_ACT_OR_KIND,
        clue("verb", "start"),
    ),
    "moderate": _ACT_OR_KIND,
    "estimate": _ACT_OR_THING,
    "coordinate": _ACT_OR_THING,
    "graduate": _ACT_OR_THING,
    "approximate": _ACT_OR_KIND,
    "duplicate": _ACT_OR_KIND,
    "elaborate": _ACT_OR_KIND,
    "deliberate": _ACT_OR_KIND,
    "articulate": _ACT_OR_KIND,
}
"""Each word in small letters and its rows."""
