"""Hand-made audits of invented taxa that are hard to show: many sources, circles, other scripts, hostile text."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from sample_audits import BOOK, CLAIM, CONTRADICTED, HARMLESS, LEAFLET, POISONOUS, STRETCHED, WEAKER

from doubtwort.model import (
    About,
    Audit,
    Caution,
    Citation,
    Grounds,
    Outcome,
    Place,
    Rating,
    Shift,
    Source,
    Statement,
    Step,
    Taxon,
    UnreadReason,
    Wording,
)

HOSTILE = (
    "\"><script>alert(1)</script><img src=x onerror=alert(2)>\x00\x1b[31m\u202e&amp;'{{ 7*7 }}]]></svg></style>\ud800"
)
ARABIC = "نبتة وهمية صالحة للأكل حسب كتاب لا وجود له"
CHINESE = "架空草的叶子可以吃，但根部生食有毒，必须煮熟两次才能食用。"
EDIBLE = Statement(
    "The leaves of fictwort are edible.",
    Wording.EDIBLE,
    About.TAXON,
    parts=("leaf",),
    rules=("edible-adjective",),
    place=Place(("Uses",), 10, 44),
)
_SAYS = {
    Outcome.SUPPORTS: (EDIBLE,),
    Outcome.NARROWER: (EDIBLE,),
    Outcome.OVERSTATES: (EDIBLE,),
    Outcome.WEAKER: (HARMLESS,),
    Outcome.CONTRADICTS: (POISONOUS,),
    Outcome.MIXED: (EDIBLE, POISONOUS),
}


def many(count: int, seed: int = 1, *, flat: bool = False, statements: int = 1) -> Audit:
    """A trail of so many sources with every outcome in it; ``flat``: the claim cites all of them itself."""
    chance = Random(seed)
    sources, steps = [], []
    for number in range(1, count + 1):
        outcome = chance.choice(list(Outcome))
        citing = "claim" if flat or number < 8 else f"s{chance.randint(max(1, number // 3 - 3), max(1, number // 2))}"
        unread = outcome is Outcome.UNREAD
        sources.append(
            Source(
                f"s{number}",
                f"http://site{number}.example/flora/page-{number}",
                f"A rather long title of an invented work on the flora of Nowhere, part {number}",
                1,
                (citing,),
                outcome,
                final_url=f"http://site{number}.example/flora/page-{number}",
                reason=chance.choice(list(UnreadReason)) if unread else None,
                grounds=Grounds.OWN_WORD if outcome is Outcome.SUPPORTS else None,
                statements=_SAYS.get(outcome, ()) * statements,
                fetched_at="2026-11-25T09:30:00Z",
                sha256="ab" * 32,
            )
        )
        shifts = [Shift.STRENGTHENED, Shift.KEPT, Shift.WEAKENED, None]
        steps.append(Step(citing, f"s{number}", None if unread else chance.choice(shifts)))
        if number > 3 and chance.random() < 0.2:
            steps.append(Step(f"s{chance.randint(1, number - 1)}", f"s{number}", Shift.KEPT))
    roots = [each.id for each in sources if each.outcome is Outcome.SUPPORTS]
    groups = (tuple(roots[:2]), *((each,) for each in roots[2:]))
    return replace(
        STRETCHED,
        rating=Rating.DISPUTED,
        sources=tuple(sources),
        trail=tuple(steps),
        root_groups=tuple(group for group in groups if group),
    )


def ring(count: int) -> Audit:
    """A claim that cites the first of so many pages, each of which cites the next, and the last one the first."""
    ids = [f"s{number}" for number in range(1, count + 1)]
    sources = [replace(WEAKER, id=each, outcome=Outcome.CIRCULAR, title=f"Page {each} of the ring") for each in ids]
    round_ = [Step(each, then, Shift.KEPT) for each, then in zip(ids, [*ids[1:], ids[0]], strict=True)]
    trail = (Step("claim", "s1", Shift.KEPT), *round_, Step(ids[-1], "claim"))
    return replace(
        STRETCHED, rating=Rating.UNSUPPORTED, sources=tuple(sources), trail=trail, root_groups=(), cautions=()
    )


def hostile() -> Audit:
    """Markup, control characters, lone surrogates and 10,000 letters in every field that a page of the web can fill."""
    long = HOSTILE + "W" * 10_000
    said = replace(
        POISONOUS, quote=long, rules=(HOSTILE,), subject=HOSTILE, parts=(HOSTILE,), place=Place((HOSTILE, long), 0, 5)
    )
    read = Source(
        "s1",
        "javascript:alert(3)",
        long,
        1,
        ("claim", HOSTILE),
        Outcome.CONTRADICTS,
        final_url="javascript:alert(4)",
        main_subject=HOSTILE,
        fetched_at=HOSTILE,
        sha256=HOSTILE,
        statements=(said, replace(said, wording=Wording.EDIBLE)),
        citation=Citation("k", HOSTILE, archived_url="data:text/html,<script>alert(5)</script>"),
    )
    unread = Source(
        HOSTILE,
        'http://x.example/"onmouseover=alert(6)//',
        HOSTILE,
        1,
        ("claim",),
        Outcome.UNREAD,
        reason=UnreadReason.NOT_FOUND,
        detail=HOSTILE,
    )
    return replace(
        STRETCHED,
        claim=replace(
            CLAIM, id=HOSTILE, taxon=Taxon(HOSTILE, (HOSTILE,), (long,)), quote=long, url="vbscript:x", parts=(HOSTILE,)
        ),
        rating=Rating.CONTRADICTED,
        reasons=(HOSTILE, long, f"s1: {HOSTILE} (says-opposite)"),
        cautions=(
            Caution("toxic-stated", HOSTILE, HOSTILE),
            Caution("look-alike", long, HOSTILE),
            Caution("own-word-only", long),
        ),
        sources=(read, unread),
        trail=(
            Step("claim", "s1", Shift.STRENGTHENED),
            Step("claim", HOSTILE),
            Step("s1", "claim"),
            Step("gone", "s1"),
        ),
        root_groups=((HOSTILE,), ("s1",)),
        audited_at=HOSTILE,
        notes=(HOSTILE,),
    )


def other_scripts() -> Audit:
    """Right-to-left and CJK text, and a very long name in one word."""
    first = replace(WEAKER, title=ARABIC * 3, main_subject=ARABIC, statements=(replace(HARMLESS, quote=ARABIC),))
    third = replace(LEAFLET, title=CHINESE * 3, statements=(replace(POISONOUS, quote=CHINESE * 2),))
    second = replace(BOOK, citation=Citation("n2", "Unaussprechlichlangerbuchtitel" * 8))
    claim = replace(CLAIM, quote=ARABIC, taxon=Taxon("Fictaria silvana", (), ("架空草", ARABIC)))
    return replace(CONTRADICTED, claim=claim, sources=(first, second, third))


HARD = {
    "sixty": many(60),
    "sixty flat": many(60, flat=True),
    "ring of two": ring(2),
    "ring of three": ring(3),
    "ring of eight": ring(8),
    "ring of thirty": ring(30),
    "hostile": hostile(),
    "other scripts": other_scripts(),
}
