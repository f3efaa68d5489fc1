"""Commands that refuse an option of one value given twice, where the first would be dropped."""

from __future__ import annotations

from typing import Any

from typer.core import TyperCommand, TyperGroup

from breathmark.problems import UsageProblem


class Once(TyperCommand):
    """A command whose options of one value may each be given once."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the command line; :class:`UsageProblem` for an option given twice."""
        _require_once(self, ctx, args)
        return super().parse_args(ctx, args)


class OnceGroup(TyperGroup):
    """The same for a command that has commands of its own."""

    def parse_args(self, ctx: Any, args: list[str]) -> list[str]:
        """Read the command line; :class:`UsageProblem` for an option given twice."""
        _require_once(self, ctx, args)
        return super().parse_args(ctx, args)


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
