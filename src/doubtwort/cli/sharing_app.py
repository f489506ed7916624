"""Declares ``doubtwort export``, ``import``, ``merge``, ``rescue`` and ``backups``."""

from __future__ import annotations

from enum import StrEnum
from pathlib import Path
from typing import Annotated

import typer

from doubtwort.cli.arguments import AsJson, NotebookFile


class Format(StrEnum):
    """How a notebook is given out."""

    JSONL = "jsonl"
    CSV = "csv"
    MARKDOWN = "markdown"
    CLAIM_REVIEW = "claimreview"
    ANNOTATION = "annotation"
    DARWIN_CORE = "darwin-core"
    BIBTEX = "bibtex"
    CSL_JSON = "csl-json"


class Sheet(StrEnum):
    """What a CSV file holds."""

    CLAIMS = "claims"
    LIST = "list"


def export(
    file: Annotated[
        str, typer.Argument(metavar="[FILE|-]", help="Where to write it; - is standard output.", show_default=False)
    ] = "-",
    form: Annotated[
        Format | None,
        typer.Option("--format", metavar="FORMAT", help=f"{', '.join(Format)}. Default: by the file's ending."),
    ] = None,
    sheet: Annotated[
        Sheet, typer.Option("--sheet", metavar="WHAT", help="With csv: claims, or list (the vetted list).")
    ] = Sheet.CLAIMS,
    with_places: Annotated[
        bool, typer.Option("--with-places", help="Exact places too (jsonl, markdown). Think who will read it.")
    ] = False,
    with_history: Annotated[
        bool, typer.Option("--with-history", help="Every change too (jsonl); may hold exact places.")
    ] = False,
    with_pages: Annotated[bool, typer.Option("--with-pages", help="The pages as fetched too (jsonl).")] = False,
    author: Annotated[str, typer.Option("--author", metavar="NAME", help="With claimreview: who reviewed.")] = "",
    base_url: Annotated[
        str,
        typer.Option("--base-url", metavar="URL", help="With claimreview: where the folder of reports is published."),
    ] = "",
    notebook: NotebookFile = None,
) -> None:
    """Give the notebook out: whole (jsonl), as a sheet or a document, or for programs of other kinds."""
    from doubtwort.cli.sharing import Wanted, export_command

    wanted = Wanted(form, sheet, with_places, with_history, with_pages, author, base_url)
    export_command(file, wanted, notebook)


def import_(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="An export in JSON Lines, or a CSV sheet of claims.")],
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Take in a notebook (.jsonl), or claims from a spreadsheet (.csv): all of the file, or nothing."""
    from doubtwort.cli.sharing import import_command

    import_command(file, notebook, as_json=as_json)


def merge(
    other: Annotated[Path, typer.Argument(metavar="OTHER", help="Another notebook's SQLite file. It is only read.")],
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Add another notebook to this one. Shows where the two differ; both sides are kept, and a backup before."""
    from doubtwort.cli.sharing import merge_command

    merge_command(other, notebook, as_json=as_json)


def rescue(
    file: Annotated[Path, typer.Argument(metavar="FILE", help="The damaged notebook. It is only read.")],
    into: Annotated[Path, typer.Option("--into", metavar="NEW", help="The new notebook; must not be there yet.")],
    as_json: AsJson = False,
) -> None:
    """Save what can still be read of a damaged notebook into a new one."""
    from doubtwort.cli.sharing import rescue_command

    rescue_command(file, into, as_json=as_json)


def backups(as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """List the backups beside the notebook, the latest first."""
    from doubtwort.cli.sharing import backups_command

    backups_command(notebook, as_json=as_json)


def add_sharing_commands(app: typer.Typer) -> None:
    app.command("import")(import_)
    for command in (export, merge, rescue, backups):
        app.command()(command)
