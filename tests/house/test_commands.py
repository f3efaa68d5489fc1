"""The command line: light to load, and the documentation speaks of commands that exist."""

from __future__ import annotations

import re
import shlex
import subprocess
import sys
from pathlib import Path
from typing import Any

import typer
import typer.main

from breathmark.cli.app import app
from tests.house.sources import TOP, kept_files

HEAVY = (
    "PIL",
    "av",
    "mutagen",
    "onnxruntime",
    "piper",
    "pydub",
    "pyttsx3",
    "reportlab",
    "resvg_py",
    "scipy",
    "soxr",
)
"""Parts that only the command that needs them may load: ``--help`` waits for none."""

WALLS = re.compile(r"^```.*?^```", re.MULTILINE | re.DOTALL)
COMMAND = re.compile(r"^\s*(?:\$ )?(?:\.venv/bin/)?breathmark (?P<rest>[^`#]+)", re.MULTILINE)
EXAMPLE = re.compile(r"(?:^\s*|Example: )breathmark (?P<rest>[a-z][^\n]*)", re.MULTILINE)
SCRIPT = re.compile(r"python3? (?P<path>scripts/[\w./-]+)")
LINK = re.compile(r"\]\((?P<target>[^)#\s]+)")


def test_loading_the_command_line_loads_no_heavy_part() -> None:
    """In a fresh interpreter, importing the commands leaves the heavy parts alone."""
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
    name = "breathmark"
    while hasattr(command, "commands") and words and not words[0].startswith("-"):
        if words[0] not in command.commands:
            return [f"{name} has no command {words[0]}"]
        name, *words = words
        command = command.commands[name]
    known = {"--help"}
    for parameter in command.params:
        known |= {*parameter.opts, *parameter.secondary_opts}
    used = [word.split("=")[0] for word in words if word.startswith("--")]
    return [f"{name} has no option {word}" for word in used if word not in known]


def _helps(command: Any) -> dict[str, str]:
    """The help of each command of a group, and of the groups inside it."""
    found: dict[str, str] = {}
    for name, inner in getattr(command, "commands", {}).items():
        found |= {name: inner.help or "", **_helps(inner)}
    return found


def test_every_documented_command_exists() -> None:
    """Each command and option in the pages' code blocks is there."""
    command = typer.main.get_command(app)
    wrong = [
        f"{path.relative_to(TOP)}: breathmark {rest}: {objection}"
        for path in documents()
        for rest in commands_in(path.read_text(encoding="utf-8"))
        for objection in objections(command, rest)
    ]
    assert not wrong, "\n".join(wrong)


def test_every_example_in_the_help_exists() -> None:
    """What ``--help`` teaches by example can be typed."""
    command: Any = typer.main.get_command(app)
    helps = {"breathmark": str(command.help), **_helps(command)}
    examples = [
        (name, match.group("rest").strip())
        for name, text in helps.items()
        for match in EXAMPLE.finditer(text.replace("[bold]", "").replace("[/bold]", ""))
    ]
    wrong = [f"{name}: {rest}: {o}" for name, rest in examples for o in objections(command, rest)]
    assert not wrong, "\n".join(wrong)
    without = set(helps) - {name for name, _ in examples} - {"list"}
    assert without == set(), "a command whose help shows no example"


def test_an_invented_command_is_found() -> None:
    """A page that speaks of what is not there is caught."""
    invented = typer.Typer()

    @invented.command()
    def make(routine: str, output: str = "output") -> None:
        """Make."""

    @invented.command()
    def check(routine: str) -> None:
        """Check."""

    command = typer.main.get_command(invented)
    page = "```sh\nbreathmark make a.yaml \\\n  --output b   # so\n.venv/bin/breathmark chek a\n```"
    assert commands_in(page) == ["make a.yaml    --output b", "chek a"]
    assert objections(command, "make a.yaml --output b") == []
    assert objections(command, "chek a.yaml") == ["breathmark has no command chek"]
    assert objections(command, "make a --outptu b") == ["make has no option --outptu"]
    assert objections(command, "--hlep") == ["breathmark has no option --hlep"]


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
    assert "python3 scripts/demo.py" in text
    assert "python3 scripts/test.py" in text
