"""``doubtwort shelf``: works to look up by hand, slips to print, passages written down from them."""

from __future__ import annotations

import sys
from dataclasses import asdict
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from doubtwort.cli.arguments import AsJson, NotebookFile, group

if TYPE_CHECKING:
    from doubtwort.audit import Slip
    from doubtwort.notebook import Notebook
    from doubtwort.notebook.shelf import Filled

shelf = group("shelf", "Works that no program can fetch: slips to look them up by hand, and what was found.")

COPY_ALL = (
    "Copy every sentence on eating it word for word, warnings before all, "
    "with the heading above it and the plant's name."
)
_WIDTH = 78
_Claim = Annotated[str, typer.Option("--claim", metavar="CLAIM_ID", help="Only slips of this claim.")]
_Slip = Annotated[str, typer.Argument(metavar="SLIP", help="As `doubtwort shelf` prints it.")]
_Slips = Annotated[list[str] | None, typer.Argument(metavar="[SLIP]...", help="Default: all that are open.")]
_Text = Annotated[
    str | None, typer.Option("--text", metavar="FILE|-", help="The passage, or a photo's text, as plain text.")
]
_Pdf = Annotated[Path | None, typer.Option("--pdf", metavar="FILE", help="The work, or a part of it, as a PDF file.")]
_Page = Annotated[
    int | None, typer.Option("--page", metavar="N", min=1, help="The printed page that the text is from.")
]


@shelf.callback(invoke_without_command=True)
def open_slips(
    context: typer.Context, claim: _Claim = "", as_json: AsJson = False, notebook: NotebookFile = None
) -> None:
    """List the open slips: works cited for a claim that were not read."""
    if context.invoked_subcommand is not None:
        return
    from doubtwort.cli.keeping import opened, print_json, show_cards
    from doubtwort.reporting.cards import Card

    with opened(notebook) as kept:
        slips, filled = slips_of(kept, claim)
    if as_json:
        rows = [asdict(each) | {"filled_at": filled[each.id].filled_at if each.id in filled else ""} for each in slips]
        print_json("shelf", "slips", rows)
        return
    cards = [
        Card("filled" if each.id in filled else "open", _heading(each), _lines(each, filled), (), (_small(each),))
        for each in slips
    ]
    after = (
        ["To fill one: doubtwort shelf fill SLIP --text FILE --page N. Then audit its claim again."] if slips else []
    )
    show_cards(cards, "No slip is open.", after)


@shelf.command("print")
def print_slips(slip: _Slips = None, claim: _Claim = "", notebook: NotebookFile = None) -> None:
    """Print slips as plain text, to take along to a library."""
    from doubtwort.cli.keeping import opened
    from doubtwort.errors import NotInNotebook

    with opened(notebook) as kept:
        slips, filled = slips_of(kept, claim)
    wanted = [_named(slips, each) for each in slip] if slip else [each for each in slips if each.id not in filled]
    if not wanted:
        raise NotInNotebook("No slip is open.")
    print("\n\n".join(slip_text(each) for each in wanted))


@shelf.command()
def fill(slip: _Slip, text: _Text = None, pdf: _Pdf = None, page: _Page = None, notebook: NotebookFile = None) -> None:
    """Keep a passage written down by hand; the next audit reads it."""
    from doubtwort.cli.keeping import opened, show_cards
    from doubtwort.errors import CallError
    from doubtwort.notebook.shelf import Passage, keep_passage
    from doubtwort.text import one_line

    if (text is None) == (pdf is None):
        raise CallError("Give the passage with --text FILE, with --text - from standard input, or with --pdf FILE.")
    if pdf is not None and page:
        raise CallError("A PDF has pages of its own: leave --page out.")
    kind = "text" if text is not None else "pdf"
    body = _bytes_of(text if text is not None else str(pdf))
    with opened(notebook) as kept:
        slips, filled = slips_of(kept)
        said_there = _readable(body, kind)
        if slip.strip() in filled:  # filled before: this corrects it
            was = filled[slip.strip()]
            target, names = (was.slip, was.claim, was.work, was.reference, was.look_for), None
        else:
            new = _named(slips, slip)
            target = (new.id, new.claim, new.work, new.citation.text or new.citation.title, new.look_for)
            names = new.names
        passage = Passage(*target, kind, str(page or ""), body)
        keep_passage(kept, passage)
    after = [f"Kept for slip {passage.slip}: {len(said_there.split())} words{f' of p. {page}' if page else ''}."]
    if names and not any(name.lower() in said_there.lower() for name in names):
        after.append(f"It does not name {one_line(names[0], 80)}. If the name stands above it, copy that as well.")
    show_cards([], after=[*after, f"Read it now: doubtwort recheck {passage.claim}"])


