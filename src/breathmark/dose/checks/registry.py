"""All checks, found by listing the modules in :mod:`breathmark.dose.checks.rules`."""

from __future__ import annotations

import functools
import importlib
import inspect
import pkgutil
from dataclasses import dataclass

from breathmark.dose.checks import rules
from breathmark.dose.checks.finding import Check


@dataclass(frozen=True, kw_only=True, slots=True)
class Page:
    """A check and its manual page, which is the docstring of its module."""

    check: Check
    text: str


@functools.cache
def pages() -> tuple[Page, ...]:
    """Every check with its page, by id."""
    names = [module.name for module in pkgutil.iter_modules(rules.__path__)]
    modules = [importlib.import_module(f"{rules.__name__}.{name}") for name in names]
    found = [Page(check=module.CHECK, text=inspect.getdoc(module) or "") for module in modules]
    return tuple(sorted(found, key=lambda page: page.check.id))


def all_checks() -> tuple[Check, ...]:
    """Every check, by id."""
    return tuple(page.check for page in pages())
