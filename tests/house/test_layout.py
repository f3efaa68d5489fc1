"""What lies at the top of the repository, and what the scripts may use."""

from __future__ import annotations

import ast
import os
import sys

from tests.house.sources import TOP, kept_files

EXPECTED = {
    ".ci",
    ".editorconfig",
    ".gitattributes",
    ".gitignore",
    "LICENSE",
    "README.md",
    "output",
    "pyproject.toml",
    "scripts",
    "src",
    "tests",
    "voices",
}
ALLOWED = {*EXPECTED, "CHANGELOG.md", "DEVELOPERS.md", "docs"}
STANDARD_ONLY = ("_environment.py", "demo.py", "test.py")


def test_the_top_of_the_repository_holds_what_it_should() -> None:
    """Nothing is missing and nothing lies about."""
    there = {path.relative_to(TOP).parts[0] for path in kept_files()}
    assert EXPECTED - there == set()
    assert there - ALLOWED == set()


def test_only_its_page_is_kept_in_the_output_folder() -> None:
    """Recordings are made, not kept."""
    kept = [path.name for path in kept_files() if path.parent.name == "output"]
    assert kept == ["README.md"]


def test_the_two_scripts_need_nothing_but_python() -> None:
    """They import the standard library alone, and one another."""
    allowed = {*sys.stdlib_module_names, "_environment"}
    for name in STANDARD_ONLY:
        tree = ast.parse((TOP / "scripts" / name).read_text(encoding="utf-8"))
        imported = {
            module.split(".")[0]
            for node in ast.walk(tree)
            for module in (
                [alias.name for alias in node.names]
                if isinstance(node, ast.Import)
                else [node.module or ""]
                if isinstance(node, ast.ImportFrom)
                else []
            )
        }
        assert imported - allowed == set(), name


def test_an_old_python_can_read_the_scripts() -> None:
    """Python 3.8 must get as far as the message that it is too old."""
    for name in STANDARD_ONLY:
        text = (TOP / "scripts" / name).read_text(encoding="utf-8")
        ast.parse(text, feature_version=(3, 8))


def test_the_check_of_a_fresh_clone_can_be_run() -> None:
    """``.ci/run`` is executable and stops at the first failure."""
    script = TOP / ".ci" / "run"
    assert os.access(script, os.X_OK)
    assert "set -euo pipefail" in script.read_text(encoding="utf-8")
