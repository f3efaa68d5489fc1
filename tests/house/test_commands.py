"""The command line: light to load, and the documentation speaks of commands that exist."""

from __future__ import annotations

import importlib
import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from tests.house.sources import TOP, kept_files

HEAVY = (
    "av",
    "mutagen",
    "onnxruntime",
    "piper",
    "pydub",
    "pyttsx3",
    "scipy",
    "soxr",
)
"""Parts that only the command that needs them may load: ``--help`` waits for none."""

CLI = TOP / "src" / "breathmark" / "cli.py"
WALLS = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
COMMAND = re.compile(r"^\s*(?:\$ )?(?:\.venv/bin/)?breathmark (?P<rest>[^`#]+)", re.MULTILINE)
SCRIPT = re.compile(r"python3? (?P<path>scripts/[\w./-]+)")
LINK = re.compile(r"\]\((?P<target>[^)#\s]+)")


def test_loading_the_command_line_loads_no_heavy_part() -> None:
    """In a fresh interpreter, importing the commands leaves the heavy parts alone."""
    if not CLI.is_file():
        pytest.skip("there is no command line yet")
    code = f"import sys, breathmark.cli; print(*sorted(set({HEAVY}) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == ""


def test_a_heavy_part_would_be_found() -> None:
    """The question above does see a part that is loaded."""
    code = f"import sys, mutagen; print(*sorted(set({HEAVY}) & set(sys.modules)))"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "mutagen"


def documents() -> list[Path]:
    """The pages people read."""
    return [path for path in kept_files() if path.suffix == ".md"]


def commands_in(text: str) -> list[str]:
    """What follows ``breathmark`` on the lines of the code blocks of a page."""
    joined = text.replace("\\\n", " ")
    blocks = "\n".join(WALLS.findall(joined))
    return [match.group("rest").strip() for match in COMMAND.finditer(blocks)]


def objections(command: Any, rest: str) -> list[str]:
    """What is wrong with a documented command line, asked of the commands' own tables."""
    words = shlex.split(rest)
    if words[0].startswith("-"):
        known = {flag for parameter in command.params for flag in parameter.opts}
        return [] if words[0] in {*known, "--help"} else [f"no option {words[0]}"]
    if words[0] not in command.commands:
        return [f"no command {words[0]}"]
    chosen = command.commands[words[0]]
    known = {"--help"}
    for parameter in chosen.params:
        known |= {*parameter.opts, *parameter.secondary_opts}
    used = [word.split("=")[0] for word in words[1:] if word.startswith("--")]
    return [f"{words[0]} has no option {word}" for word in used if word not in known]


def test_every_documented_command_exists() -> None:
    """Each command and option in the pages' code blocks is there."""
    if not CLI.is_file():
        pytest.skip("there is no command line yet")
    import typer.main

    command = typer.main.get_command(importlib.import_module("breathmark.cli").app)
    wrong = [
        f"{path.relative_to(TOP)}: breathmark {rest}: {objection}"
        for path in documents()
        for rest in commands_in(path.read_text(encoding="utf-8"))
        for objection in objections(command, rest)
    ]
    assert not wrong, "\n".join(wrong)


def test_an_invented_command_is_found() -> None:
    """A page that speaks of what is not there is caught."""
    import typer
    import typer.main

    app = typer.Typer()

    @app.command()
    def make(routine: str, output: str = "output") -> None:
        """Make."""

    @app.command()
    def check(routine: str) -> None:
        """Check."""

    command = typer.main.get_command(app)
    page = "```sh\nbreathmark make a.yaml \\\n  --output b   # so\n.venv/bin/breathmark chek a\n```"
    assert commands_in(page) == ["make a.yaml    --output b", "chek a"]
    assert objections(command, "make a.yaml --output b") == []
    assert objections(command, "chek a.yaml") == ["no command chek"]
    assert objections(command, "make a --outptu b") == ["make has no option --outptu"]
    assert objections(command, "--hlep") == ["no option --hlep"]


def test_every_documented_script_and_page_exists() -> None:
    """Scripts that a page tells people to run, and pages and files that it links to."""
    missing = []
    for path in documents():
        text = path.read_text(encoding="utf-8")
        targets = [TOP / match.group("path") for match in SCRIPT.finditer(text)]
        targets += [
            path.parent / match.group("target")
            for match in LINK.finditer(text)
            if "://" not in match.group("target")
            and not match.group("target").startswith("mailto:")
        ]
        missing += [
            f"{path.relative_to(TOP)}: {target}" for target in targets if not target.exists()
        ]
    assert not missing, "\n".join(missing)


def test_the_readme_gives_the_two_commands() -> None:
    """A stranger finds how to try it and how to test it."""
    text = (TOP / "README.md").read_text(encoding="utf-8")
    if len(text) < 200:
        pytest.skip("the README is not written yet")
    assert "python3 scripts/demo.py" in text
    assert "python3 scripts/test.py" in text
