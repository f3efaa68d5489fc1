"""Putting the page together: its words, its data, its picture, its style and its script."""

from __future__ import annotations

import base64
import dataclasses
import hashlib
import html
import importlib.resources
import re
import urllib.parse
from collections.abc import Iterable, Mapping
from string import Template
from typing import TYPE_CHECKING

from breathmark.deliver import plan_look as look
from breathmark.deliver.plan_svg import plan_svg
from breathmark.deliver.player.contents import PREFIX, as_script, contents
from breathmark.deliver.player.strip import strip_svg
from breathmark.deliver.record import Prescribed
from breathmark.deliver.typeset import bound
from breathmark.script.blocks import pain_rule
from breathmark.script.session import Session, Spoken
from breathmark.script.words import Words, words_of
from breathmark.units import clock_text, milliseconds, nearest

if TYPE_CHECKING:
    from breathmark.deliver.pictures import Picture

_RIGHT_TO_LEFT = frozenset({"ar", "fa", "he", "ps", "sd", "ug", "ur", "yi"})
"""Languages usually written from right to left (Unicode CLDR)."""

_WORK = (look.LEFT, look.RIGHT, look.BOTH, look.BREATHING)

_MIME = re.compile(r"audio/[a-z0-9.+-]+")


def player_html(
    prescribed: Prescribed,
    *,
    audio_name: str,
    embed: bytes | None = None,
    mime: str = "audio/mpeg",
    pictures: Mapping[str, Picture] | None = None,
) -> str:
    """The page as HTML text, the same every time; ends in a newline.

    ``audio_name`` is the recording's file name in the page's own folder.  ``embed`` are
    the bytes of the recording, to be carried inside the page instead, and ``mime`` says
    what they are.  ``pictures`` are the clinician's, by the text that names each in the
    routine; an exercise shows its own while it is on.

    Raises :class:`ValueError` for a name that is more than a name, or a type that is no
    sound.
    """
    if not audio_name or re.search(r"[/\\\0]", audio_name):
        raise ValueError(f"not the name of a file in the page's own folder: {audio_name!r}")
    if not _MIME.fullmatch(mime):
        raise ValueError(f"no type of sound: {mime!r}")
    session, words = prescribed.session, words_of(prescribed.session.language)
    data = contents(session, prescribed.routine, words)
    data["file"] = audio_name
    data["type"] = mime
    script = _file("player.js")
    fields = {
        **_own_words(words, audio_name),
        "language": session.language,
        "direction": "rtl" if session.language.split("-")[0] in _RIGHT_TO_LEFT else "ltr",
        "title": html.escape(data["title"]),
        "facts": html.escape(_facts(session, words)),
        "policy": _policy(script),
        "style": _file("player.css"),
        "fills": _fills(),
        "script": script,
        "data": as_script(data),
        "chapters": "\n".join(_chapters(session, words)),
        "pictures": "\n".join(_pictures(prescribed, words, pictures or {})),
        "strip": strip_svg(session),
        "safety": "\n".join(_safety(prescribed, words)),
        "picture": plan_svg(_without_greeting(prescribed, words)).strip(),
        "without_script": "" if embed is not None else _without_script(audio_name, words),
        "source": "" if embed is not None else f' src="{_beside(audio_name)}"',
        "recording": _carried(embed),
    }
    return Template(_file("page.html")).substitute(fields)


def _file(name: str) -> str:
    folder = importlib.resources.files("breathmark.deliver.player")
    return folder.joinpath(name).read_text(encoding="utf-8")


def _own_words(words: Words, audio_name: str) -> dict[str, str]:
    """The page's fixed words: ``player back`` fills ``$word_back``."""
    fields = {}
    for key, forms in words.entries.items():
        if key.startswith(PREFIX) and not {"n", "of"} & _names(forms["other"]):
            name = key.removeprefix(PREFIX).replace(" ", "_").replace("-", "_")
            text = forms["other"].replace("{file}", audio_name)
            fields[f"word_{name}"] = html.escape(text)
    return fields


def _fills() -> str:
    """The picture's colours: for the spans of the strip, and for the bar of the moment."""
    rules = []
    for fill in (*look.FILLS, look.BREATHING_STRIP):
        paint = look.BREATHING_STRIP.ground if fill is look.BREATHING else fill.ground
        bar = paint if fill in _WORK else fill.edge
        rules.append(
            f".fill-{fill.name} {{ fill: {paint}; }} "
            f'[data-fill="{fill.name}"] {{ --moment: {bar}; }}'
        )
    return "\n".join(rules)


