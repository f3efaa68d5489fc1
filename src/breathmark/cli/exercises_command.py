"""The command ``exercises``; what is heavy is imported when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

Words = list[str] | None
Region = Annotated[Words, typer.Option("--region", help="A part of the body, such as hip.")]
Position = Annotated[Words, typer.Option("--position", help="Such as standing or supine.")]
Target = Annotated[Words, typer.Option("--target", help="A muscle or ability; see --targets.")]
Equipment = Annotated[
    Words,
    typer.Option("--equipment", help="All that is at hand; `nothing` for what needs nothing."),
]
Avoid = Annotated[Words, typer.Option("--avoid", help="What must not be involved; see --tags.")]
OwnLibrary = Annotated[
    list[Path] | None, typer.Option("--library", help="A library file of your own.")
]


def exercises(
    name: Annotated[
        str | None, typer.Argument(help="The exercise to show in full, in quotation marks.")
    ] = None,
    region: Region = None,
    position: Position = None,
    target: Target = None,
    equipment: Equipment = None,
    avoid: Avoid = None,
    library: OwnLibrary = None,
    tags: Annotated[bool, typer.Option("--tags", help="List what exercises may involve.")] = False,
    targets: Annotated[
        bool, typer.Option("--targets", help="List what exercises may be for.")
    ] = False,
) -> None:
    """Find an exercise in the starter library, or in one of your own.

    Each option may be given more than once: of regions, positions and targets any will
    do; equipment is all that there is at hand, down to the chair (every exercise of the
    starter library needs something to sit on, lie on or hold); nothing that is avoided is
    involved.

    For example:

      breathmark exercises --region hip --avoid standing

      breathmark exercises --position seated --equipment "sturdy chair" --equipment towel

      breathmark exercises "Heel raises"

      breathmark exercises --library my-clinic/library.yaml

      breathmark exercises --tags
    """
    from breathmark.cli import exercises_shown as shown
    from breathmark.cli.exercises import Sought, find, search, shelf
    from breathmark.cli.showing import table_width

    shared, width = shelf(library or ()), table_width()
    if tags or targets:
        words = shown.tags_text if tags else shown.targets_text
        typer.echo(words(shared, width=width))
    elif name is not None:
        typer.echo(shown.whole_text(find(shared, name), shared))
    else:
        sought = Sought(
            regions=tuple(region or ()),
            positions=tuple(position or ()),
            targets=tuple(target or ()),
            equipment=None if equipment is None else tuple(equipment),
            avoid=tuple(avoid or ()),
        )
        found = search(shared, sought)
        table = (
            shown.table_text(found, len(shared), width=width)
            if found
            else shown.none_text(shared, sought)
        )
        typer.echo(table)
