"""Commands that refuse an option of one value given twice, where the first would be dropped."""

from __future__ import annotations

import inspect
from typing import Any

from typer.core import TyperCommand, TyperGroup

from breathmark.problems import UsageProblem


class Once(TyperCommand):
    """A command whose options of one value may each be given once."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.help = as_paragraphs(self.help)

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the command line; :class:`UsageProblem` for an option given twice."""
        _require_once(self, ctx, args)
        return super().parse_args(ctx, args)


class OnceGroup(TyperGroup):
    """The same for a command that has commands of its own."""

    def __init__(self, *args: Any, **kwargs: Any) -> None:
        super().__init__(*args, **kwargs)
        self.help = as_paragraphs(self.help)

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the command line; :class:`UsageProblem` for an option given twice."""
        _require_once(self, ctx, args)
        return super().parse_args(ctx, args)


def as_paragraphs(text: str | None) -> str | None:
    r"""A help text with its paragraphs each on one line: the terminal's width wraps them.

    Lines that are set in, such as examples, stay as they are.

    >>> as_paragraphs("One\nthought.\n\n  breathmark check")
    'One thought.\n\n  breathmark check'
    """
    if text is None:
        return None
    parts = inspect.cleandoc(text).split("\n\n")
    return "\n\n".join(one if one[:1].isspace() else " ".join(one.split("\n")) for one in parts)


def _require_once(command: Any, ctx: Any, args: list[str]) -> None:
    if not args:
        return  # the command says itself what it needs
    _, _, order = command.make_parser(ctx).parse_args(args=list(args))
    if any(parameter.is_eager for parameter in order):
        return  # --help and the like answer for the whole line
    seen = set()
    for option in filter(_has_one_value, order):
        if option.name in seen:
            what = f"{option.help[:1].lower()}{option.help[1:]}"
            raise UsageProblem(f"{option.opts[0]} is given twice. Give it once: {what}")
        seen.add(option.name)


def _has_one_value(parameter: Any) -> bool:
    if parameter.param_type_name != "option":
        return False
    return not (parameter.multiple or parameter.count or parameter.is_flag)