def _names(template: str) -> frozenset[str]:
    return frozenset(re.findall(r"\{(\w+)\}", template))


def _policy(script: str) -> str:
    """The content security policy (W3C, CSP 3): this script, styles of the page, the recording.

    ``file:`` is named beside ``'self'`` since a page opened from a folder has no origin.
    """
    digest = base64.b64encode(hashlib.sha256(script.encode()).digest()).decode()
    return "; ".join(
        [
            "default-src 'none'",
            f"script-src 'sha256-{digest}'",
            "style-src 'unsafe-inline'",
            "img-src data:",
            "media-src 'self' file: blob:",
            "base-uri 'none'",
            "form-action 'none'",
        ]
    )


def _facts(session: Session, words: Words) -> str:
    lasts = words.time(_whole_s(milliseconds(session.length, session.rate_hz)))
    return f"{lasts} · {words.say(PREFIX + 'parts', n=len(session.blocks))}"


def _chapters(session: Session, words: Words) -> Iterable[str]:
    for index, block in enumerate(session.blocks):
        length_ms = milliseconds(block.length, session.rate_hz)
        yield (
            f'<li><button type="button" class="chapter" data-chapter="{index}">'
            f'<span class="number" aria-hidden="true">{index + 1}</span>'
            f'<span class="name" dir="auto">{html.escape(bound(block.title))}</span>'
            f'<span class="length" aria-hidden="true">{_minutes(length_ms)}</span>'
            f'<span class="unseen">, {html.escape(words.time(_whole_s(length_ms)))}</span>'
            "</button></li>"
        )


def _pictures(
    prescribed: Prescribed, words: Words, pictures: Mapping[str, Picture]
) -> Iterable[str]:
    """The pictures of the chapters that have one, hidden until their chapter is on."""
    for index, block in enumerate(prescribed.session.blocks):
        if block.exercise is None:
            continue
        named = prescribed.routine.exercises[block.exercise].picture
        if named and (picture := pictures.get(named)):
            text = base64.b64encode(picture.data).decode("ascii")
            alt = html.escape(words.say(PREFIX + "drawing", name=block.title))
            yield (
                f'      <img class="shown" data-chapter="{index}" alt="{alt}" hidden '
                f'width="{picture.width}" height="{picture.height}" '
                f'src="data:{picture.media_type};base64,{text}">'
            )


def _minutes(length_ms: int) -> str:
    """A length as a clock, to the nearest second."""
    return clock_text(_whole_s(length_ms))


def _whole_s(length_ms: int) -> int:
    return nearest(length_ms, 1000) * 1000


def _safety(prescribed: Prescribed, words: Words) -> Iterable[str]:
    """When to stop and what to take care of, in the words in which it is said."""
    routine = prescribed.routine
    said = frozenset(line.text for line in prescribed.session.spoken)
    rules = [words.say("clinician first"), pain_rule(routine, words), words.say("stop rule")]
    rules += [rule for rule in (words.say("balance rule"),) if rule in said]
    for rule in (*rules, *routine.cautions):
        yield f'        <li dir="auto">{html.escape(bound(rule))}</li>'


def _without_greeting(prescribed: Prescribed, words: Words) -> Session:
    """The session for the picture: the greeting may hold a name and is only said."""
    session, patient = prescribed.session, prescribed.patient
    if patient is None or not patient.greeting:
        return session
    events = tuple(
        dataclasses.replace(event, text=words.say(PREFIX + "greeting"))
        if isinstance(event, Spoken) and event.text == patient.greeting
        else event
        for event in session.events
    )
    return dataclasses.replace(session, events=events)


def _beside(audio_name: str) -> str:
    """The address of the recording in the page's own folder."""
    return f"./{urllib.parse.quote(audio_name)}"


def _without_script(audio_name: str, words: Words) -> str:
    """The browser's own player, and none of ours, which would do nothing (HTML, 4.12.2)."""
    say = html.escape(words.say(PREFIX + "no script play"))
    return (
        "    <noscript>\n"
        "      <style>.tools, .now, .caption, .controls, .keys { display: none }</style>\n"
        f'      <p id="no-script-play">{say}</p>\n'
        f'      <audio controls preload="metadata" src="{_beside(audio_name)}" '
        'aria-labelledby="no-script-play"></audio>\n'
        "    </noscript>\n"
    )


def _carried(embed: bytes | None) -> str:
    if embed is None:
        return ""
    text = base64.b64encode(embed).decode("ascii")
    return f'<script type="text/plain" id="recording">{text}</script>\n'