def slips_of(notebook: Notebook, claim: str = "") -> tuple[tuple[Slip, ...], dict[str, Filled]]:
    """Slips of every claim's latest audit, those of one work and claim once; and which of them were filled."""
    from doubtwort.audit.shelf import BY_HAND, slip_of
    from doubtwort.notebook.query import claim as claim_of
    from doubtwort.notebook.shelf import filled_slips, unread_sources

    claims = {}
    slips: dict[str, Slip] = {}
    for each in unread_sources(notebook, BY_HAND, claim):
        if each.claim not in claims:
            claims[each.claim] = claim_of(notebook, each.claim)
        made = slip_of(claims[each.claim], each.source, each.citation, each.reason)
        slips.setdefault(made.id, made)
    return tuple(slips.values()), filled_slips(notebook)


def slip_text(slip: Slip) -> str:
    """One slip, as it goes on paper."""
    import textwrap

    from doubtwort.text import one_line

    cited = slip.citation
    fields = (
        ("Author", ", ".join(cited.authors)), ("Title", cited.title), ("Year", cited.year), ("Page", cited.pages),
        ("ISBN", cited.isbn), ("DOI", cited.doi), ("Cited as", cited.text), ("Address", " ".join(cited.urls[:2])),
        ("For claim", f"{slip.claim} on {slip.taxon}"), ("Look for", slip.look_for), ("", COPY_ALL),
    )  # fmt: skip
    lines = [f"SLIP {slip.id}", "=" * _WIDTH]
    for name, value in fields:
        if value:
            lines += textwrap.wrap(
                one_line(value, 2_000), _WIDTH, initial_indent=f"{name:<11}", subsequent_indent=" " * 11
            )
    return "\n".join([*lines, "", *(["_" * _WIDTH, ""] * 4), "Page ______   Date ______________"])


def _named(slips: tuple[Slip, ...], name: str) -> Slip:
    from doubtwort.errors import NotInNotebook
    from doubtwort.text import one_line

    found = next((each for each in slips if each.id == name.strip()), None)
    if found is None:
        raise NotInNotebook(f"There is no slip {one_line(name, 40)}. List them: doubtwort shelf")
    return found


def _bytes_of(file: str) -> bytes:
    from doubtwort.errors import CallError
    from doubtwort.settings import Settings
    from doubtwort.text import one_line

    most = Settings().max_body + 1
    try:
        if file == "-":
            return sys.stdin.buffer.read(most)
        with Path(file).open("rb") as opened_file:
            return opened_file.read(most)
    except OSError as error:
        raise CallError(f"{one_line(file, 200)} cannot be read: {error.strerror}.") from None


def _readable(body: bytes, kind: str) -> str:
    """The text of the passage; ``CallError`` when there is none that can be read."""
    from doubtwort.errors import CallError
    from doubtwort.model import Fetched, Unreadable
    from doubtwort.notebook.shelf import MEDIA_TYPES
    from doubtwort.reading import read
    from doubtwort.settings import Settings

    if not body.strip():
        raise CallError("The passage is empty. Write down the sentences on eating the plant, word for word.")
    if kind == "pdf" and b"%PDF-" not in body[:1024]:  # ISO 32000-1, 7.5.2; readers look in the first 1024 bytes
        raise CallError("That is no PDF file. Give a text with --text.")
    document = read(Fetched("", "", 200, {"content-type": MEDIA_TYPES[kind]}, body, "", ""), Settings())
    if isinstance(document, Unreadable):
        raise CallError(f"Nothing in it can be read: {document.detail or document.reason.value}. Give it as text.")
    return document.text


def _heading(slip: Slip) -> str:
    cited = slip.citation
    return ", ".join(filter(None, (", ".join(cited.authors[:3]), cited.year, cited.title or cited.text)))


def _lines(slip: Slip, filled: dict[str, Filled]) -> tuple[str, ...]:
    said = [slip.look_for]
    if known := ", ".join(
        f"{name} {value}" for name, value in (("ISBN", slip.citation.isbn), ("DOI", slip.citation.doi)) if value
    ):
        said.append(known)
    if slip.id in filled:
        said.append(f"Filled on {filled[slip.id].filled_at[:10]}; not yet read: doubtwort recheck {slip.claim}")
    return tuple(said)


def _small(slip: Slip) -> str:
    return f"slip {slip.id}, {slip.source} of claim {slip.claim} on {slip.taxon} ({slip.reason.value})"
