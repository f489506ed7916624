"""Every caution code, danger first, and none left out. Taxa, lists and pages are invented."""

from __future__ import annotations

from dataclasses import replace

from doubtwort.model import About, Caution, Grounds, Notice, Outcome, Source, UnreadReason
from doubtwort.support.cautions import DANGER_FIRST, OnTrail, cautions_for
from doubtwort.taxa.hazards import AmbiguousName, HazardRow, Hazards, HazardSource, LookAlike, StandingCaution
from support.shorthand import TAXON, claim, reading

BOOK = HazardSource("book", "Muster, Invented Poisons (1999)", "http://book.example/", "original")
STANDING = StandingCaution("standing", "This check does not tell whether anything is safe to eat.", ())
EMPTY = Hazards((), (), (), (STANDING,), {})


def listed(taxon: str, rank: str = "species", traced: bool = True, synonyms: tuple[str, ...] = ()) -> HazardRow:
    return HazardRow(taxon, rank, synonyms, "", (), "root", "fictine", "", (BOOK,), traced)


def source(name: str, outcome: Outcome, **more: object) -> Source:
    return Source(name, f"http://{name}.example/", "", 1, ("claim",), outcome, **more)  # type: ignore[arg-type]


def given(*pages: OnTrail, sources: tuple[Source, ...] = (), hazards: Hazards = EMPTY) -> tuple[Caution, ...]:
    return cautions_for(claim("edible leaf"), sources, pages, hazards)


def codes(found: tuple[Caution, ...]) -> list[str]:
    return [each.code for each in found]


def test_the_standing_caution_stands_under_every_result() -> None:
    assert given() == (Caution("standing", STANDING.text, ""),)


def test_toxic_statements_about_taxon_genus_family_other_parts_or_unclear_taxa_are_all_shown() -> None:
    page = OnTrail("s1", reading("toxic root; toxic &genus; toxic &family; toxic &unclear; toxic leaf ~hearsay"))
    found = [each for each in given(page) if each.code == "toxic-stated"]
    assert len(found) == 5
    assert all(each.source == "s1" for each in found)
    assert found[0].text.startswith("s1 says that this taxon is toxic (root): “Sentence 0")
    assert "its genus" in found[1].text
    assert "passes on from others" in found[4].text


def test_other_taxa_and_animals_are_not_called_toxic_to_people() -> None:
    page = OnTrail("s1", reading("toxic &other; toxic !animals"))
    assert codes(given(page)) == ["toxic-to-animals", "standing"]


def test_a_toxic_statement_is_shown_beside_corroboration_and_from_the_claims_own_page() -> None:
    sources = (source("s1", Outcome.SUPPORTS, grounds=Grounds.TRACED),)
    own = OnTrail("claim", reading("edible leaf; toxic root"))
    found = given(own, OnTrail("s1", reading("edible leaf")), sources=sources)
    assert found[0].code == "toxic-stated"
    assert found[0].text.startswith("The claim's own page says")


def test_dropped_conditions_are_named() -> None:
    found = given(OnTrail("s2", reading("edible /boiled"), ("boiled",)))
    assert found[0] == Caution(
        "condition-dropped", "s2 says 'edible' only under a condition that the claim leaves out: boiled.", "s2"
    )


def test_lists_speak_of_species_synonym_and_genus_and_name_their_source() -> None:
    hazards = replace(EMPTY, rows=(listed("Fictaria", "genus"), listed("Fictaria silvana")))
    found = given(hazards=hazards)
    assert codes(found) == ["listed-poisonous", "listed-poisonous", "standing"]
    assert found[0].text == "Fictaria silvana stands in a published list of poisonous taxa (root; fictine)."
    assert "the genus of Fictaria silvana" in found[1].text
    assert found[0].source == BOOK.citation


def test_a_row_not_traced_to_a_source_says_so() -> None:
    found = given(hazards=replace(EMPTY, rows=(listed("Fictaria silvana", traced=False),)))
    assert found[0].text.endswith("(not traced to a source yet)")


def test_look_alikes_on_either_side() -> None:
    pair = LookAlike("Fictaria silvana", "Vaguelia mortis", "before flowering", "leaves alike", (BOOK,), True)
    found = given(hazards=replace(EMPTY, pairs=(pair,)))
    assert found[0].code == "look-alike"
    assert "confused with Vaguelia mortis, which is dangerous (before flowering; leaves alike)" in found[0].text
    turned = LookAlike("Vaguelia dulcis", "Fictaria silvana", "", "", (BOOK,), True)
    assert "Fictaria silvana is the dangerous one" in given(hazards=replace(EMPTY, pairs=(turned,)))[0].text


def test_a_common_name_of_several_taxa() -> None:
    row = AmbiguousName("fictwort", ("Fictaria silvana", "Vaguelia mortis"), ("Vaguelia mortis",), "", (BOOK,), True)
    found = given(hazards=replace(EMPTY, names=(row,)))
    assert found[0].code == "ambiguous-common-name"
    assert found[0].text.endswith("dangerous among them: Vaguelia mortis.")
    assert TAXON.common_names == ("fictwort",)


def test_notices_become_cautions_but_not_those_of_other_taxa() -> None:
    notices = (
        Notice("contact-irritant", "The sap blisters the skin.", About.TAXON),
        Notice("contact-irritant", "It burns.", About.OTHER),
    )
    found = given(OnTrail("s1", reading("", notices=notices)))
    assert codes(found) == ["contact-irritant", "standing"]
    assert "The sap blisters the skin." in found[0].text


def test_unread_sources_are_counted_by_reason() -> None:
    sources = (
        source("s1", Outcome.UNREAD, reason=UnreadReason.NOT_FOUND),
        source("s2", Outcome.SILENT),
        source("s3", Outcome.UNREAD, reason=UnreadReason.OFFLINE_WORK),
    )
    found = given(sources=sources)
    assert found[0].text == "2 of 3 sources were not read (not-found: s1; offline-work: s3)."


def test_own_word_only_where_nothing_is_traced() -> None:
    own = source("s1", Outcome.SUPPORTS, grounds=Grounds.OWN_WORD)
    traced = source("s2", Outcome.SUPPORTS, grounds=Grounds.TRACED)
    assert codes(given(sources=(own, source("s3", Outcome.SILENT)))) == ["own-word-only", "standing"]
    assert codes(given(sources=(own, traced))) == ["standing"]


def test_danger_comes_first() -> None:
    hazards = Hazards(
        (listed("Fictaria silvana"),),
        (LookAlike("Fictaria silvana", "Vaguelia mortis", "", "", (), False),),
        (AmbiguousName("fictwort", ("Fictaria silvana",), (), "", (), False),),
        (STANDING,),
        {},
    )
    notices = (Notice("contact-irritant", "It burns.", About.TAXON),)
    page = OnTrail("s1", reading("toxic !animals; toxic; edible /boiled", notices=notices), ("boiled",))
    sources = (
        source("s1", Outcome.NARROWER, grounds=Grounds.OWN_WORD),
        source("s2", Outcome.UNREAD, reason=UnreadReason.GONE),
    )
    assert tuple(codes(given(page, sources=sources, hazards=hazards))) == DANGER_FIRST
