"""Names of a service beside those that a person wrote: added, never overwritten, told where they differ, undone."""

from __future__ import annotations

from dataclasses import replace

import pytest

from doubtwort.errors import CallError
from doubtwort.model import Taxon
from doubtwort.notebook import open_notebook
from doubtwort.notebook.history import events, undo
from doubtwort.notebook.looked_up import FoundNames, add_names, compare_names, origins
from doubtwort.notebook.taxa import add_taxon, find_taxon, join_taxa, remove_name, rename_taxon, taxa
from doubtwort.taxa.names import same_family

SOURCE = "http://names.example/v1/species/101"
FOUND = FoundNames(
    "Fictaria silvana", "Fictaria silvana", "Fictariaceae", ("Fictaria mollis", "Vaguelia silvana"),
    (("fictwort", "en"), ("Fiktkraut", "de"), ("wood fictary", "")), SOURCE, "2026-11-25",
)  # fmt: skip


@pytest.fixture
def notebook(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as opened:
        yield opened


def conflicts(addition) -> dict[str, str]:
    return {each.what: each.kept for each in addition.conflicts}


def test_a_new_taxon_with_its_names_and_their_origin(notebook):
    planned = compare_names(notebook, FOUND, rename=False)
    assert taxa(notebook) == ()  # nothing is kept by looking
    assert add_names(notebook, FOUND, rename=False) == planned
    kept = find_taxon(notebook, "fiktkraut")
    assert (kept.scientific_name, kept.family, kept.remarks) == ("Fictaria silvana", "Fictariaceae", "")
    assert (kept.synonyms, kept.common_names) == (FOUND.synonyms, FOUND.common_names)
    told = origins(notebook)[kept.id]
    assert {each.name for each in told} == {*FOUND.synonyms, "fictwort", "Fiktkraut", "wood fictary"}
    assert {(each.source, each.retrieved) for each in told} == {(SOURCE, "2026-11-25")}
    assert [each.what for each in events(notebook)] == [f"names of Fictaria silvana according to {SOURCE}, 2026-11-25"]


def test_undone_and_done_again(notebook):
    add_names(notebook, FOUND, rename=False)
    undone = undo(notebook)
    assert taxa(notebook) == ()
    assert origins(notebook) == {}
    undo(notebook, events(notebook)[0].id)
    kept = find_taxon(notebook, "Fictaria silvana")
    assert (kept.synonyms, kept.common_names) == (FOUND.synonyms, FOUND.common_names)
    assert len(origins(notebook)[kept.id]) == 5
    assert undone.undoable


def test_the_same_answer_again_adds_nothing_and_leaves_no_event(notebook):
    add_names(notebook, FOUND, rename=False)
    again = add_names(notebook, FOUND, rename=True)
    assert again.is_empty
    assert again.conflicts == ()
    assert len(events(notebook)) == 1


def test_what_the_user_wrote_stays_and_has_no_origin(notebook):
    mine = Taxon("Fictaria silvana", ("Fictaria mollis",), ("Fictwort", "wood fictary"), "Vagueliaceae")
    add_taxon(notebook, mine, language="en", remarks="By the brook.")
    added = add_names(notebook, FOUND, rename=True, same_family=same_family)
    kept = find_taxon(notebook, "Fictaria silvana")
    assert (kept.family, kept.remarks) == ("Vagueliaceae", "By the brook.")
    assert kept.synonyms == ("Fictaria mollis", "Vaguelia silvana")
    assert kept.common_names == (("Fictwort", "en"), ("wood fictary", "en"), ("Fiktkraut", "de"))
    assert (added.family, added.synonyms, added.common_names) == ("", ("Vaguelia silvana",), (("Fiktkraut", "de"),))
    assert conflicts(added) == {"family": "Vagueliaceae stays"}
    assert {each.name for each in origins(notebook)[kept.id]} == {"Vaguelia silvana", "Fiktkraut"}
    undo(notebook)
    assert find_taxon(notebook, "Fictaria silvana").common_names == (("Fictwort", "en"), ("wood fictary", "en"))


def test_old_and_new_names_of_a_family_are_no_conflict(notebook):
    # Conserved family names, Shenzhen Code Art. 18.5.
    add_taxon(notebook, Taxon("Fictaria silvana", family="Umbelliferae"))
    added = add_names(notebook, replace(FOUND, family="Apiaceae"), rename=False, same_family=same_family)
    assert added.conflicts == ()
    assert find_taxon(notebook, "Fictaria silvana").family == "Umbelliferae"


def test_another_accepted_name_is_told_and_taken_over_only_when_asked(notebook):
    add_taxon(notebook, Taxon("Fictaria mollis", ("Fictaria silvana",)))
    found = replace(FOUND, asked="Fictaria mollis")
    told = add_names(notebook, found, rename=False)
    assert (told.taxon, told.former) == ("Fictaria mollis", "")
    assert conflicts(told) == {"accepted name": "Fictaria mollis stays; to take the other over: --rename"}
    assert find_taxon(notebook, "Fictaria silvana").scientific_name == "Fictaria mollis"
    done = add_names(notebook, found, rename=True)
    assert (done.taxon, done.former) == ("Fictaria silvana", "Fictaria mollis")
    kept = find_taxon(notebook, "Fictaria mollis")
    assert kept.scientific_name == "Fictaria silvana"
    assert [(each.name, each.until, each.reason) for each in kept.former_names] == [
        ("Fictaria mollis", "2026-11-25", f"according to {SOURCE}")
    ]
    assert "Fictaria silvana" not in kept.synonyms
    undo(notebook)
    back = find_taxon(notebook, "Fictaria silvana")
    assert (back.scientific_name, back.former_names) == ("Fictaria mollis", ())
    assert "Fictaria silvana" in back.synonyms


def test_a_taxon_that_the_user_renamed_is_not_renamed_back(notebook):
    add_taxon(notebook, Taxon("Fictaria silvana"))
    rename_taxon(notebook, "Fictaria silvana", "Neofictaria silvana", reason="a newer book")
    added = add_names(notebook, FOUND, rename=False)
    assert (added.taxon, list(conflicts(added))) == ("Neofictaria silvana", ["accepted name"])
    assert len(taxa(notebook)) == 1
    assert find_taxon(notebook, "Fiktkraut").scientific_name == "Neofictaria silvana"


def test_two_taxa_of_the_notebook_are_kept_apart(notebook):
    add_taxon(notebook, Taxon("Fictaria mollis"))
    add_taxon(notebook, Taxon("Fictaria silvana"))
    added = add_names(notebook, replace(FOUND, asked="Fictaria mollis"), rename=True)
    assert "doubtwort taxon join" in conflicts(added)["accepted name"]
    assert "left out" in conflicts(added)["synonym Fictaria mollis"]
    assert find_taxon(notebook, "Fictaria mollis").scientific_name == "Fictaria mollis"
    assert find_taxon(notebook, "Fictaria silvana").synonyms == ("Vaguelia silvana",)


def test_names_of_other_taxa_are_left_out_and_told(notebook):
    add_taxon(notebook, Taxon("Vaguelia aspera", ("Vaguelia silvana",), ("FICTWORT",)))
    added = add_names(notebook, FOUND, rename=False)
    assert {each.what: each.here for each in added.conflicts} == {
        "synonym Vaguelia silvana": "a name of Vaguelia aspera",
        "common name fictwort": "also of Vaguelia aspera",
    }
    assert find_taxon(notebook, "fictwort").scientific_name == "Vaguelia aspera"
    assert find_taxon(notebook, "Vaguelia silvana").scientific_name == "Vaguelia aspera"


def test_a_common_name_of_another_language_is_told(notebook):
    add_taxon(notebook, Taxon("Fictaria silvana", (), ("Fiktkraut",)), language="nl")
    added = add_names(notebook, FOUND, rename=False)
    assert [(each.what, each.here, each.there) for each in added.conflicts] == [("language of Fiktkraut", "nl", "de")]
    assert ("Fiktkraut", "de") not in find_taxon(notebook, "Fictaria silvana").common_names


def test_a_synonym_of_several_taxa_has_to_be_sorted_out_first(notebook):
    for name in ("Vaguelia aspera", "Vaguelia levis"):
        add_taxon(notebook, Taxon(name, ("Fictaria silvana",)))
    with pytest.raises(CallError, match="a synonym of several taxa in this notebook: Vaguelia aspera, Vaguelia levis"):
        add_names(notebook, FOUND, rename=False)
    assert len(events(notebook)) == 2


def test_origins_follow_names_that_are_taken_away_moved_or_written_again(notebook):
    add_names(notebook, FOUND, rename=False)
    kept = find_taxon(notebook, "Fictaria silvana")
    remove_name(notebook, "Fictaria silvana", "Fiktkraut")
    assert "Fiktkraut" not in {each.name for each in origins(notebook)[kept.id]}
    undo(notebook)
    assert "Fiktkraut" in {each.name for each in origins(notebook)[kept.id]}
    add_taxon(notebook, Taxon("Neofictaria silvana"))
    join_taxa(notebook, "Fictaria silvana", "Neofictaria silvana")
    other = find_taxon(notebook, "Neofictaria silvana")
    assert {each.name for each in origins(notebook)[other.id]} >= {"Fiktkraut", "Fictaria mollis"}


def test_names_are_bounded_and_kept_whole(notebook):
    many = tuple((f"fictary {number}\x00", "en") for number in range(500))
    add_names(notebook, replace(FOUND, common_names=many), rename=False)
    kept = find_taxon(notebook, "Fictaria silvana")
    assert len(kept.common_names) == 200
    assert kept.common_names[0][0] == "fictary 0\x00"
