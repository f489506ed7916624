"""Declares ``doubtwort vet``, ``note`` and ``place``, and the commands over all of the notebook."""

from __future__ import annotations

from typing import Annotated

import typer

from doubtwort.cli.arguments import (
    AllowPrivate,
    AnyName,
    AsJson,
    Depth,
    Limit,
    NotebookFile,
    Offline,
    OfTaxon,
    On,
    Part,
    Preparation,
    Reason,
    Remark,
    Yes,
    group,
)
from doubtwort.model import Outcome, Rating

vet = group("vet", "The vetted list: what you accept, wait with or reject, and why.")
note = group("note", "Tasting notes: own experience, which raises no rating.")
place = group("place", "Places where something was found.")

_What = Annotated[str, typer.Argument(metavar="TAXON|ENTRY", help='A taxon by any name, or an entry\'s id ("v3").')]
_Claims = Annotated[
    list[str],
    typer.Option(
        "--claim", metavar="CLAIM_ID", help="A claim that it rests on. Given once, these replace those before."
    ),
]
_By = Annotated[str, typer.Option("--by", metavar="WHO", help="Who decided.")]
_Review = Annotated[str, typer.Option("--review", metavar="DATE", help="When to look again. Default: in a year.")]
_Months = Annotated[
    list[str], typer.Option("--month", metavar="MONTHS", help="Season: 4, 4-6, 11-1. May be given again.")
]


