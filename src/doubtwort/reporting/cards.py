"""Lists of what a notebook holds, for the terminal and for scripts: each row a card, dangers before everything."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from rich.console import Console, Group, RenderableType
from rich.padding import Padding
from rich.table import Table
from rich.text import Text

from doubtwort.model import Caution
from doubtwort.reporting.standing import standing_cautions
from doubtwort.reporting.terminal import standing_section, write_parts
from doubtwort.text import one_line

_MARK_WIDTH = 16
_LONGEST = 600
_STYLES = {
    "accepted": "bold green", "waiting": "bold yellow", "rejected": "bold", "contradicted": "bold white on red",
    "disputed": "bold white on red", "supported": "bold green", "corroborated": "bold green",
    "partly-supported": "bold yellow", "stretched": "bold yellow", "changed": "bold yellow", "failed": "bold red",
}  # fmt: skip


@dataclass(frozen=True, slots=True)
class Card:
    """One row: a mark such as "accepted" or "supported", a heading, ``dangers`` that stand above its lines, lines,
    and small print."""

    mark: str
    heading: str
    lines: tuple[str, ...] = ()
    dangers: tuple[str, ...] = ()
    small: tuple[str, ...] = ()


def print_cards(
    cards: Sequence[Card],
    console: Console,
    *,
    nothing: str = "",
    after: Sequence[str] = (),
    standing: Sequence[Caution] | None = None,
) -> None:
    """``nothing`` is said when there are none, ``after`` once behind them; the standing cautions end every list."""
    parts: list[RenderableType] = []
    for card in cards:
        grid = Table.grid(padding=(0, 1, 0, 0), expand=True)
        grid.add_column(width=_MARK_WIDTH, no_wrap=True)
        grid.add_column(ratio=1, overflow="fold")
        below: list[RenderableType] = [
            Text(f"! {one_line(each)}", "bold red", overflow="fold") for each in card.dangers
        ]
        below.append(Text(one_line(card.heading), "bold", overflow="fold"))
        below += [Text(one_line(each, _LONGEST), overflow="fold") for each in card.lines]
        below += [Text(one_line(each, _LONGEST), "dim", overflow="fold") for each in card.small]
        grid.add_row(Text(one_line(card.mark), _STYLES.get(card.mark, "bold")), Group(*below))
        parts += [grid, ""]
    if not cards and nothing:
        parts += [Text(nothing), ""]
    for each in after:
        parts.append(Padding(Text(one_line(each, _LONGEST), overflow="fold"), (0, 0, 1, 0)))
    write_parts(console, [*parts, standing_section(standing_cautions(None) if standing is None else standing)])
