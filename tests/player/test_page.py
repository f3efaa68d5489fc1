"""The page as text: whole, safe, the same every time, and silent about the patient."""

from __future__ import annotations

import base64
import dataclasses
import hashlib
import html
import json
import re
from html.parser import HTMLParser
from typing import Any

import pytest

from breathmark.deliver.captions import caption_cues
from breathmark.deliver.plan_look import contrast
from breathmark.deliver.player import player_html
from breathmark.deliver.player.contents import as_script, moment_words
from breathmark.routine.model import ContractRelaxDose, FreeDose, RepsDose, Side, Tempo
from breathmark.routine.patient import Patient
from breathmark.script.session import Activity, Block, Span
from breathmark.script.words import words_of
from breathmark.units import Ranged
from tests.plan_sessions import at
from tests.player.pages import AUDIO, GREETING, small_prescription, small_routine, small_session

WORDS = words_of("en")


class Reader(HTMLParser):
    """The page as the standard library reads it: elements, and the text of the scripts."""

    def __init__(self, page: str) -> None:
        super().__init__(convert_charrefs=True)
        self.elements: list[tuple[str, dict[str, str | None]]] = []
        self.inside: dict[str, str] = {}
        self._name = ""
        self.feed(page)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        """Note an element."""
        self.elements.append((tag, dict(attrs)))
        self._name = dict(attrs).get("id") or tag

    def handle_endtag(self, tag: str) -> None:
        """What follows ``tag`` belongs to nothing that has a name."""
        self._name = f"after {tag}"

    def handle_data(self, data: str) -> None:
        """Note text by the element that begins before it."""
        self.inside[self._name] = self.inside.get(self._name, "") + data


def page(**changes: Any) -> str:
    """The small page, its prescription changed."""
    return player_html(dataclasses.replace(small_prescription(), **changes), audio_name=AUDIO)


def test_the_same_session_gives_the_same_page() -> None:
    """No clock and no random numbers; ends in a line feed."""
    assert page() == page()
    assert page().endswith("</html>\n")


def test_every_place_in_the_templates_is_filled() -> None:
    """No placeholder is left in what people read, and no word of the catalogue lacks a field."""
    read = Reader(page())
    seen = " ".join(text for name, text in read.inside.items() if name not in {"script", "plan"})
    assert not re.search(r"\$\w|\{\w+\}", seen)


def test_the_page_refers_to_nothing_but_its_recording() -> None:
    """Every address in the page is its own fragment or the file beside it."""
    read = Reader(page())
    found = [
        str(attributes[name])
        for _, attributes in read.elements
        for name in ("src", "href", "srcset", "data", "poster", "action")
        if name in attributes
    ]
    assert {one for one in found if not one.startswith("#")} == {"./steady%20%231%2050%25.mp3"}
    assert "@import" not in page()
    assert "url(http" not in page()


def test_the_policy_admits_this_script_alone() -> None:
    """The hash in the policy is the script's own (W3C, CSP 3); handlers in attributes are none."""
    read = Reader(page())
    policy = next(
        str(a["content"])
        for _, a in read.elements
        if a.get("http-equiv") == "Content-Security-Policy"
    )
    digest = hashlib.sha256(read.inside["script"].encode()).digest()
    assert f"script-src 'sha256-{base64.b64encode(digest).decode()}'" in policy
    assert policy.startswith("default-src 'none'; ")
    assert not [a for _, a in read.elements if any(name.startswith("on") for name in a)]


def test_the_data_comes_back_as_it_was() -> None:
    """The JSON in the page, read back, holds every caption word for word."""
    data = json.loads(Reader(page()).inside["plan"])
    expected = [[c.start_ms, c.end_ms, " ".join(c.rows)] for c in caption_cues(small_session())]
    assert [[cue["start"], cue["end"], cue["text"]] for cue in data["cues"]] == expected
    assert [chapter["title"] for chapter in data["chapters"]] == [
        block.title for block in small_session().blocks
    ]
    assert data["length"] == 66_000
    assert data["chapters"][-1]["end"] == data["moments"][-1]["end"] == 66_000


@pytest.mark.parametrize("text", ["</script>", "<!--", "<script>", "]]>", "&lt;", "a\u2028b\u2029"])
def test_data_cannot_leave_its_script(text: str) -> None:
    """Nothing that ends a script, begins a comment or breaks a line is left, and all comes back."""
    written = as_script({"text": text})
    assert not set("<>&\u2028\u2029") & set(written)
    assert json.loads(written) == {"text": text}


@pytest.mark.parametrize("name", ["", "../x.mp3", "a/b.mp3", "a\\b.mp3", "a\0.mp3"])
def test_only_a_file_beside_the_page_can_be_named(name: str) -> None:
    """A path is refused."""
    with pytest.raises(ValueError, match="not the name of a file"):
        player_html(small_prescription(), audio_name=name)


def test_only_sound_can_be_carried() -> None:
    """A type that is no sound is refused."""
    with pytest.raises(ValueError, match="no type of sound"):
        player_html(small_prescription(), audio_name=AUDIO, embed=b"x", mime="text/html")


def test_a_carried_recording_is_there_byte_for_byte() -> None:
    """The recording inside, decoded, is the recording; the page names no file to load."""
    sound = bytes(range(256)) * 3
    read = Reader(player_html(small_prescription(), audio_name=AUDIO, embed=sound))
    assert base64.b64decode(read.inside["recording"]) == sound
    assert all("src" not in attributes for tag, attributes in read.elements if tag == "audio")


