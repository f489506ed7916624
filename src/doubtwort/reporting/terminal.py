"""Writes a view to a terminal or a pipe, with rich. Text of the web loses its control characters on the way."""

from __future__ import annotations

import sys
from collections.abc import Iterable, Sequence
from typing import IO

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from doubtwort.model import Caution, Reading, Taxon
from doubtwort.reporting.quotes import Quote, quote_of
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.steps import MOST_SHOWN, Rising, risings
from doubtwort.reporting.view import AuditView, ClaimLine, Danger, Rung, SourceView
from doubtwort.text import one_line

PIPE_WIDTH = 80
WIDEST = 100
_LABEL_WIDTH = 10
_LONGEST_QUOTE = 600
_LONGEST_TITLE = 160
_LONGEST_TEXT = 1_000
_LONGEST_ID = 40
_MOST_QUOTES = 6
_MOST_DANGERS = 12
_DEEPEST = 8

_RATING_STYLE = {
    "contradicted": "bold white on red",
    "disputed": "bold white on red",
    "corroborated": "bold green",
    "supported": "bold green",
    "partly-supported": "bold yellow",
    "stretched": "bold yellow",
}
_OUTCOME_STYLE = {
    "contradicts": "bold red",
    "mixed": "bold red",
    "supports": "green",
    "narrower": "yellow",
    "weaker": "yellow",
    "elsewhere": "yellow",
    "overstates": "yellow",
}


def open_console(file: IO[str] | None = None) -> Console:
    """A console of at most 100 columns; 80 and without any escape sequence when it is not a terminal.

    NO_COLOR and TERM=dumb are honoured by rich.
    """
    stream = file or sys.stdout
    console = Console(file=stream, highlight=False, markup=False, emoji=False, soft_wrap=False)
    if not console.is_terminal:
        return Console(
            file=stream, highlight=False, markup=False, emoji=False, width=PIPE_WIDTH, color_system=None, no_color=True
        )
    if console.width > WIDEST:
        console.width = WIDEST
    return console


def print_audit(view: AuditView, console: Console) -> None:
    """The whole audit, danger first."""
    parts: list[RenderableType] = []
    if view.dangers:
        parts += [_section("DANGER", _dangers(view.dangers), "bold red"), ""]
    names = f" ({', '.join(view.common_names)})" if view.common_names else ""
    conditions = f" [{', '.join(view.conditions)}]" if view.conditions else ""
    claim = [
        _text(f"{view.taxon}{names}: {view.wording}{conditions}", "bold"),
        _quoted(view.claim_quote),
        _address(view.claim_url),
        _text(f"claim {view.claim_id}", "dim"),
    ]
    rating = Text.assemble((view.rating, _RATING_STYLE.get(view.rating, "bold reverse")), f"  {view.rating_says}")
    parts += [_section("CLAIM", claim), _section("RATING", [rating])]
    if view.reasons:
        parts.append(_section("WHY", _bullets(view.reasons)))
    parts.append("")
    if view.sources:
        parts.append(_section("SOURCES", [part for each in view.sources for part in _source(each)]))
    if view.trail:
        parts += [_section("TRAIL", [*_trail(view.trail), *_roots(view.roots)]), ""]
    if climbing := risings(view.ladders):
        parts += [_section("LADDER", _ladders(climbing)), ""]
    if view.unread:
        parts += [_section("NOT READ", [part for each in view.unread for part in _unread(each)]), ""]
    if view.cautions:
        parts.append(_section("CAUTIONS", _bullets(_caution(each) for each in view.cautions)))
    if view.notes:
        parts.append(_section("NOTES", _bullets(view.notes)))
    parts.append(standing_section(view.standing))
    write_parts(console, parts)


def print_reading(reading: Reading, taxon: Taxon, console: Console) -> None:
    """What one text says of a taxon: each statement with its rules, then the standing cautions."""
    quotes = [quote_of(each, taxon) for each in reading.statements]
    quotes.sort(key=lambda each: not each.dangerous)
    parts: list[RenderableType] = []
    if quotes:
        parts.append(_section("SAYS", [part for each in quotes for part in _quote(each)]))
    else:
        nothing = "No statement about people eating it was found."
        if not reading.named:
            nothing += f" The text does not name {taxon.scientific_name}."
        parts.append(_section("SAYS", [_text(nothing)]))
    if reading.notices:
        parts.append(_section("NOTICED", _bullets(f"{each.code}: “{each.quote}”" for each in reading.notices)))
    write_parts(console, [*parts, standing_section(standing_cautions(None))])


