"""The ladder of a trail in words, and as the terminal and the report show it."""

from __future__ import annotations

from io import StringIO

import pytest

from doubtwort.model import (
    About,
    Audit,
    Certainty,
    Claim,
    Outcome,
    Rating,
    Shift,
    Source,
    Statement,
    Step,
    Taxon,
    Wording,
)
from doubtwort.reporting.html import report_page
from doubtwort.reporting.steps import risings
from doubtwort.reporting.terminal import open_console, print_audit
from doubtwort.reporting.view import view_audit

FICTWORT = Taxon("Fictaria silvana")
CLAIM = Claim("c1", FICTWORT, Wording.EDIBLE, "Fictwort is edible.", "https://lore.example/")


def audit_of(*said: Statement) -> Audit:
    """A chain: the claim cites s1, s1 cites s2 …; each page makes one of the statements."""
    sources = tuple(
        Source(
            f"s{number}",
            f"https://s{number}.example/",
            "",
            number,
            (f"s{number - 1}" if number > 1 else "claim",),
            Outcome.WEAKER,
            statements=(each,),
        )
        for number, each in enumerate(said, start=1)
    )
    steps = tuple(Step(each.cited_by[0], each.id, Shift.STRENGTHENED) for each in sources)
    return Audit(CLAIM, Rating.STRETCHED, (), (), sources, steps)


HEARSAY = Statement("It is said to be eaten.", Wording.EDIBLE, About.TAXON, certainty=Certainty.HEARSAY)
HARMLESS = Statement("<b>Fictwort</b> is harmless.", Wording.NON_TOXIC, About.GENUS)


def test_every_rung_says_what_it_has_gained():
    (ladder,) = risings(view_audit(audit_of(HEARSAY, HARMLESS)).ladders)
    assert [(each.id, each.says, each.gained) for each in ladder] == [
        ("claim", "edible", "stated from hearsay"),
        ("s1", "edible, hearsay", "edible from non-toxic; this taxon from its genus"),
        ("s2", "non-toxic, of its genus", ""),
    ]


def test_a_ladder_without_a_gain_is_left_out():
    same = Statement("It is edible.", Wording.EDIBLE, About.TAXON)
    assert risings(view_audit(audit_of(same)).ladders) == ()


@pytest.mark.parametrize("gained", ["stated from hearsay", "edible from non-toxic; this taxon from its genus"])
def test_terminal_and_report_show_it(gained: str):
    view = view_audit(audit_of(HEARSAY, HARMLESS))
    out = StringIO()
    print_audit(view, open_console(out))
    assert "LADDER" in out.getvalue()
    assert f"gained: {gained}" in " ".join(out.getvalue().split())
    assert f"gained: {gained}" in report_page(view)


def test_a_quote_on_a_rung_is_text():
    assert "<b>Fictwort" not in report_page(view_audit(audit_of(HEARSAY, HARMLESS)))
