"""Data flows one way: each room imports only the rooms before it."""

from __future__ import annotations

import pytest

from tests.house.sources import PACKAGE, ROOMS, Source, imported_modules, package_sources


def breaches(source: Source) -> list[str]:
    """What a file imports from its own room's successors, or from no room at all."""
    if not source.room:
        allowed: tuple[str, ...] = ()
    elif source.room == "__main__":
        allowed = ROOMS
    elif source.room in ROOMS:
        allowed = ROOMS[: ROOMS.index(source.room) + 1]
    else:
        return [f"{source.module} is in none of the rooms {', '.join(ROOMS)}"]
    return [
        f"{source.module}, line {line}: imports {name}"
        for line, name in imported_modules(source)
        if name.startswith("breathmark.") and name.split(".")[1] not in (*allowed, "__version__")
    ]


def test_every_file_imports_only_what_lies_before_it() -> None:
    """The order of the rooms holds in every file, in late imports too."""
    found = [breach for source in package_sources() for breach in breaches(source)]
    assert not found, "\n".join(found)


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("breathmark.units", "from breathmark.routine import model"),
        ("breathmark.script.plan", "def f():\n    from breathmark.sound.mix import mixed"),
        ("breathmark.speech.store", "import breathmark.script.session"),
        ("breathmark.speech.store", "from breathmark import cli"),
        ("breathmark.speech.store", "from ..script import session"),
        ("breathmark.deliver.audio.mp3", "from ...pipeline import make"),
        ("breathmark.attic.things", "import breathmark.units"),
        ("breathmark", "from breathmark import cli"),
    ],
)
def test_a_breach_is_found(module: str, text: str) -> None:
    """Written any way, an import of a later room is seen."""
    assert breaches(Source(module=module, is_package=module == "breathmark", text=text))


@pytest.mark.parametrize(
    ("module", "text"),
    [
        ("breathmark.cli", "from breathmark import pipeline, __version__"),
        ("breathmark.script.plan", "from .session import Session\nfrom ..speech import store"),
        ("breathmark.proof.report", "import json, breathmark.deliver.plan_json"),
    ],
)
def test_what_is_allowed_is_not_found(module: str, text: str) -> None:
    """Earlier rooms, one's own room and other packages may be imported."""
    assert breaches(Source(module=module, is_package=False, text=text)) == []


def test_every_room_stands() -> None:
    """The rooms of the house are there, as files or as folders."""
    missing = [
        room
        for room in ROOMS
        if not (PACKAGE / f"{room}.py").is_file() and not (PACKAGE / room / "__init__.py").is_file()
    ]
    assert missing == []