def test_the_greeting_is_nowhere_but_in_the_captions() -> None:
    """The greeting may hold a name: it is shown while it is said, not in the picture."""
    patient = Patient(label="R-204", file="r-204.yaml", sha256="1" * 64, greeting=GREETING)
    with_patient = page(patient=patient)
    assert with_patient.count("Rosalind") == 1
    data = json.loads(Reader(with_patient).inside["plan"])
    assert [cue["text"] for cue in data["cues"] if "Rosalind" in cue["text"]] == [GREETING]
    assert "R-204" not in with_patient
    assert "“A greeting”" in with_patient
    assert page().count("Rosalind") > 1  # the test can fail: the picture would tell it


def test_the_rules_of_safety_are_in_words() -> None:
    """The usual rules, the routine's cautions, and the balance rule where the session says it."""
    rules = [WORDS.say(key) for key in ("pain rule", "stop rule", "balance rule")]
    for rule in [*rules, "Keep <somebody> near & the floor clear."]:
        assert f'<li dir="auto">{html.escape(rule)}</li>' in page()
    quiet = tuple(e for e in small_session().events if getattr(e, "text", "") != rules[-1])
    without = page(session=dataclasses.replace(small_session(), events=quiet))
    assert f'<li dir="auto">{html.escape(rules[-1])}</li>' not in without


def test_the_pain_rule_is_the_one_that_is_said() -> None:
    """A routine with a limit says another rule of pain, and the page must not contradict it."""
    limited = page(routine=dataclasses.replace(small_routine(), pain_limit=3))
    rules = [WORDS.say("pain rule with limit", n=3), WORDS.say("pain rule")]
    assert [f'<li dir="auto">{html.escape(rule)}</li>' in limited for rule in rules] == [
        True,
        False,
    ]


def _span(activity: Activity, side: Side | None = None, number: int | None = None) -> Span:
    return Span(start=0, length=at(5), activity=activity, doing="", side=side, set_number=number)


def _said(span: Span, *others: Span, dose: Any = None) -> list[str]:
    block = Block(start=0, length=at(5), title="T", spans=(span,), exercise=0)
    object.__setattr__(block, "spans", (span, *others))
    routine = small_routine()
    if dose:
        exercise = dataclasses.replace(routine.exercises[0], dose=dose)
        routine = dataclasses.replace(routine, exercises=(exercise,))
    return moment_words(span, block, routine, WORDS)


def test_moments_in_words() -> None:
    """What is done, on which side, and which set where there are several on that side."""
    left = _span(Activity.WORK, Side.LEFT, 1)
    assert _said(left) == ["Hold", "left side"]
    assert _said(left, _span(Activity.WORK, Side.RIGHT, 2)) == ["Hold", "left side"]
    two = _said(left, _span(Activity.WORK, Side.LEFT, 2))
    assert two == ["Hold", "left side", "set 1 of 2"]
    five = Ranged.fixed(5)
    second = Ranged.fixed(1000)
    tempo = Tempo(out_ms=1000, hold_ms=0, back_ms=1000, pause_ms=0)
    both = _span(Activity.WORK, None, 1)
    assert _said(both, dose=RepsDose(reps=five, tempo=tempo, sets=five)) == ["5 repetitions"]
    assert _said(both, dose=FreeDose(time_ms=second)) == ["Keep moving"]
    relax = ContractRelaxDose(contract_ms=second, relax_ms=second, stretch_ms=second, sets=five)
    assert _said(both, dose=relax) == ["Press, relax, stretch"]
    assert _said(_span(Activity.REST, Side.LEFT, 2)) == ["Rest"]
    change = _span(Activity.SIDE_CHANGE, Side.RIGHT, 1)
    assert _said(change) == ["Change to your right side"]
    for activity in Activity:
        assert all(_said(_span(activity, None, 1)))


def _colours(selector: str) -> dict[str, str]:
    style = re.search(re.escape(selector) + r" \{(.*?)\}", page(), re.DOTALL)
    assert style
    return dict(re.findall(r"--([\w-]+): (#[0-9a-f]{6});", style.group(1)))


@pytest.mark.parametrize("selector", [":root", ':root[data-colours="dark"]'])
def test_contrast_of_the_colours(selector: str) -> None:
    """Text 7:1 (WCAG 2.2, 1.4.6), rings and borders that carry meaning 3:1 (1.4.11)."""
    colours = _colours(selector)
    grounds = ["paper", "card", "track"]
    pairs = [(text, ground, 7.0) for text in ("ink", "soft") for ground in grounds]
    pairs += [("stop", "card", 7.0), ("on-strong", "strong", 7.0), ("on-here", "here", 7.0)]
    pairs += [(sign, ground, 3.0) for sign in ("line", "ring") for ground in grounds]
    pairs += [("strong", "card", 3.0), ("strong", "here", 3.0)]
    faint = {
        (one, two): round(contrast(colours[one], colours[two]), 2)
        for one, two, least in pairs
        if contrast(colours[one], colours[two]) < least
    }
    assert faint == {}


@pytest.mark.parametrize(
    ("colour", "ratio"),
    [
        ("#767676", 4.54),
        ("#777777", 4.48),
        ("#595959", 7.00),
        ("#949494", 3.03),
        ("#959595", 2.995),
    ],
)
def test_the_contrast_function_gives_known_values(colour: str, ratio: float) -> None:
    """Grey on white, worked from the definition of WCAG 2.2: around the limits 4.5, 7 and 3."""
    assert contrast(colour, "#FFFFFF") == pytest.approx(ratio, abs=0.006)
