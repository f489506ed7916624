"""A page's claim and the citations that belong to it. Pages and taxa are invented."""

from __future__ import annotations

import hashlib
from dataclasses import replace

import pytest

from doubtwort.citing.intake import FURTHER_READING, GENERAL_SOURCES, claim_from, claim_id, take_in
from doubtwort.errors import NoClaimFound
from doubtwort.model import (
    About,
    Certainty,
    Citation,
    CitationMark,
    Document,
    Eater,
    Passage,
    Place,
    Reading,
    Statement,
    Taxon,
    Wording,
)

TAXON = Taxon("Fictaria silvana")
URL = "http://herb.example/fictaria"


def page(
    *marked: str, kind: str = "paragraph", further: tuple[str, ...] = (), listed: tuple[str, ...] = ()
) -> Document:
    """A document from texts in which {a} stands for a footnote mark (taken out of the text) that cites "a"."""
    passages: list[Passage] = []
    keys: list[str] = []
    start = 0
    for text in marked:
        plain, marks = "", []
        for piece in text.split("{"):
            key, closed, rest = piece.partition("}")
            if closed:
                marks.append(CitationMark(len(plain), len(plain), key))
                keys.append(key)
                plain += rest
            else:
                plain += piece
        passages.append(Passage(plain, kind, start=start, marks=tuple(marks)))
        start += len(plain) + 2
    citations = {key: Citation(key, f"Entry {key}", (f"http://{key}.example/",)) for key in (*keys, *listed)}
    for key in further:
        citations[key] = Citation(key, f"Entry {key}", further_reading=True)
    return Document(URL, "Fictaria silvana", tuple(passages), citations)


def said(document: Document, quote: str, wording: Wording = Wording.EDIBLE, **more: object) -> Statement:
    start = document.text.index(quote)
    place = Place((), start, start + len(quote))
    return Statement(quote, wording, About.TAXON, place=place, **more)  # type: ignore[arg-type]


def keys(document: Document, *statements: Statement, **more: object) -> list[str]:
    found = claim_from(document, Reading(statements, named=True), TAXON, Wording.EDIBLE, **more)  # type: ignore[arg-type]
    return [each.key for each in found.citations]


def test_marks_inside_the_sentence_and_behind_its_stop_belong_to_it() -> None:
    document = page("It grows in bogs.{a} The leaves{b} are edible.{c}{d} It flowers in May.{e}")
    assert keys(document, said(document, "The leaves are edible.")) == ["b", "c", "d"]


def test_a_quote_that_is_only_part_of_the_sentence_gets_the_marks_of_all_of_it() -> None:
    document = page("It grows in bogs.{a} Its leaves are edible, some say,{b} and tasty.{c} More.{d}")
    assert keys(document, said(document, "leaves are edible")) == ["b", "c"]


def test_printed_marks_behind_the_stop_belong_to_the_sentence_before() -> None:
    text = "It grows in bogs. [1] The leaves are edible. [2] It flowers."
    marks = tuple(CitationMark(text.index(f"[{key}]"), text.index(f"[{key}]") + 3, key) for key in ("1", "2"))
    document = Document(URL, "", (Passage(text, marks=marks),), {key: Citation(key, key) for key in ("1", "2")})
    assert keys(document, said(document, "The leaves are edible.")) == ["2"]


def test_a_link_at_the_start_of_a_sentence_belongs_to_that_sentence() -> None:
    text = "Its leaves are edible. A flora gives its height."
    start = text.index("A flora")
    document = Document(
        URL, "", (Passage(text, marks=(CitationMark(start, start + 7, "a"),)),), {"a": Citation("a", "A flora")}
    )
    assert keys(document, said(document, "Its leaves are edible.")) == []
    assert keys(document, said(document, "A flora gives its height.")) == ["a"]


def test_one_group_of_marks_at_the_end_of_a_paragraph_serves_its_earlier_sentences() -> None:
    document = page("The leaves are edible. It flowers in May.{a}{b}", "Other.{c}")
    assert keys(document, said(document, "The leaves are edible.")) == ["a", "b"]


def test_marks_at_the_end_serve_no_earlier_sentence_if_the_paragraph_has_others() -> None:
    document = page("It is tall.{a} The leaves are edible. It flowers in May.{b}")
    assert keys(document, said(document, "The leaves are edible.")) == []


def test_all_marks_of_a_table_row_belong_to_its_statement() -> None:
    document = page("Edibility: edible.{a} See there.{b}", kind="table-row")
    assert keys(document, said(document, "edible")) == ["a", "b"]


def test_keys_given_with_the_statement_come_first_and_none_twice() -> None:
    document = page("The leaves are edible.{a}", listed=("z",))
    assert keys(document, said(document, "The leaves are edible.", citations=("z", "a"))) == ["z", "a"]


