"""Invented audits, whole and at random, for the notebook's tests."""

from __future__ import annotations

from hashlib import sha256

from hypothesis import strategies as st

from doubtwort.model import (
    About,
    Audit,
    Caution,
    Certainty,
    Citation,
    Claim,
    Eater,
    Fetched,
    Grounds,
    Notice,
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

TAXON = Taxon("Fictaria silvana", ("Fictaria ficta",), ("mock fictary", "wood fictary"), "Fictariaceae")


def fetched(url: str, body: bytes = b"<p>The leaves are eaten.</p>", day: int = 1) -> Fetched:
    return Fetched(
        url=url,
        final_url=url,
        status=200,
        headers={"content-type": "text/html; charset=utf-8"},
        body=body,
        fetched_at=f"2026-11-{day:02}T10:00:00Z",
        sha256=sha256(body).hexdigest(),
    )


def a_statement(quote: str = "The young leaves are eaten boiled.", wording: Wording = Wording.EDIBLE) -> Statement:
    return Statement(
        quote=quote,
        wording=wording,
        about=About.TAXON,
        parts=("leaf",),
        preparations=("boiled",),
        stages=("young",),
        rules=("eaten",),
        place=Place(("Uses", "Food"), 120, 120 + len(quote)),
        subject="Fictaria silvana",
        citations=("3",),
    )


def a_claim(claim_id: str = "c1", sources: int = 3) -> Claim:
    cited = tuple(Citation(str(n), f"Work {n}, 1999.", (f"http://s{n}.example/p",)) for n in range(1, sources + 1))
    return Claim(claim_id, TAXON, Wording.EDIBLE, "All parts are edible.", "http://herb.example/f", citations=cited)


def an_audit(claim_id: str = "c1", sources: int = 3, rating: Rating = Rating.PARTLY_SUPPORTED) -> Audit:
    """An audit as the chase would leave it; each source's bytes are its own."""
    claim = a_claim(claim_id, sources)
    found = []
    for number, citation in enumerate(claim.citations, 1):
        page = page_of(citation.urls[0])
        found.append(
            Source(
                id=f"s{number}",
                url=citation.urls[0],
                final_url=page.final_url,
                title=f"Page {number}",
                depth=1,
                cited_by=("claim",),
                outcome=Outcome.NARROWER,
                grounds=Grounds.OWN_WORD,
                main_subject="Fictaria silvana",
                fetched_at=page.fetched_at,
                sha256=page.sha256,
                statements=(a_statement(), a_statement(f"Raw roots are poisonous ({number}).", Wording.TOXIC)),
                notices=(Notice("contact-irritant", "The sap blisters.", About.TAXON, ("blisters",)),),
                citation=citation,
            )
        )
    return Audit(
        claim=claim,
        rating=rating,
        reasons=("partly-supported: s1 speaks of boiled young leaves only.",),
        cautions=(Caution("toxic-stated", "s1 calls the raw roots poisonous.", "s1"),),
        sources=tuple(found),
        trail=tuple(Step("claim", each.id, Shift.STRENGTHENED) for each in found),
        root_groups=(tuple(each.id for each in found),),
        audited_at="2026-11-25T10:00:00Z",
        notes=("three sources at depth 1",),
    )


def page_of(url: str) -> Fetched:
    """The invented page of an address; 40 kB that do not compress to nothing."""
    noise = "".join(sha256(f"{url}{n}".encode()).hexdigest() for n in range(600))
    return fetched(url, f"<h1>{url}</h1><p>{noise}</p>".encode())


# ------------------------------------------------------------------------------------------------ at random

# Any text that Python can hold: NUL, lone surrogates, the escape mark itself. Addresses with a user's name in them
# are stripped on purpose, so they have a test of their own.
texts = st.text(st.characters(), max_size=12).filter(lambda text: "://" not in text)
marks = st.sampled_from(["\x00", "\u241b", "\u241b0000", "\ud800", "\u241b\u241b", "'", '"', "☘", "\n"])
words = st.lists(texts | marks, max_size=3).map(tuple)
numbers = st.integers(0, 2**40)
addresses = st.sampled_from(["", "http://a.example/x", "https://b.example/y?q=1@2#frag", "ftp://c.example"])
places = st.builds(Place, words, numbers, numbers, st.none() | numbers)
citations = st.builds(
    Citation, texts, texts, st.lists(addresses, max_size=2).map(tuple), texts, texts, words, texts, texts, texts,
    addresses, st.booleans(),
)  # fmt: skip
statements = st.builds(
    Statement, texts, st.sampled_from(Wording), st.sampled_from(About), st.sampled_from(Eater),
    st.sampled_from(Certainty), words, words, words, texts, words, words, st.none() | places, texts, words,
)  # fmt: skip
notices = st.builds(Notice, texts, texts, st.sampled_from(About), words, st.none() | places)
taxa = st.builds(Taxon, texts, words, words, texts)
claims = st.builds(
    Claim, texts, taxa, st.sampled_from(Wording), texts, addresses, words, words, words,
    st.lists(citations, max_size=2).map(tuple), st.sampled_from(Certainty),
)  # fmt: skip
sources = st.builds(
    Source, texts, addresses, texts, numbers, words, st.sampled_from(Outcome), addresses,
    st.none() | st.sampled_from(UnreadReason), texts, st.none() | st.sampled_from(Grounds), texts, texts, texts,
    st.booleans(), st.lists(statements, max_size=2).map(tuple), st.lists(notices, max_size=1).map(tuple),
    st.none() | citations,
)  # fmt: skip
cautions = st.builds(Caution, texts, texts, texts | addresses)
steps = st.builds(Step, texts, texts, st.none() | st.sampled_from(Shift))
audits = st.builds(
    Audit, claims, st.sampled_from(Rating), words, st.lists(cautions, max_size=2).map(tuple),
    st.lists(sources, max_size=3, unique_by=lambda each: each.id).map(tuple), st.lists(steps, max_size=2).map(tuple),
    st.lists(st.lists(texts, min_size=1, max_size=2).map(tuple), max_size=2).map(tuple), texts, words,
)  # fmt: skip
