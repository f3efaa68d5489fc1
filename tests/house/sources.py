"""The project's own files, as the house rules read them."""

from __future__ import annotations

import ast
import subprocess
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

TOP = Path(__file__).resolve().parents[2]
PACKAGE = TOP / "src" / "breathmark"

ROOMS = (
    "problems",
    "units",
    "disk",
    "routine",
    "dose",
    "speech",
    "script",
    "sound",
    "deliver",
    "proof",
    "orders",
    "pipeline",
    "series",
    "caseload",
    "cli",
)
"""The rooms of the house, from the ground up: each imports only rooms before it."""

Function = ast.FunctionDef | ast.AsyncFunctionDef


@dataclass(frozen=True, kw_only=True, slots=True)
class Source:
    """A Python file of the package; ``module`` is its dotted name."""

    module: str
    is_package: bool
    text: str

    @property
    def tree(self) -> ast.Module:
        """The file, parsed."""
        return ast.parse(self.text)

    @property
    def room(self) -> str:
        """The room the file belongs to, empty for the package's own ``__init__``."""
        return (*self.module.split("."), "")[1]


def package_sources() -> tuple[Source, ...]:
    """Every Python file of the package."""
    return tuple(_source(path) for path in sorted(PACKAGE.rglob("*.py")))


def _source(path: Path) -> Source:
    parts = path.relative_to(PACKAGE.parent).with_suffix("").parts
    is_package = parts[-1] == "__init__"
    module = ".".join(parts[:-1] if is_package else parts)
    return Source(module=module, is_package=is_package, text=path.read_text(encoding="utf-8"))


def kept_files() -> tuple[Path, ...]:
    """Every file that is or would be kept under version control."""
    command = ["git", "ls-files", "--cached", "--others", "--exclude-standard", "-z"]
    listed = subprocess.run(command, cwd=TOP, capture_output=True, check=True).stdout
    paths = [TOP / name for name in listed.decode().split("\0") if name]
    return tuple(path for path in paths if path.is_file())


def imported_modules(source: Source) -> Iterator[tuple[int, str]]:
    """Line and full name of everything a file imports, at the top or in a function.

    ``from breathmark import units`` counts as ``breathmark.units``.
    """
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Import):
            yield from ((node.lineno, alias.name) for alias in node.names)
        elif isinstance(node, ast.ImportFrom):
            base = _absolute(source, node)
            if base == "breathmark":
                yield from ((node.lineno, f"{base}.{alias.name}") for alias in node.names)
            else:
                yield node.lineno, base


def _absolute(source: Source, node: ast.ImportFrom) -> str:
    if not node.level:
        return node.module or ""
    parts = source.module.split(".")
    drop = node.level - 1 if source.is_package else node.level
    return ".".join([*parts[: len(parts) - drop], *([node.module] if node.module else [])])
