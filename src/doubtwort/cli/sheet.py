"""Declares ``doubtwort sheet``."""

from __future__ import annotations

from typing import Annotated

import typer

from doubtwort.cli.arguments import NotebookFile, group

# Without a name, so that its one command stands beside the program's others.
sheet_command = group("", "")


@sheet_command.command("sheet")
def sheet(
    file: Annotated[
        str | None,
        typer.Argument(metavar="[FILE|-]", help="Where to write it, or - for standard output.", show_default=False),
    ] = None,
    month: Annotated[
        int | None, typer.Option("--month", min=1, max=12, help="Only entries in season in this month.")
    ] = None,
    notes: Annotated[bool, typer.Option("--notes/--no-notes", help="With your own tasting notes, or without.")] = True,
    notebook: NotebookFile = None,
) -> None:
    """Write the vetted list as one page: for a phone without signal, and to print and fold to a pocket."""
    from doubtwort.cli.sheet_made import sheet_written

    sheet_written(file, month=month, notes=notes, notebook=notebook)