def test_further_reading_is_never_cited() -> None:
    document = page("The leaves are edible.{a}", further=("a", "f"))
    assert keys(document, said(document, "The leaves are edible.")) == []


def test_general_sources_only_where_no_sentence_has_marks() -> None:
    document = page("The leaves are edible.", listed=("a", "b"), further=("f",))
    reading = Reading((said(document, "The leaves are edible."),), named=True)
    taken = take_in(document, reading, TAXON, Wording.EDIBLE)
    assert [each.key for each in taken.claim.citations] == ["a", "b"]
    assert taken.notes == (GENERAL_SOURCES, FURTHER_READING.format(count="1 work"))
    marked = page("The leaves are edible.", "It is tall.{m}", listed=("a",))
    reading = Reading((said(marked, "The leaves are edible."),), named=True)
    assert take_in(marked, reading, TAXON, Wording.EDIBLE).claim.citations == ()


def test_of_several_the_wanted_part_then_citations_then_certainty_then_order() -> None:
    document = page("One is edible.", "Two is edible.{a}", "Three is edible.{b}", "Root is edible.")
    one, two = said(document, "One is edible."), said(document, "Two is edible.", certainty=Certainty.HEARSAY)
    three, root = said(document, "Three is edible."), said(document, "Root is edible.", parts=("root",))
    assert keys(document, one, two, three, root) == ["b"]
    assert keys(document, one, two, root) == ["a"]
    reading = Reading((one, two, three, root), named=True)
    assert claim_from(document, reading, TAXON, Wording.EDIBLE, parts=("root",)).quote == "Root is edible."


def test_what_the_call_names_stands_in_the_claim() -> None:
    document = page("The leaves are edible boiled.")
    statement = said(document, "The leaves are edible boiled.", parts=("leaf",), preparations=("boiled",))
    reading = Reading((statement,), named=True)
    found = claim_from(document, reading, TAXON, Wording.EDIBLE)
    assert (found.parts, found.preparations) == (("leaf",), ("boiled",))
    found = claim_from(document, reading, TAXON, Wording.EDIBLE, ("root",), ("raw",))
    assert (found.parts, found.preparations) == (("root",), ("raw",))


def test_animals_other_taxa_and_other_wordings_are_no_claim() -> None:
    document = page("It is edible.")
    statement = said(document, "It is edible.")
    for other in (
        replace(statement, eater=Eater.ANIMALS),
        replace(statement, about=About.OTHER),
        replace(statement, about=About.GENUS),
        replace(statement, wording=Wording.TOXIC),
    ):
        with pytest.raises(NoClaimFound):
            claim_from(document, Reading((other,), named=True), TAXON, Wording.EDIBLE)


@pytest.mark.parametrize(
    ("reading", "helps"),
    [
        (Reading((), named=False), "does not name Fictaria silvana. Check the spelling"),
        (Reading((), named=True), "says nothing of people eating it"),
        (Reading((Statement("Deadly.", Wording.TOXIC, About.TAXON),), named=True), "it says: toxic. Ask for that"),
    ],
)
def test_one_line_helps_where_no_claim_is_found(reading: Reading, helps: str) -> None:
    with pytest.raises(NoClaimFound, match=helps) as caught:
        claim_from(page("Text."), reading, TAXON, Wording.EDIBLE)
    assert "\n" not in str(caught.value)


def test_the_id_is_the_same_for_the_same_claim_however_it_is_spelled() -> None:
    one = claim_id("http://herb.example/x?utm_source=y#top", TAXON, Wording.EDIBLE, ("leaf", "root"), ("raw",))
    other = claim_id("http://Herb.example:80/x", Taxon("fictaria  silvana"), Wording.EDIBLE, ("root", "leaf"), ("raw",))
    # FIPS 180-4: SHA-256, computed here over the documented fields.
    fields = "http://herb.example/x\nfictaria silvana\nedible\nleaf,root\nraw"
    assert one == other == "c" + hashlib.sha256(fields.encode()).hexdigest()[:12]
    assert one != claim_id("http://herb.example/x", TAXON, Wording.TOXIC, ("leaf", "root"), ("raw",))


def test_the_longest_paragraph_is_taken_in_at_once() -> None:
    text = "Word " * 40_000 + "It is edible." + " [" * 20_000
    document = Document(
        URL, "", (Passage(text, marks=tuple(CitationMark(len(text), len(text), "a") for _ in range(500))),),
        {"a": Citation("a", "Entry")},
    )  # fmt: skip
    assert keys(document, said(document, "It is edible.")) == ["a"]
