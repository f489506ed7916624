"""The commands, their options and their help. Each hands over to a module of its own."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from doubtwort import __version__
from doubtwort.cli.lesson import lesson
from doubtwort.cli.notebook_app import add_notebook_commands
from doubtwort.cli.sheet import sheet_command
from doubtwort.cli.shelf import shelf
from doubtwort.model import Wording

app = typer.Typer(
    name="doubtwort",
    help='Checks whether the sources cited for "this plant is edible" really say so. It never calls anything safe.',
    rich_markup_mode=None,
    pretty_exceptions_enable=False,
    add_completion=False,
    context_settings={"help_option_names": ["-h", "--help"]},
)

NotebookFile = Annotated[
    Path | None,
    typer.Option("--notebook", metavar="FILE", help="The notebook's SQLite file. Default: in your user data folder."),
]
TaxonName = Annotated[str, typer.Option("--taxon", metavar="NAME", help='Scientific name: "Genus species".')]
CommonNames = Annotated[
    list[str], typer.Option("--common-name", metavar="NAME", help="A common name. May be given again.")
]
Synonyms = Annotated[
    list[str], typer.Option("--synonym", metavar="NAME", help="Another scientific name. May be given again.")
]
AsJson = Annotated[bool, typer.Option("--json", help="One JSON object on standard output.")]


def _version(wanted: bool) -> None:
    if wanted:
        print(f"doubtwort {__version__}")
        raise typer.Exit


@app.callback()
def root(
    version: Annotated[
        bool, typer.Option("--version", callback=_version, is_eager=True, help="Print the version and leave.")
    ] = False,
) -> None:
    """Carries the options of the program itself; its help is that of ``app``."""


@app.command()
def demo(
    notebook: Annotated[
        Path, typer.Option("--notebook", metavar="FILE", help="Where the demo leaves its notebook.")
    ] = Path("doubtwort-demo.sqlite"),
) -> None:
    """Audit the claims of an invented web, served on this machine alone."""
    from doubtwort.cli.demonstrate import demonstrate

    demonstrate(notebook)


@app.command()
def audit(
    url: Annotated[str, typer.Argument(metavar="URL", help="The page that makes the claim.")],
    taxon: TaxonName,
    common_name: CommonNames = [],  # noqa: B006 - typer's way to a repeatable option; never changed
    synonym: Synonyms = [],  # noqa: B006
    wording: Annotated[Wording, typer.Option("--wording", help="What the claim says of eating it.")] = Wording.EDIBLE,
    part: Annotated[
        list[str], typer.Option("--part", metavar="PART", help="Part claimed: leaf, root … May be given again.")
    ] = [],  # noqa: B006
    preparation: Annotated[
        list[str],
        typer.Option("--preparation", metavar="HOW", help="Preparation claimed: raw, boiled … May be given again."),
    ] = [],  # noqa: B006
    depth: Annotated[
        int, typer.Option("--depth", min=0, max=100, help="How many sources deep to follow citations.")
    ] = 3,
    offline: Annotated[bool, typer.Option("--offline", help="Use kept copies only; fetch nothing.")] = False,
    allow_private: Annotated[
        bool, typer.Option("--allow-private", help="Also fetch from private and loopback addresses.")
    ] = False,
    memento_gate: Annotated[
        str,
        typer.Option(
            "--memento-gate",
            metavar="URI",
            envvar="DOUBTWORT_MEMENTO_GATE",
            help="Ask this TimeGate (RFC 7089) for kept copies of pages that are gone. Off unless given.",
        ),
    ] = "",
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Take in a page's claim about a taxon, chase its citations, say how far they bear it out."""
    from doubtwort.cli.auditing import audit_command
    from doubtwort.cli.options import page_address, parts_from_user, preparations_from_user
    from doubtwort.settings import Settings
    from doubtwort.taxa.names import taxon_from_user

    audit_command(
        page_address(url),
        taxon_from_user(taxon, tuple(synonym), tuple(common_name)),
        wording=wording,
        parts=parts_from_user(part),
        preparations=preparations_from_user(preparation),
        settings=Settings(depth=depth, offline=offline, allow_private=allow_private, memento_gate=memento_gate),
        notebook=notebook,
        as_json=as_json,
    )


