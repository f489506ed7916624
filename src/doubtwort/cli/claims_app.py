"""Declares ``doubtwort claim`` and ``doubtwort taxon``."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from doubtwort.cli.arguments import (
    AllowPrivate,
    AnyName,
    AsJson,
    Limit,
    NotebookFile,
    Offline,
    On,
    Parts,
    Preparations,
    Reason,
    Remark,
    Yes,
    group,
)
from doubtwort.model import Certainty, Outcome, Rating, Wording

claim = group("claim", "Claims: written down by hand, or taken in from a page.")
taxon = group("taxon", "Taxa: accepted names with their history, synonyms, common names.")
_TaxonName = Annotated[
    str, typer.Option("--taxon", metavar="NAME", help="Scientific name, or any name that the notebook knows.")
]
_ClaimId = Annotated[str, typer.Argument(metavar="CLAIM_ID", help="As `doubtwort claim list` prints it.")]
_WordingOf = Annotated[Wording, typer.Option("--wording", help="What the claim says of eating it.")]


@claim.command("add")
def claim_add(
    taxon: _TaxonName,
    quote: Annotated[str, typer.Option("--quote", metavar="WORDS", help="The words in which it is claimed, verbatim.")],
    wording: _WordingOf = Wording.EDIBLE,
    certainty: Annotated[Certainty, typer.Option("--certainty", help="How surely.")] = Certainty.STATED,
    part: Parts = [],  # noqa: B006 - typer's way to a repeatable option; never changed
    preparation: Preparations = [],  # noqa: B006
    stage: Annotated[list[str], typer.Option("--stage", metavar="STAGE", help="young, ripe …")] = [],  # noqa: B006
    medium: Annotated[
        str, typer.Option("--medium", metavar="WHERE", help="page, book, paper, talk, video or other.")
    ] = "",
    url: Annotated[str, typer.Option("--url", metavar="URL", help="Where it stands on the web.")] = "",
    work: Annotated[str, typer.Option("--work", metavar="TITLE", help="Title of the book, talk or video.")] = "",
    at: Annotated[str, typer.Option("--at", metavar="WHERE", help='Page or time: "p. 12", "00:14:05".')] = "",
    role: Annotated[
        str, typer.Option("--role", metavar="ROLE", help='What the speaker is, without a name: "guide of a walk".')
    ] = "",
    region: Annotated[str, typer.Option("--region", metavar="TEXT", help="Where it is said to hold.")] = "",
    on: On = "",
    source: Annotated[
        list[str],
        typer.Option("--source", metavar="SOURCE", help="A cited source: URL, DOI, ISBN or text. May be given again."),
    ] = [],  # noqa: B006
    references: Annotated[
        list[Path],
        typer.Option("--references", metavar="FILE", help="Cited sources as .bib, .ris or CSL-JSON (.json)."),
    ] = [],  # noqa: B006
    remark: Remark = "",
    anyway: Annotated[bool, typer.Option("--anyway", help="Keep it even if it is held already.")] = False,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Write down a claim: who said it where, in which words, citing what."""
    from doubtwort.cli.claiming import add_command
    from doubtwort.cli.keeping import one_of
    from doubtwort.notebook.claims_by_hand import Medium, Origin

    where = one_of(Medium, medium or ("page" if url else "other"), "medium")
    add_command(
        taxon, quote, wording=wording, certainty=certainty, parts=part, preparations=preparation, stages=stage, url=url,
        sources=source, references=references, origin=Origin(where, work, at, role, region, on, remark), anyway=anyway,
        notebook=notebook, as_json=as_json,
    )  # fmt: skip


