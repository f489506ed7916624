"""Taxa: accepted names with their history, names by language, names that several taxa bear."""

from __future__ import annotations

from dataclasses import replace

import pytest
from notebook_values import TAXON, a_claim, an_audit

from doubtwort.errors import CallError, ManyTaxa, NotInNotebook
from doubtwort.model import Rating, Taxon
from doubtwort.notebook import open_notebook
from doubtwort.notebook.history import undo
from doubtwort.notebook.taxa import FormerName, add_taxon, find_taxon, join_taxa, remove_name, rename_taxon, taxa
from doubtwort.notebook.vetted import Decision, Status, decide, entries

NAME = TAXON.scientific_name


@pytest.fixture
def notebook(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as opened:
        yield opened


def test_names_by_language(notebook):
    add_taxon(notebook, Taxon(NAME, (), ("wood fictary",), "Fictariaceae"), language="en")
    add_taxon(
        notebook, Taxon(NAME, ("Fictaria ficta",), ("Waldfiktling", "Ästling")), language="de", remarks="wet places"
    )
    found = find_taxon(notebook, NAME)
    assert found.common_names == (("wood fictary", "en"), ("Waldfiktling", "de"), ("Ästling", "de"))
    assert (found.family, found.synonyms, found.remarks) == ("Fictariaceae", ("Fictaria ficta",), "wet places")
    for name in ("waldfiktling", "WOOD FICTARY", "fictaria silvana", "Fictaria  ficta", "ästling"):
        assert find_taxon(notebook, name).id == found.id
    with pytest.raises(CallError, match="language tag"):
        add_taxon(notebook, TAXON, language="the language of the valley")


def test_a_name_that_several_taxa_bear_asks_which(notebook):
    add_taxon(notebook, Taxon(NAME, (), ("fictwort",)))
    add_taxon(notebook, Taxon("Vaguelia aspera", (), ("Fictwort",)))
    add_taxon(notebook, Taxon("Nusquamia lenta", ("Fictwort",)))
    with pytest.raises(ManyTaxa) as caught:
        find_taxon(notebook, "fictwort")
    assert caught.value.candidates == (NAME, "Nusquamia lenta", "Vaguelia aspera")
    assert "\n" not in str(caught.value)
    with pytest.raises(ManyTaxa):
        decide(notebook, "fictwort", "leaf", "", Decision(Status.WAITING))
    with pytest.raises(NotInNotebook, match="nettle"):
        find_taxon(notebook, "no such nettle")


def test_an_accepted_name_counts_before_the_synonyms_of_others(notebook):
    add_taxon(notebook, Taxon("Fictaria ficta"))
    add_taxon(notebook, Taxon(NAME, ("Fictaria ficta",)))
    assert find_taxon(notebook, "Fictaria ficta").scientific_name == "Fictaria ficta"


def test_a_changed_name_keeps_its_history_its_claims_and_its_entries(notebook):
    notebook.keep_audit(replace(an_audit("c1", rating=Rating.SUPPORTED), cautions=()))
    decide(notebook, NAME, "leaf", "", Decision(Status.ACCEPTED, claims=("c1",)))
    rename_taxon(notebook, NAME, "Fictaria nova", reason="split of the genus", on="2027-03-01")
    last = rename_taxon(notebook, "Fictaria nova", "Novaria silvana", on="2028-03-01")
    assert last.former_names == (
        FormerName(NAME, "2027-03-01", "split of the genus"),
        FormerName("Fictaria nova", "2028-03-01", ""),
    )
    assert last.taxon.synonyms == ("Fictaria ficta", NAME, "Fictaria nova")  # sources are read for all of them
    assert [each.taxon for each in entries(notebook, taxon=NAME)] == ["Novaria silvana"]
    assert notebook.claims()[0].taxon == "Novaria silvana"
    assert notebook.audit("c1").claim.taxon == TAXON  # an audit stays as it was
    # A claim taken in under the old name goes to the same taxon, and its rating counts there.
    notebook.keep_audit(replace(an_audit("c2", rating=Rating.DISPUTED), cautions=()))
    assert [each.scientific_name for each in taxa(notebook)] == ["Novaria silvana"]
    assert entries(notebook)[0].status is Status.WAITING
    rename_taxon(notebook, "Novaria silvana", NAME)
    assert set(find_taxon(notebook, NAME).taxon.synonyms) == {"Fictaria ficta", "Fictaria nova", "Novaria silvana"}


def test_a_name_that_is_another_taxon_is_not_taken(notebook):
    add_taxon(notebook, TAXON)
    add_taxon(notebook, Taxon("Vaguelia aspera"))
    for new, said in (("Vaguelia aspera", "join"), (NAME, "already")):
        with pytest.raises(CallError, match=said):
            rename_taxon(notebook, NAME, new)


def test_two_taxa_that_are_one_bring_all_that_they_had(notebook):
    other = Taxon("Vaguelia aspera", (), ("mock fictary", "roughling"))
    notebook.keep_audit(replace(an_audit("c1", rating=Rating.SUPPORTED), cautions=()))
    decide(notebook, NAME, "leaf", "", Decision(Status.ACCEPTED, claims=("c1",)))
    disputed = an_audit("c2", rating=Rating.DISPUTED)
    notebook.keep_audit(replace(disputed, claim=replace(disputed.claim, taxon=other)))
    decide(notebook, "Vaguelia aspera", "root", "", Decision(Status.REJECTED))
    joined = join_taxa(notebook, "Vaguelia aspera", NAME, reason="lumped")
    assert joined.claims == 2
    assert [name for name, _ in joined.common_names] == ["mock fictary", "wood fictary", "roughling"]
    assert find_taxon(notebook, "Vaguelia aspera").scientific_name == NAME
    by_part = {each.part: each.status for each in entries(notebook)}
    assert by_part == {"leaf": Status.WAITING, "root": Status.REJECTED}  # a dispute came along
    assert notebook.claim("c2").taxon == other
    notebook.check()
    undo(notebook)
    assert [each.scientific_name for each in taxa(notebook)] == [NAME, "Vaguelia aspera"]
    assert {each.part: each.status for each in entries(notebook)}["leaf"] is Status.ACCEPTED
    notebook.check()


def test_taxa_with_entries_for_the_same_part_are_not_joined_blindly(notebook):
    for name in (NAME, "Vaguelia aspera"):
        add_taxon(notebook, Taxon(name))
        decide(notebook, name, "leaf", "", Decision(Status.WAITING))
    with pytest.raises(CallError, match="Delete one"):
        join_taxa(notebook, NAME, "Vaguelia aspera")
    with pytest.raises(CallError, match="one taxon already"):
        join_taxa(notebook, NAME, NAME)


def test_a_synonym_that_a_claim_brings_carries_no_evidence_over(notebook):
    """Somebody's page may call anything a synonym of anything."""
    notebook.keep_claim(replace(a_claim("c1"), taxon=Taxon(NAME, ("Vaguelia aspera",))))
    notebook.keep_audit(replace(an_audit("c2", rating=Rating.SUPPORTED), claim=a_claim("c2")))
    audit = an_audit("c3", rating=Rating.SUPPORTED)
    notebook.keep_audit(replace(audit, claim=replace(audit.claim, taxon=Taxon("Vaguelia aspera"))))
    assert [each.scientific_name for each in taxa(notebook)] == [NAME, "Vaguelia aspera"]


def test_a_name_goes_unless_a_claim_was_audited_with_it(notebook):
    add_taxon(notebook, Taxon(NAME, (), ("fictwort",)))
    notebook.keep_claim(a_claim("c1"))
    assert ("fictwort", "") not in remove_name(notebook, NAME, "fictwort").common_names
    with pytest.raises(CallError, match="mock fictary"):
        remove_name(notebook, NAME, "mock fictary")
