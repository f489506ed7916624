"""Writes explained sentences to a terminal or a pipe; every mark and reason is told in words, colour only helps."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Final

from rich.console import Console, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from doubtwort.model import Taxon
from doubtwort.reporting.brackets import ASCII, Row, draw, row_text
from doubtwort.reporting.explain import SentenceView, Verdict
from doubtwort.reporting.explain_words import LEGEND, NOTHING_FOUND
from doubtwort.reporting.quotes import place_words
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.terminal import standing_section, write_parts
from doubtwort.text import one_line, printable

_INDENT: Final = 2
_LABEL_WIDTH: Final = 10
_STYLE: Final = {
    "says": "bold",
    "value": "bold",
    "label": "bold",
    "unsaid": "bold",
    "answer": "bold",
    "turns": "bold magenta",
    "weakens": "yellow",
    "reach": "magenta",
    "name": "cyan",
    "who": "blue",
    "use": "blue",
    "notice": "red",
    "limits": "green",
    "stem": "dim",
}


def print_explained(views: Iterable[SentenceView], taxon: Taxon, console: Console) -> None:
    """Each sentence as it comes, then the standing cautions."""
    names = f" ({', '.join(taxon.common_names)})" if taxon.common_names else ""
    write_parts(console, [_plain(f"How the text reads for {taxon.scientific_name}{names}", "bold"), ""])
    number = 0
    for number, view in enumerate(views, start=1):
        if number == 1:
            write_parts(console, [*(_plain(line) for line in LEGEND), ""])
        write_parts(console, [*_sentence(number, view, console), ""])
    if not number:
        write_parts(console, [_plain(NOTHING_FOUND), ""])
    write_parts(console, [standing_section(standing_cautions(None))])


def _plain(said: str, style: str = "") -> Text:
    return Text(one_line(said), style, overflow="fold")


def _sentence(number: int, view: SentenceView, console: Console) -> list[RenderableType]:
    parts: list[RenderableType] = [_plain(f"SENTENCE {number} · {place_words(view.place)}", "bold"), ""]
    parts += [_row(row, console) for row in draw(view, console.width - _INDENT)]
    if view.left_out:
        parts.append(_plain(f"… the sentence goes on; {view.left_out} marks and decisions are left out: see --json"))
    parts.append("")
    for each in view.verdicts:
        parts.append(Padding(_verdict(each), (0, 0, 0, _INDENT)))
    if not view.verdicts:
        parts.append(Padding(_plain("Nothing in this sentence states anything about eating."), (0, 0, 0, _INDENT)))
    return parts


def _row(row: Row, console: Console) -> Text:
    """A drawn row; its spaces are kept and it is never wrapped."""
    line = Text(" " * _INDENT, no_wrap=True, overflow="ignore", end="\n")
    plain = row_text(row)
    if console.options.ascii_only:
        return line.append(printable(plain.translate(ASCII)))
    at = 0
    for piece in sorted(row, key=lambda each: each.column):
        found = plain.index(piece.text, at)
        line.append(plain[at:found])
        line.append(piece.text, _STYLE.get(piece.kind, ""))
        at = found + len(piece.text)
    return line


def _verdict(verdict: Verdict) -> Table:
    grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
    grid.add_column(width=3, no_wrap=True)
    grid.add_column(width=_LABEL_WIDTH, no_wrap=True)
    grid.add_column(ratio=1, overflow="fold")
    number = f"({verdict.number})"
    head = Text(overflow="fold")
    head.append(f"“{one_line(verdict.words, 200)}”: ")
    if verdict.wording:
        head.append(("! " if verdict.dangerous else "") + verdict.wording, "bold red" if verdict.dangerous else "bold")
    else:
        head.append("states nothing", "bold")
    grid.add_row(number, "comes to" if verdict.wording else "silent", head)
    if verdict.silent:
        grid.add_row("", "why", _plain(verdict.silent))
    for label, value in verdict.facts:
        grid.add_row("", label, _plain(value))
    grid.add_row("", "rules", _plain(", ".join(verdict.rules), "dim"))
    return grid