@vet.command("accept")
def vet_accept(
    what: _What,
    part: Part = "",
    preparation: Preparation = "",
    claim: _Claims = [],  # noqa: B006 - typer's way to a repeatable option; never changed
    reason: Reason = "",
    despite: Annotated[
        str, typer.Option("--despite", metavar="TEXT", help="Why, against the rule. Shown wherever the entry is.")
    ] = "",
    by: _By = "",
    review: _Review = "",
    month: _Months = [],  # noqa: B006
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Accept a taxon, part and preparation. Refused unless a claim that it rests on is supported."""
    from doubtwort.cli.vetting import decide_command
    from doubtwort.notebook.vetted import Status

    decide_command(
        what, Status.ACCEPTED, part=part, preparation=preparation, claims=claim, reason=reason, despite=despite, by=by,
        review=review, months=month, notebook=notebook, as_json=as_json,
    )  # fmt: skip


@vet.command("wait")
def vet_wait(
    what: _What,
    part: Part = "",
    preparation: Preparation = "",
    claim: _Claims = [],  # noqa: B006
    reason: Reason = "",
    by: _By = "",
    review: _Review = "",
    month: _Months = [],  # noqa: B006
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Put it on the list without a decision."""
    from doubtwort.cli.vetting import decide_command
    from doubtwort.notebook.vetted import Status

    decide_command(
        what, Status.WAITING, part=part, preparation=preparation, claims=claim, reason=reason, despite="", by=by,
        review=review, months=month, notebook=notebook, as_json=as_json,
    )  # fmt: skip


@vet.command("reject")
def vet_reject(
    what: _What,
    part: Part = "",
    preparation: Preparation = "",
    claim: _Claims = [],  # noqa: B006
    reason: Reason = "",
    by: _By = "",
    review: _Review = "",
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Reject a taxon, part and preparation."""
    from doubtwort.cli.vetting import decide_command
    from doubtwort.notebook.vetted import Status

    decide_command(
        what, Status.REJECTED, part=part, preparation=preparation, claims=claim, reason=reason, despite="", by=by,
        review=review, months=[], notebook=notebook, as_json=as_json,
    )  # fmt: skip


@vet.command("list")
def vet_list(
    status: Annotated[
        str, typer.Option("--status", metavar="STATUS", help="Only accepted, waiting or rejected ones.")
    ] = "",
    taxon: OfTaxon = "",
    limit: Limit = 500,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Show the list; what warns comes first."""
    from doubtwort.cli.keeping import one_of
    from doubtwort.cli.vetting import list_command
    from doubtwort.notebook.vetted import Status

    wanted = one_of(Status, status, "status") if status else None
    list_command(notebook, status=wanted, taxon=taxon, limit=limit, as_json=as_json)


_EntryId = Annotated[str, typer.Argument(metavar="ENTRY", help='Its id, such as "v3".')]


@vet.command("show")
def vet_show(entry: _EntryId, as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """Show one entry."""
    from doubtwort.cli.vetting import show_command

    show_command(entry, notebook, as_json=as_json)


@vet.command("delete")
def vet_delete(entry: _EntryId, yes: Yes = False, notebook: NotebookFile = None) -> None:
    """Take an entry off the list. Asks; can be undone."""
    from doubtwort.cli.vetting import delete_command

    delete_command(entry, notebook, yes=yes)


@note.command("add")
def note_add(
    taxon: AnyName,
    prepared: Annotated[str, typer.Option("--prepared", metavar="TEXT", help="How it was prepared.")] = "",
    amount: Annotated[str, typer.Option("--amount", metavar="TEXT", help="How much was eaten.")] = "",
    taste: Annotated[str, typer.Option("--taste", metavar="TEXT")] = "",
    texture: Annotated[str, typer.Option("--texture", metavar="TEXT")] = "",
    reaction: Annotated[str, typer.Option("--reaction", metavar="TEXT", help="Any ill effect.")] = "",
    part: Part = "",
    preparation: Preparation = "",
    remark: Remark = "",
    on: On = "",
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Write down how something was prepared, how it tasted and what came of it."""
    from doubtwort.cli.noting import add_note_command
    from doubtwort.notebook.notes import Tasting

    tasting = Tasting(prepared, amount, taste, texture, reaction, remark, part, preparation, on)
    add_note_command(taxon, tasting, notebook, as_json=as_json)


@note.command("list")
def note_list(taxon: OfTaxon = "", limit: Limit = 200, as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """List tasting notes, those with a reaction first."""
    from doubtwort.cli.noting import list_notes_command

    list_notes_command(taxon, limit, notebook, as_json=as_json)


@note.command("delete")
def note_delete(
    label: Annotated[str, typer.Argument(metavar="NOTE", help='Its id, such as "n3".')],
    yes: Yes = False,
    notebook: NotebookFile = None,
) -> None:
    """Delete a tasting note. Asks; can be undone."""
    from doubtwort.cli.noting import delete_note_command

    delete_note_command(label, notebook, yes=yes)


@place.command("add")
def place_add(
    taxon: AnyName,
    latitude: Annotated[float | None, typer.Option("--latitude", metavar="DEGREES", help="WGS 84.")] = None,
    longitude: Annotated[float | None, typer.Option("--longitude", metavar="DEGREES", help="WGS 84.")] = None,
    precision: Annotated[
        str, typer.Option("--precision", metavar="HOW", help="exact, 100m, 1km or 10km: kept no finer than that.")
    ] = "1km",
    region: Annotated[str, typer.Option("--region", metavar="TEXT", help="Words that others may see.")] = "",
    spot: Annotated[
        str, typer.Option("--spot", metavar="TEXT", help="Words for the very spot; kept to yourself.")
    ] = "",
    caution: Annotated[
        list[str],
        typer.Option(
            "--caution", metavar="WHAT", help="sprayed, roadside, old-industry, foul-water, protected, permission."
        ),
    ] = [],  # noqa: B006
    remark: Remark = "",
    on: On = "",
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Write down where something was found, as roughly or as precisely as you wish."""
    from doubtwort.cli.keeping import one_of
    from doubtwort.cli.noting import add_place_command
    from doubtwort.notebook.places import Place, Precision, SiteCaution

    cautions = tuple(one_of(SiteCaution, each, "caution") for each in caution)
    how = one_of(Precision, precision, "precision")
    add_place_command(
        taxon, Place(how, latitude, longitude, region, spot, cautions, remark, on), notebook, as_json=as_json
    )


@place.command("list")
def place_list(
    taxon: OfTaxon = "",
    exact: Annotated[
        bool, typer.Option("--exact", help="As exactly as they are kept, with the words for the spot.")
    ] = False,
    limit: Limit = 200,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """List places, coarsened to about 10 km unless --exact is given."""
    from doubtwort.cli.noting import list_places_command

    list_places_command(taxon, limit, notebook, exact=exact, as_json=as_json)


@place.command("delete")
def place_delete(
    label: Annotated[str, typer.Argument(metavar="PLACE", help='Its id, such as "p2".')],
    yes: Yes = False,
    notebook: NotebookFile = None,
) -> None:
    """Delete a place. Asks; can be undone."""
    from doubtwort.cli.noting import delete_place_command

    delete_place_command(label, notebook, yes=yes)


def find(
    text: Annotated[str, typer.Argument(metavar="TEXT", help='Words, "phrases", beginnings (leav*), -without.')],
    taxon: OfTaxon = "",
    rating: Annotated[
        Rating | None, typer.Option("--rating", metavar="RATING", help="Only of claims so rated.")
    ] = None,
    part: Annotated[str, typer.Option("--part", metavar="PART", help="Only what names this part.")] = "",
    outcome: Annotated[
        Outcome | None, typer.Option("--outcome", metavar="OUTCOME", help="Only in sources of this outcome.")
    ] = None,
    limit: Limit = 20,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Search quotes, claims and your own notes; what calls something toxic comes first."""
    from doubtwort.cli.finding import find_command

    find_command(text, notebook, taxon=taxon, rating=rating, part=part, outcome=outcome, limit=limit, as_json=as_json)


def season(
    month: Annotated[int | None, typer.Argument(metavar="[MONTH]", min=1, max=12, show_default=False)] = None,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Show what on the list is in season this month, or in the month of this number."""
    from doubtwort.cli.keeping import this_month
    from doubtwort.cli.vetting import season_command

    season_command(month or this_month(), notebook, as_json=as_json)


def due(on: On = "", as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """Show what is to be looked at again: entries by their review date, claims by their last audit."""
    from doubtwort.cli.vetting import due_command

    due_command(on, notebook, as_json=as_json)


def history(limit: Limit = 20, as_json: AsJson = False, notebook: NotebookFile = None) -> None:
    """Show the latest changes."""
    from doubtwort.cli.finding import history_command

    history_command(limit, notebook, as_json=as_json)


def undo(
    event: Annotated[
        int | None, typer.Option("--event", metavar="NUMBER", help="As `doubtwort history` prints it; else the last.")
    ] = None,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Take back the last change, or the one of a number. Audits are not taken back."""
    from doubtwort.cli.finding import undo_command

    undo_command(event, notebook, as_json=as_json)


def recheck(
    claim: Annotated[list[str], typer.Argument(metavar="[CLAIM_ID]...", show_default=False)] = [],  # noqa: B006
    due: Annotated[bool, typer.Option("--due", help="Those whose time has come.")] = False,
    every: Annotated[bool, typer.Option("--all", help="All claims.")] = False,
    older_than: Annotated[
        int, typer.Option("--older-than", metavar="DAYS", min=0, help="With --due: last audited so long ago.")
    ] = 180,
    fail_on_change: Annotated[
        bool, typer.Option("--fail-on-change", help="Exit status 3 when anything changed.")
    ] = False,
    depth: Depth = 3,
    offline: Offline = False,
    allow_private: AllowPrivate = False,
    as_json: AsJson = False,
    notebook: NotebookFile = None,
) -> None:
    """Visit the sources of claims again and show what has changed."""
    from doubtwort.cli.rechecking import recheck_command
    from doubtwort.settings import Settings

    settings = Settings(depth=depth, offline=offline, allow_private=allow_private, revalidate=not offline)
    status = recheck_command(
        claim, due=due, every=every, older_than=older_than, fail_on_change=fail_on_change, settings=settings,
        notebook=notebook, as_json=as_json,
    )  # fmt: skip
    if status:
        raise typer.Exit(status)
