"""Lexicons go out as Pronunciation Lexicons (W3C PLS 1.0) and come in again."""

from __future__ import annotations

from pathlib import Path
from xml.etree import ElementTree as ET

import pytest
from hypothesis import given
from hypothesis import strategies as st

from breathmark.problems import InputProblems, Place
from breathmark.speech.lexicon import Entry, Lexicon, load_lexicon
from breathmark.speech.pls import NAMESPACE, as_role, from_role, to_pls, to_yaml
from breathmark.speech.pls_reading import from_pls
from breathmark.speech.profiles import load_profile

PLS = f"{{{NAMESPACE}}}"
XML = "{http://www.w3.org/XML/1998/namespace}"
HERE = Place(file="lexicon.yaml", line=1, column=1)


def shipped() -> Lexicon:
    """The English lexicon that comes with Breathmark."""
    return load_lexicon(load_profile("calm").lexicon)


def told(lexicon: Lexicon) -> list[tuple[str, str, str, str, tuple[str, ...]]]:
    """Everything an entry says, without where it stands."""
    return [(e.words, e.role, e.sound, e.spelling, e.before) for e in lexicon.entries]


def document(body: str, head: str = "") -> str:
    """A PLS document with ``body`` inside its root; ``head`` stands before the root."""
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n{head}'
        f'<lexicon version="1.0" xmlns="{NAMESPACE}" alphabet="ipa" xml:lang="en-US">\n'
        f"{body}\n</lexicon>\n"
    )


def read(tmp_path: Path, text: str) -> Lexicon:
    """The lexicon in a PLS document."""
    path = tmp_path / "words.pls"
    path.write_text(text, encoding="utf-8")
    return from_pls(path)


def test_what_is_exported_follows_the_standard() -> None:
    """PLS 1.0, 4.1 to 4.7: namespace, version, alphabet, language; what a lexeme holds."""
    root = ET.fromstring(to_pls(shipped(), "en-US").encode("utf-8"))
    assert root.tag == f"{PLS}lexicon"
    assert root.get("version") == "1.0"
    assert root.get("alphabet") == "ipa"
    assert root.get(f"{XML}lang") == "en-US"
    assert len(root) == len(shipped().entries)
    for lexeme in root:
        assert lexeme.tag == f"{PLS}lexeme"
        tags = [child.tag.removeprefix(PLS) for child in lexeme]
        assert tags[0] == "grapheme"
        assert tags[1:] in (["phoneme"], ["alias"], ["phoneme", "alias"])
        assert all((child.text or "").strip() for child in lexeme)
        assert set(lexeme.attrib) <= {"role"}


def test_the_shipped_lexicon_comes_back_whole(tmp_path: Path) -> None:
    """Out as PLS, in again, out as a lexicon file, in again: nothing is lost or changed."""
    lexicon = read(tmp_path, to_pls(shipped(), "en-US"))
    assert told(lexicon) == told(shipped())
    path = tmp_path / "lexicon-own.yaml"
    path.write_text(to_yaml(lexicon), encoding="utf-8")
    assert told(load_lexicon([path])) == told(shipped())


WORDS = st.text(st.characters(whitelist_categories=["L", "N", "P", "S"]), min_size=1, max_size=8)


@given(
    words=WORDS.filter(lambda text: "(" not in text),
    before=st.lists(WORDS.map(str.lower), max_size=3, unique=True),
    spelling=WORDS,
)
def test_any_entry_comes_back(
    words: str, before: list[str], spelling: str, tmp_path_factory: pytest.TempPathFactory
) -> None:
    """Signs that XML or YAML keep for themselves do no harm."""
    folder = tmp_path_factory.mktemp("pls")
    entry = Entry(words=words, sound="ˈæ", spelling=spelling, place=HERE, before=tuple(before))
    lexicon = read(folder, to_pls(Lexicon((entry,)), "en"))
    assert told(lexicon) == told(Lexicon((entry,)))
    path = folder / "lexicon-own.yaml"
    path.write_text(to_yaml(lexicon), encoding="utf-8")
    assert told(load_lexicon([path])) == told(lexicon)


@given(WORDS)
def test_a_role_is_a_name_and_comes_back(words: str) -> None:
    """XML Namespaces: the local part holds no blank and no colon."""
    assert ":" not in as_role(words)
    assert from_role(as_role(words)) == words


def test_a_dictionarys_ipa_becomes_the_voices(tmp_path: Path) -> None:
    """Stress before the syllable, ties, dots and a plain r, as dictionaries print them."""
    body = (
        "<lexeme><grapheme>acromion</grapheme><grapheme>acromions</grapheme>"
        "<phoneme>əˈkroʊ.mi.ən</phoneme></lexeme>"
        '<lexeme><grapheme>chin</grapheme><phoneme>x</phoneme><phoneme prefer="true">t͡ʃɪn'
        "</phoneme><alias>chinn</alias><example>Chin in.</example></lexeme>"
    )
    first, second, third = read(tmp_path, document(body)).entries
    assert (first.words, first.sound) == ("acromion", "əkɹˈoʊmiən")
    assert (second.words, second.sound) == ("acromions", "əkɹˈoʊmiən")
    assert (third.sound, third.spelling) == ("tʃɪn", "chinn")


LEXEME = "<lexeme><grapheme>a</grapheme><phoneme>f</phoneme></lexeme>"
WRONG = {
    document(LEXEME, head='<!DOCTYPE lexicon [<!ENTITY a "aaaa">]>\n'): ("document-type", 2),
    document("<lexeme><grapheme>a</grapheme>"): ("not-xml", 4),
    document("<lexeme><grapheme>a</grapheme></lexeme>"): ("pls-element", 3),
    document("<lexeme>\n<phoneme>f</phoneme></lexeme>"): ("pls-element", 3),
    document("\n<lexeme><grapheme> </grapheme><alias>b</alias></lexeme>"): ("pls-empty", 4),
    document("<word/>"): ("pls-element", 3),
    document(f"{LEXEME}\n{LEXEME}"): ("twice", 4),
    document(LEXEME.replace("<phoneme>", '<phoneme alphabet="x-sampa">')): ("pls-alphabet", 3),
    document(LEXEME.replace("<lexeme>", '<lexeme role="claws:VVI">')): ("pls-role", 3),
    document(LEXEME).replace(' version="1.0" xmlns', " xmlns"): ("pls-version", 2),
    document(LEXEME).replace(' alphabet="ipa"', ""): ("pls-attribute", 2),
    document(LEXEME).replace(' xml:lang="en-US"', ""): ("pls-attribute", 2),
    document(LEXEME).replace(NAMESPACE, "urn:other"): ("not-pls", 2),
    "<lexicon/>": ("not-pls", 1),
    "{sound: f}": ("not-xml", 1),
    document("<metadata>" + "<a>" * 40 + "</a>" * 40 + "</metadata>"): ("too-deep", 3),
}


@pytest.mark.parametrize(("text", "expected"), WRONG.items(), ids=[e[0] for e in WRONG.values()])
def test_what_is_wrong_is_told_with_its_line(
    text: str, expected: tuple[str, int], tmp_path: Path
) -> None:
    """One problem, in the line it stands in; no entity is ever expanded."""
    with pytest.raises(InputProblems) as raised:
        read(tmp_path, text)
    problem = raised.value.problems[0]
    assert (problem.rule, problem.place.line) == expected


def test_a_missing_file_is_told(tmp_path: Path) -> None:
    """As a problem, never a traceback."""
    with pytest.raises(InputProblems) as raised:
        from_pls(tmp_path / "none.pls")
    assert raised.value.problems[0].rule == "missing-file"