@claim.command("take")
def claim_take(
    url: Annotated[str, typer.Argument(metavar="URL", help="The page that makes the claim.")],
    taxon: _TaxonName,
    wording: _WordingOf = Wording.EDIBLE,
    part: Parts = [],  # noqa: B006
    preparation: Preparations = [],  # noqa: B006
    offline: Offline = False,
    allow_private: AllowPrivate = False,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Take in a page's claim with its citations, without visiting them yet."""
    from doubtwort.cli.claiming import take_command
    from doubtwort.settings import Settings

    settings = Settings(offline=offline, allow_private=allow_private)
    take_command(
        url, taxon, wording=wording, parts=part, preparations=preparation, settings=settings, notebook=notebook,
        as_json=as_json,
    )  # fmt: skip


@claim.command("show")
def claim_show(claim_id: _ClaimId, as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """Show a claim, where it was heard and what it cites."""
    from doubtwort.cli.claiming import show_command

    show_command(claim_id, notebook, as_json=as_json)


@claim.command("list")
def claim_list(
    taxon: Annotated[str, typer.Option("--taxon", metavar="NAME", help="Only of this taxon; any of its names.")] = "",
    rating: Annotated[Rating | None, typer.Option("--rating", metavar="RATING", help="Only claims so rated.")] = None,
    part: Annotated[str, typer.Option("--part", metavar="PART", help="Only claims that name this part.")] = "",
    outcome: Annotated[
        Outcome | None, typer.Option("--outcome", metavar="OUTCOME", help="Only with a source of this outcome.")
    ] = None,
    limit: Limit = 50,
    after: Annotated[int, typer.Option("--after", min=0, help="Leave out so many from the beginning.")] = 0,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """List claims with their ratings, disputed and contradicted ones first."""
    from doubtwort.cli.claiming import list_command

    list_command(
        notebook, taxon=taxon, rating=rating, part=part, outcome=outcome, limit=limit, after=after, as_json=as_json
    )


@claim.command("delete")
def claim_delete(claim_id: _ClaimId, yes: Yes = False, notebook: NotebookFile = None) -> None:
    """Delete a claim with its audits. Asks; can be undone."""
    from doubtwort.cli.claiming import delete_command

    delete_command(claim_id, notebook, yes=yes)


@taxon.command("add")
def taxon_add(
    name: Annotated[str, typer.Argument(metavar="NAME", help='Accepted scientific name: "Genus species".')],
    synonym: Annotated[
        list[str], typer.Option("--synonym", metavar="NAME", help="Another scientific name. May be given again.")
    ] = [],  # noqa: B006
    common_name: Annotated[
        list[str], typer.Option("--common-name", metavar="NAME", help="A common name. May be given again.")
    ] = [],  # noqa: B006
    language: Annotated[
        str, typer.Option("--language", metavar="TAG", help="Language of these common names: en, de, pt-BR.")
    ] = "",
    family: Annotated[str, typer.Option("--family", metavar="NAME", help="Its family.")] = "",
    remark: Remark = "",
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Write down a taxon, or add names to one that is there."""
    from doubtwort.cli.naming import add_command

    add_command(
        name, synonyms=synonym, common_names=common_name, language=language, family=family, remarks=remark,
        notebook=notebook, as_json=as_json,
    )  # fmt: skip


@taxon.command("show")
def taxon_show(name: AnyName, as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """Show a taxon with all its names; what published lists warn of comes first."""
    from doubtwort.cli.naming import show_command

    show_command(name, notebook, as_json=as_json)


@taxon.command("list")
def taxon_list(limit: Limit = 200, as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """List the taxa by accepted name."""
    from doubtwort.cli.naming import list_command

    list_command(notebook, limit, as_json=as_json)


@taxon.command("lookup")
def taxon_lookup(
    name: Annotated[
        str, typer.Argument(metavar="NAME", help='"Genus species", or a common name written with a small letter.')
    ],
    ask: Annotated[
        bool, typer.Option("--ask", help="Ask the service over the network. Off unless this or --service is given.")
    ] = False,
    service: Annotated[
        str,
        typer.Option(
            "--service",
            metavar="URI",
            envvar="DOUBTWORT_NAMES_SERVICE",
            help="Ask this service, which answers by the species API of techdocs.gbif.org/en/openapi/v1/species.",
        ),
    ] = "",
    offline: Offline = False,
    refresh: Annotated[bool, typer.Option("--refresh", help="Ask again what was asked before.")] = False,
    key: Annotated[
        int, typer.Option("--key", metavar="N", min=0, help="Which taxon, where several bear the name.")
    ] = 0,
    kingdom: Annotated[
        str, typer.Option("--kingdom", metavar="NAME", help="Plantae, Fungi: helps where several bear the name.")
    ] = "",
    language: Annotated[
        list[str],
        typer.Option("--language", metavar="TAG", help="Only common names of this language. May be given again."),
    ] = [],  # noqa: B006
    add: Annotated[bool, typer.Option("--add", help="Record what is new in the notebook. Else it is shown only.")] = (
        False
    ),
    rename: Annotated[
        bool, typer.Option("--rename", help="With --add: take the service's accepted name over.")
    ] = False,
    allow_private: AllowPrivate = False,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Look a name up at a public names service: accepted name, synonyms, common names. Nothing about eating."""
    from doubtwort.cli.looking_up import Question, lookup_command

    lookup_command(
        Question(name, key, kingdom, tuple(language)), ask=ask, service=service, offline=offline, refresh=refresh,
        add=add, rename=rename, allow_private=allow_private, notebook=notebook, as_json=as_json,
    )  # fmt: skip


@taxon.command("rename")
def taxon_rename(
    name: AnyName,
    accepted: Annotated[str, typer.Argument(metavar="NEW_NAME", help="The name accepted now.")],
    reason: Reason = "",
    on: On = "",
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Give a taxon another accepted name; the old one goes into its history."""
    from doubtwort.cli.naming import rename_command

    rename_command(name, accepted, reason=reason, on=on, notebook=notebook, as_json=as_json)


@taxon.command("join")
def taxon_join(
    name: AnyName,
    into: Annotated[str, typer.Argument(metavar="INTO", help="The taxon that it turned out to be.")],
    reason: Reason = "",
    on: On = "",
    yes: Yes = False,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Make one taxon of two that turned out to be the same. Asks; can be undone."""
    from doubtwort.cli.naming import join_command

    join_command(name, into, reason=reason, on=on, yes=yes, notebook=notebook, as_json=as_json)


@taxon.command("unname")
def taxon_unname(
    taxon: AnyName,
    name: Annotated[str, typer.Argument(metavar="NAME", help="The synonym or common name to take away.")],
    yes: Yes = False,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Take a synonym or common name away. Asks; can be undone."""
    from doubtwort.cli.naming import unname_command

    unname_command(taxon, name, yes=yes, notebook=notebook, as_json=as_json)
