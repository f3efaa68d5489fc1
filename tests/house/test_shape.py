"""Files and functions stay small enough to read, and say what they are for."""

from __future__ import annotations

import ast
from collections.abc import Callable, Iterator

import pytest

from tests.house.sources import PACKAGE, Function, Source, package_sources

MOST_FILE_LINES = 400
MOST_FUNCTION_LINES = 60


def long_file(source: Source) -> Iterator[str]:
    """A file past the most lines."""
    lines = source.text.count("\n")
    if lines > MOST_FILE_LINES:
        yield f"{source.module}: {lines} lines"


def long_functions(source: Source) -> Iterator[str]:
    """Functions past the most lines, from ``def`` to their end."""
    for node in ast.walk(source.tree):
        if isinstance(node, Function):
            lines = (node.end_lineno or node.lineno) - node.lineno + 1
            if lines > MOST_FUNCTION_LINES:
                yield f"{source.module}.{node.name}: {lines} lines"


def undocumented(source: Source) -> Iterator[str]:
    """Public modules, classes and functions without a docstring; overrides in a class too."""
    yield from _undocumented(source.tree, source.module)


def _undocumented(node: ast.Module | ast.ClassDef | Function, name: str) -> Iterator[str]:
    if not (ast.get_docstring(node) or "").strip():
        yield f"{name}: no docstring"
    if isinstance(node, Function):  # what is defined inside a function is nobody else's
        return
    for child in node.body:
        if isinstance(child, ast.ClassDef | Function) and not child.name.startswith("_"):
            yield from _undocumented(child, f"{name}.{child.name}")


def prints(source: Source) -> Iterator[str]:
    """Calls of ``print``: only the command line speaks, through its own console."""
    for node in ast.walk(source.tree):
        if isinstance(node, ast.Call) and getattr(node.func, "id", "") == "print":
            yield f"{source.module}, line {node.lineno}: print"


def untyped(source: Source) -> Iterator[str]:
    """Functions with a parameter or a result that has no type."""
    for node in ast.walk(source.tree):
        if isinstance(node, Function):
            given = node.args
            named = [*given.posonlyargs, *given.args, *given.kwonlyargs, given.vararg, given.kwarg]
            bare = [a.arg for a in named if a and not a.annotation and a.arg not in {"self", "cls"}]
            if bare or node.returns is None:
                yield f"{source.module}, line {node.lineno}: {node.name} {bare or 'result'}"


def shared_mutables(source: Source) -> Iterator[str]:
    """Lists, dictionaries and sets at the top of a module that something changes."""
    made = (ast.List, ast.Dict, ast.Set, ast.ListComp, ast.DictComp, ast.SetComp)
    names = {
        target.id
        for node in source.tree.body
        if isinstance(node, ast.Assign | ast.AnnAssign) and isinstance(node.value, made)
        for target in (node.targets if isinstance(node, ast.Assign) else [node.target])
        if isinstance(target, ast.Name)
    }
    changing = {"append", "extend", "add", "update", "setdefault", "pop", "clear", "insert"}
    for node in ast.walk(source.tree):
        changed = (isinstance(node, ast.Attribute) and node.attr in changing) or (
            isinstance(node, ast.Subscript) and isinstance(node.ctx, ast.Store | ast.Del)
        )
        if isinstance(node, ast.Global) or (changed and _owner(node) in names):
            yield f"{source.module}, line {getattr(node, 'lineno', 0)}: {ast.unparse(node)}"


def _owner(node: ast.AST) -> str:
    """The plain name on which an attribute or an item is taken, else nothing."""
    return getattr(getattr(node, "value", None), "id", "")


RULES: dict[Callable[[Source], Iterator[str]], str] = {
    long_file: "x = 1\n" * (MOST_FILE_LINES + 1),
    long_functions: "def f():\n" + "    x = 1\n" * MOST_FUNCTION_LINES,
    undocumented: '"""M."""\nclass A:\n    """A."""\n    def f(self): ...\n',
    prints: "def f():\n    print('x')\n",
    untyped: "def f(a: int, b) -> int:\n    return a\n",
    shared_mutables: "SEEN = {}\ndef f(x):\n    SEEN[x] = 1\n",
}
"""Each rule, and a text that breaks it."""


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_the_package_keeps_the_rule(rule: Callable[[Source], Iterator[str]]) -> None:
    """No file of the package breaks it."""
    breaches = [breach for source in package_sources() for breach in rule(source)]
    assert not breaches, "\n".join(breaches)


@pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.__name__)
def test_a_breach_is_found(rule: Callable[[Source], Iterator[str]]) -> None:
    """The rule sees the text that breaks it, and nothing in one that does not."""
    bad = Source(module="breathmark.units", is_package=False, text=RULES[rule])
    good = Source(module="breathmark.units", is_package=False, text='"""Fine."""\n')
    assert list(rule(bad))
    assert not list(rule(good))


def test_the_package_says_that_it_is_typed() -> None:
    """PEP 561: the marker that lets other projects' type checkers see our types."""
    assert (PACKAGE / "py.typed").is_file()