@app.command()
def read(
    file: Annotated[
        str | None,
        typer.Argument(metavar="[FILE|-]", help="A text file, or - for standard input.", show_default=False),
    ] = None,
    jsonl: Annotated[
        bool, typer.Option("--jsonl", help="Read JSON objects from standard input, one a line; answer one a line.")
    ] = False,
    taxon: Annotated[str, typer.Option("--taxon", metavar="NAME", help='Scientific name: "Genus species".')] = "",
    common_name: CommonNames = [],  # noqa: B006
    synonym: Synonyms = [],  # noqa: B006
    title: Annotated[str, typer.Option("--title", metavar="TITLE", help="Title of the page the text is from.")] = "",
    explain: Annotated[
        bool, typer.Option("--explain", help="Show each sentence with its marked words, their reach, and why.")
    ] = False,
    html: Annotated[
        str | None,
        typer.Option("--html", metavar="[FILE|-]", help="With --explain: write it as a page to this file."),
    ] = None,
    as_json: AsJson = False,
    notebook: Annotated[
        Path | None,
        typer.Option("--notebook", metavar="FILE", help="Accepted as by every command; reading a text keeps nothing."),
    ] = None,
) -> None:
    """Say what a text states about people eating a taxon. Fetches nothing."""
    from doubtwort.cli.reading import explain_one, read_lines, read_one
    from doubtwort.errors import CallError

    if html is not None and (jsonl or not explain):
        raise CallError("--html goes with --explain and one FILE: doubtwort read FILE --explain --html OUT.html")
    if jsonl:
        read_lines(file, taxon, explain=explain)
    elif explain:
        explain_one(file, taxon, tuple(synonym), tuple(common_name), title=title, as_json=as_json, html=html)
    else:
        read_one(file, taxon, tuple(synonym), tuple(common_name), title=title, as_json=as_json)


@app.command("list")
def list_claims(as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """List the claims in the notebook with their ratings. For filters: doubtwort claim list."""
    from doubtwort.cli.kept import list_command

    list_command(notebook, as_json=as_json)


@app.command()
def show(
    claim_id: Annotated[str, typer.Argument(metavar="CLAIM_ID", help="As `doubtwort list` prints it.")],
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Show a kept audit again."""
    from doubtwort.cli.kept import show_command

    show_command(claim_id, notebook, as_json=as_json)


@app.command()
def evidence(
    claim_id: Annotated[str, typer.Argument(metavar="CLAIM_ID", help="As `doubtwort list` prints it.")],
    warc: Annotated[
        Path | None, typer.Option("--warc", metavar="FILE", help="Write a WARC file; packed if FILE ends in .gz.")
    ] = None,
    notebook: NotebookFile = None,
) -> None:
    """List what was read for a claim's latest audit, or export it byte for byte as a WARC file."""
    from doubtwort.cli.evidence import evidence_command

    evidence_command(claim_id, warc, notebook)


@app.command()
def report(
    claim_id: Annotated[
        str | None, typer.Argument(metavar="[CLAIM_ID]", help="As `doubtwort list` prints it.", show_default=False)
    ] = None,
    file: Annotated[
        str | None,
        typer.Argument(metavar="[FILE|-]", help="Where to write it, or - for standard output.", show_default=False),
    ] = None,
    html: Annotated[bool, typer.Option("--html", help="The report as one HTML file. This is the default.")] = False,
    svg: Annotated[bool, typer.Option("--svg", help="The trail picture alone, as an SVG file.")] = False,
    all_: Annotated[
        Path | None,
        typer.Option("--all", metavar="FOLDER", help="Every claim's report, and a list of them, as web pages."),
    ] = None,
    notebook: NotebookFile = None,
) -> None:
    """Write a kept audit as a page to look at, print or pass on."""
    from doubtwort.cli.report import report_command
    from doubtwort.errors import CallError

    if html and svg:
        raise CallError("Give --html or --svg, not both.")
    report_command(claim_id, file, svg=svg, folder=all_, notebook=notebook)


add_notebook_commands(app)
app.command()(lesson)
app.add_typer(shelf)
app.add_typer(sheet_command)