def print_claims(claims: Sequence[ClaimLine], console: Console) -> None:
    """One claim after the other: rating, what is claimed of which taxon, its words and page, its id."""
    parts: list[RenderableType] = []
    for each in claims:
        grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
        grid.add_column(width=16, no_wrap=True)
        grid.add_column(ratio=1, overflow="fold")
        lines = [
            _text(each.heading, "bold"),
            Text(f"“{one_line(each.quote, _LONGEST_TITLE)}”", "italic", no_wrap=True, overflow="ellipsis"),
            _address(each.url),
            _text(f"claim {each.id}" + (f", rated {each.rated_at}" if each.rated_at else ""), "dim"),
        ]
        grid.add_row(Text(each.rating, _RATING_STYLE.get(each.rating, "bold reverse")), Group(*lines))
        parts += [grid, ""]
    if not claims:
        parts.append(_text("The notebook holds no claim yet. Begin with: doubtwort audit URL --taxon NAME"))
    write_parts(console, [*parts, standing_section(standing_cautions(None))])


def print_summary(views: Sequence[AuditView], console: Console) -> None:
    """One line an audit: its rating and what was claimed."""
    parts: list[RenderableType] = []
    for view in views:
        line = Text(no_wrap=True, overflow="ellipsis")
        line.append(f"{view.rating:<17}", _RATING_STYLE.get(view.rating, "bold").replace(" white on", ""))
        line.append(one_line(f"{view.taxon}: {view.wording}", _LONGEST_TITLE))
        line.append(f"  {one_line(view.claim_url)}", "dim")
        parts.append(line)
    write_parts(console, [*parts, ""])


def standing_section(cautions: Iterable[Caution]) -> Table:
    """Without their sources, which the other formats give: a list that is seen every time has to be short."""
    return _section("ALWAYS", _bullets(each.text for each in cautions))


def write_parts(console: Console, parts: Iterable[RenderableType]) -> None:
    """To a terminal as it is; into a pipe without the spaces that fill up columns."""
    if console.is_terminal:
        console.print(Group(*parts))
        return
    with console.capture() as capture:
        console.print(Group(*parts))
    console.file.write("\n".join(line.rstrip() for line in capture.get().split("\n")))


# --------------------------------------------------------------------------- parts


def _section(label: str, parts: Sequence[RenderableType], style: str = "bold") -> Table:
    """A label in a column of its own, and what belongs to it beside it."""
    grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
    grid.add_column(width=_LABEL_WIDTH, no_wrap=True)
    grid.add_column(ratio=1, overflow="fold")
    grid.add_row(Text(label, style), Group(*parts))
    return grid


def _text(said: str, style: str = "", most: int = _LONGEST_TEXT) -> Text:
    return Text(one_line(said, most), style, overflow="fold")


def _address(url: str) -> Text:
    return Text(one_line(url, 300), "dim", overflow="fold")


def _quoted(said: str, style: str = "italic") -> Text:
    return Text(f"“{one_line(said, _LONGEST_QUOTE)}”", style, overflow="fold")


def _bullets(lines: Iterable[str]) -> list[RenderableType]:
    made: list[RenderableType] = []
    for line in lines:
        grid = Table.grid(padding=(0, 1, 0, 0))
        grid.add_column(width=1)
        grid.add_column(overflow="fold")
        grid.add_row("·", _text(line))
        made.append(grid)
    return made


def _title(said: str, style: str = "bold") -> Text:
    """On one line: what does not fit ends in "…"."""
    return Text(one_line(said, _LONGEST_TITLE), style, no_wrap=True, overflow="ellipsis")


def _dangers(dangers: tuple[Danger, ...]) -> list[RenderableType]:
    parts: list[RenderableType] = []
    for each in dangers[:_MOST_DANGERS]:
        parts.append(Text(f"! {one_line(each.text, _LONGEST_TEXT)}", "bold red", overflow="fold"))
        if each.quote is not None:
            below = [_quoted(each.quote.text), _title(f"— {each.source_title}", "")]
            if each.quote.place:
                below.append(_text(each.quote.place, "dim"))
            parts.append(Padding(Group(*below), (0, 0, 0, 2)))
        elif each.cited:
            parts.append(Padding(_text(f"— {each.cited}"), (0, 0, 0, 2)))
    if len(dangers) > _MOST_DANGERS:
        parts.append(_text(f"! and {len(dangers) - _MOST_DANGERS} more warnings: see --json", "bold red"))
    return parts


