"""Options that several of the notebook's commands take. Declarations only: nothing heavy is imported."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

NotebookFile = Annotated[
    Path | None,
    typer.Option("--notebook", metavar="FILE", help="The notebook's SQLite file. Default: in your user data folder."),
]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON object on standard output.")]
Yes = Annotated[bool, typer.Option("--yes", help="Do not ask.")]
Limit = Annotated[int, typer.Option("--limit", min=1, max=100_000, help="At most so many.")]
OfTaxon = Annotated[str, typer.Option("--taxon", metavar="NAME", help="Only of this taxon; any of its names.")]
AnyName = Annotated[str, typer.Argument(metavar="TAXON", help="Any name that the notebook knows.")]
Part = Annotated[str, typer.Option("--part", metavar="PART", help="leaf, root …")]
Preparation = Annotated[str, typer.Option("--preparation", metavar="HOW", help="raw, boiled …")]
Parts = Annotated[list[str], typer.Option("--part", metavar="PART", help="leaf, root … May be given again.")]
Preparations = Annotated[
    list[str], typer.Option("--preparation", metavar="HOW", help="raw, boiled … May be given again.")
]
Reason = Annotated[str, typer.Option("--reason", metavar="TEXT", help="Why, in your own words.")]
On = Annotated[str, typer.Option("--on", metavar="DATE", help="2026-11-25; a year or month will do where it says so.")]
Remark = Annotated[str, typer.Option("--remark", metavar="TEXT", help="Anything else.")]
Offline = Annotated[bool, typer.Option("--offline", help="Use kept copies only; fetch nothing.")]
Depth = Annotated[int, typer.Option("--depth", min=0, max=100, help="How many sources deep to follow citations.")]
AllowPrivate = Annotated[bool, typer.Option("--allow-private", help="Also fetch from private and loopback addresses.")]


def group(name: str, said: str) -> typer.Typer:
    """An empty group of commands, with help as the program's own."""
    return typer.Typer(
        name=name,
        help=said,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
        add_completion=False,
        context_settings={"help_option_names": ["-h", "--help"]},
    )