def _source(source: SourceView) -> list[RenderableType]:
    head = _title(source.title)
    outcome = (f"{source.outcome:<13}", _OUTCOME_STYLE.get(source.outcome, "bold"))
    head = Text.assemble(
        (f"{one_line(source.id, _LONGEST_ID):<4}", "bold"), outcome, head, no_wrap=True, overflow="ellipsis"
    )
    below: list[RenderableType] = [_text(source.told + (f"; {source.grounds}" if source.grounds else ""))]
    if source.main_subject:
        below.append(_title(f"the page's own subject: {source.main_subject}", ""))
    for quote in source.quotes[:_MOST_QUOTES]:
        below.extend(_quote(quote))
    if len(source.quotes) > _MOST_QUOTES:
        below.append(_text(f"… and {len(source.quotes) - _MOST_QUOTES} more statements: see --json", "dim"))
    below.append(_address(source.url))
    if source.moved_to:
        below.append(_address(f"moved to {source.moved_to}"))
    if source.archived:
        below.append(_text("read from an archived copy", "dim"))
    return [head, Padding(Group(*below), (0, 0, 1, 4))]


def _quote(quote: Quote) -> list[RenderableType]:
    said = Text(overflow="fold")
    said.append(quote.wording, "bold red" if quote.dangerous else "bold")
    said.append(one_line(", ".join(["", quote.about, *quote.conditions]), _LONGEST_TITLE * 2))
    below: list[RenderableType] = [said]
    if quote.place:
        below.append(_text(f"at: {quote.place}", "dim"))
    if quote.rules:
        below.append(_text(f"rules: {', '.join(quote.rules)}", "dim"))
    return [_quoted(quote.text), Padding(Group(*below), (0, 0, 0, 2))]


def _unread(source: SourceView) -> list[RenderableType]:
    head = Text(no_wrap=True, overflow="ellipsis")
    head.append(f"{one_line(source.id, _LONGEST_ID):<4}", "bold")
    head.append(one_line(source.title, _LONGEST_TITLE))
    below: list[RenderableType] = [_text(source.unread)]
    if source.url and source.url != source.title:
        below.append(_address(source.url))
    return [head, Padding(Group(*below), (0, 0, 0, 4))]


def _trail(rungs: tuple[Rung, ...], stem: str = "", level: int = 1) -> list[RenderableType]:
    """Branches drawn to the right; below ``_DEEPEST`` they go straight down, with their depth as a number."""
    lines: list[RenderableType] = [_text("claim")] if level == 1 else []
    for number, each in enumerate(rungs, start=1):
        last = number == len(rungs)
        line = Text(f"{stem}{'└─ ' if last else '├─ '}", "dim", no_wrap=True, overflow="ellipsis")
        if level > _DEEPEST:
            line.append(f"(depth {level}) ", "dim")
        line.append(one_line(each.source_id, _LONGEST_ID), "bold not dim")
        if each.outcome:
            line.append(f" {each.outcome}", _OUTCOME_STYLE.get(each.outcome, "") + " not dim")
        said = " (see above)" if each.again and each.outcome else f"  {one_line(each.title, _LONGEST_TITLE)}"
        line.append(said, "not dim")
        lines.append(line)
        below = stem + ("   " if last else "│  ")
        if each.shift:
            style = "yellow not dim" if each.shift.startswith("strengthened") else "dim"
            lines.append(Text.assemble((f"{below}   ", "dim"), (each.shift, style), overflow="fold"))
        lines += _trail(each.below, below if level <= _DEEPEST else stem, level + 1)
    return lines


def _ladders(ladders: Sequence[Sequence[Rising]]) -> list[RenderableType]:
    """From the claim down to each root; between two rungs, what the upper one has gained."""
    lines: list[RenderableType] = []
    for ladder in ladders[:MOST_SHOWN]:
        if lines:
            lines.append("")
        for rung in ladder:
            said = Text(overflow="fold")
            said.append(f"{one_line(rung.id, _LONGEST_ID):<6}", "bold")
            said.append(one_line(rung.says, _LONGEST_TITLE * 2))
            lines.append(said)
            if rung.gained:
                lines.append(
                    Text.assemble("  ^   ", (f"gained: {one_line(rung.gained, _LONGEST_TITLE * 2)}", "yellow"))
                )
    if len(ladders) > MOST_SHOWN:
        lines.append(_text(f"… and {len(ladders) - MOST_SHOWN} more ladders", "dim"))
    return lines


def _roots(groups: tuple[tuple[str, ...], ...]) -> list[RenderableType]:
    if not groups:
        return []
    named = "; ".join(" + ".join(group) for group in groups)
    return [_text(f"independent roots: {len(groups)} ({named})")]


def _caution(caution: Caution) -> str:
    return f"{caution.text} [{caution.source}]" if caution.source else caution.text
