"""Two notebooks become one: nothing is lost, what differs is told, and nothing becomes more acceptable by it."""

from __future__ import annotations

import sqlite3
from contextlib import closing
from dataclasses import replace

import pytest
from hypothesis import HealthCheck, given, settings

from doubtwort.errors import CallError, NotebookDamaged, NotebookTooNew
from doubtwort.model import Rating, Taxon, Wording
from doubtwort.notebook import KeptFetcher, NotebookKeeper, open_notebook
from doubtwort.notebook.backups import backups
from doubtwort.notebook.claims_by_hand import Medium, Origin, claim_and_origin, record_claim
from doubtwort.notebook.history import events, undo
from doubtwort.notebook.merge import merge
from doubtwort.notebook.notes import Tasting, add_tasting, tastings
from doubtwort.notebook.places import Place, Precision, add_place, places
from doubtwort.notebook.search import search
from doubtwort.notebook.shelf import Passage, keep_passage, transcript
from doubtwort.notebook.taxa import add_taxon, find_taxon, rename_taxon, taxa
from doubtwort.notebook.vetted import Decision, Status, decide, entries, entry
from notebook.notebook_values import TAXON, a_claim, an_audit, fetched
from sharing.sharing_samples import SILVANA, everything, keep, rows, shape, steps


@pytest.fixture
def two(tmp_path):
    return tmp_path / "mine.sqlite", tmp_path / "theirs.sqlite"


def rated(path, label="c1", rating=Rating.SUPPORTED, at="2026-11-25T10:00:00Z", **of):
    """An audit that was finished at that time."""
    audit = replace(an_audit(label, rating=rating), audited_at=at)
    with open_notebook(path) as notebook:
        number = notebook.keep_audit(replace(audit, claim=replace(audit.claim, **of)))
        with notebook.writing() as db:
            db.execute("UPDATE audits SET started_at = ?, finished_at = ? WHERE id = ?", (at, at, number))


def decided(path, status, reason="", part="leaf", taxon=SILVANA, **more):
    claims = ("c1",) if status is Status.ACCEPTED and "despite" not in more else None
    with open_notebook(path) as notebook:
        return decide(notebook, taxon, part, "", Decision(status, reason, claims=claims, **more))


def merged(two):
    mine, theirs = two
    before = rows(theirs)
    with open_notebook(mine) as notebook:
        done = merge(notebook, theirs)
        notebook.check()
    assert rows(theirs) == before  # the other is only read
    return done


def the_entry(path):
    with open_notebook(path) as notebook:
        (found,) = entries(notebook)
        return found


# ------------------------------------------------------------------------------------------------ as a whole


@given(steps, steps)
@settings(max_examples=12, deadline=None, suppress_health_check=list(HealthCheck))
def test_nothing_of_either_is_lost_and_a_second_merge_changes_nothing(tmp_path_factory, one, other):
    folder = tmp_path_factory.mktemp("two")
    mine, theirs = keep(folder / "mine.sqlite", one), keep(folder / "theirs.sqlite", other)
    here, there = shape(mine), shape(theirs)
    accepted = {each["part"] for each in here["entries"] if each["status"] == "accepted"}
    rejected = {each["part"] for each in here["entries"] if each["status"] == "rejected"}
    accepted_there = {each["part"] for each in there["entries"] if each["status"] == "accepted"}
    decided_here = {each["part"] for each in here["entries"]}
    merged((mine, theirs))
    after = shape(mine)
    for side in (here, there):
        kept = repr([audit for _, (_, _, audits) in after["claims"] for audit in audits])
        for _, (claim, _, audits) in side["claims"]:
            assert repr(claim.quote) in repr(after["claims"])
            for audit in audits:
                assert repr(audit.sources) in kept
        for table in ("tastings", "places"):
            for row in side[table]:
                assert after[table].count(row) >= side[table].count(row)
    for each in after["entries"]:
        if each["status"] == "accepted":
            assert each["part"] in accepted or (each["part"] in accepted_there and each["part"] not in decided_here)
        if each["part"] in rejected:
            assert each["status"] == "rejected"
    merged((mine, theirs))
    again = shape(mine)
    assert again == after


def test_of_everything_into_nothing(two, tmp_path):
    mine, theirs = two
    everything(theirs)
    done = merged(two)
    assert (done.conflicts, done.back_to_waiting, done.backup) == ((), (), None)
    assert shape(mine) == shape(theirs)
    assert {table: len(found) for table, found in rows(mine, ("history", "changes")).items()} == {
        table: len(found) for table, found in rows(theirs, ("history", "changes")).items()
    }
    with open_notebook(mine) as notebook:
        assert search(notebook, "itching")
        assert notebook.db.execute("SELECT count(*) FROM search_queue").fetchone()[0] == 0


def test_a_merge_is_told_in_the_history_and_the_way_back_is_its_backup(two):
    mine, theirs = two
    rated(mine)
    rated(theirs, "c2", Rating.CORROBORATED, url="http://other.example/")
    before = shape(mine)
    done = merged(two)
    assert done.added["claims"] == 1
    with open_notebook(mine) as notebook:
        told = events(notebook)[0]
    assert (told.what, told.undoable) == ("merged with theirs.sqlite: 1 claims, 1 audits; 0 conflicts", False)
    (backup,) = backups(mine)
    assert (backup.path, backup.claims, backup.sound) == (done.backup, 1, True)
    assert shape(backup.path) == before


def test_an_undo_after_a_merge_takes_back_nothing_else_unasked(two):
    mine, theirs = two
    rated(mine)
    decided(mine, Status.REJECTED, "no")
    rated(theirs, "c2", url="http://other.example/")
    merged(two)
    before = shape(mine)
    with open_notebook(mine) as notebook:
        merge_event, earlier = events(notebook)[:2]
        for event in (None, merge_event.id):
            with pytest.raises(CallError, match="the way back is the backup") as caught:
                undo(notebook, event)
            assert "\n" not in str(caught.value)
        assert shape(mine) == before
        assert undo(notebook, earlier.id).what == earlier.what
        add_tasting(notebook, SILVANA, Tasting(taste="sour"))
        assert undo(notebook).what == f"tasting note on {SILVANA}"


def test_a_second_merge_within_a_second_has_a_backup_of_its_own(two):
    mine, theirs = two
    rated(mine)
    rated(theirs, "c2", url="http://other.example/")
    one = merged(two).backup
    rated(theirs, "c3", url="http://third.example/")
    two_ = merged(two).backup
    assert one != two_
    assert {each.claims for each in backups(mine)} == {1, 2}


def test_a_merge_that_adds_nothing_leaves_no_trace(two):
    mine, theirs = two
    everything(mine)
    with open_notebook(mine) as notebook, notebook.reading() as db, closing(sqlite3.connect(theirs)) as copy:
        db.conn.backup(copy)
    before = rows(mine)
    done = merged(two)
    assert (done.added, done.conflicts, done.backup) == ({}, (), None)
    assert rows(mine) == before
    assert backups(mine) == ()


@pytest.mark.parametrize(
    ("prepare", "error", "said"),
    [
        (lambda path: None, CallError, "no notebook"),
        (lambda path: path.write_bytes(b"x" * 5000), NotebookDamaged, "not a sound notebook"),
        (lambda path: path.write_bytes(b""), NotebookDamaged, "it is empty"),
        (lambda path: too_new(path), NotebookTooNew, "later version"),
    ],
)
def test_what_is_no_notebook_is_refused_and_nothing_changes(two, prepare, error, said):
    mine, theirs = two
    rated(mine)
    before = rows(mine)
    prepare(theirs)
    with open_notebook(mine) as notebook, pytest.raises(error, match=said) as caught:
        merge(notebook, theirs)
    assert "\n" not in str(caught.value)
    assert str(theirs) in str(caught.value)  # not the copy that was looked at
    assert rows(mine) == before
    assert backups(mine) == ()


def too_new(path):
    rated(path)
    with closing(sqlite3.connect(path)) as connection:
        connection.execute("PRAGMA user_version = 99")


def test_itself_is_refused(two):
    rated(two[0])
    with open_notebook(two[0]) as notebook, pytest.raises(CallError, match="this very notebook"):
        merge(notebook, two[0])


def test_one_that_is_open_elsewhere_is_read_as_it_is_now(two):
    mine, theirs = two
    with open_notebook(theirs) as busy:
        busy.keep_audit(an_audit("c7"))  # still in the write-ahead log
        with open_notebook(mine) as notebook:
            assert merge(notebook, theirs).added["claims"] == 1


def test_one_that_is_damaged_in_its_middle_takes_nothing_along(two):
    mine, theirs = two
    rated(mine)
    everything(theirs)
    with closing(sqlite3.connect(theirs)) as connection:
        connection.execute("UPDATE audits SET rating = 'splendid'")
        connection.commit()
    before = rows(mine)
    with open_notebook(mine) as notebook, pytest.raises(NotebookDamaged, match="'splendid' is no word"):
        merge(notebook, theirs)
    assert rows(mine) == before
    assert backups(mine) == ()


# ------------------------------------------------------------------------------------------------ entries


CASES = [
    # mine, theirs, after: never more acceptable than either of the two
    (Status.ACCEPTED, Status.REJECTED, Status.WAITING),
    (Status.ACCEPTED, Status.WAITING, Status.WAITING),
    (Status.ACCEPTED, Status.ACCEPTED, Status.ACCEPTED),
    (Status.WAITING, Status.ACCEPTED, Status.WAITING),
    (Status.WAITING, Status.REJECTED, Status.WAITING),
    (Status.REJECTED, Status.ACCEPTED, Status.REJECTED),
    (Status.REJECTED, Status.WAITING, Status.REJECTED),
    (None, Status.ACCEPTED, Status.ACCEPTED),
    (None, Status.REJECTED, Status.REJECTED),
]


@pytest.mark.parametrize(("mine", "theirs", "after"), CASES)
def test_two_decisions_on_one_thing(two, mine, theirs, after):
    for path, status in zip(two, (mine, theirs), strict=True):
        rated(path)
        if status:
            decided(path, status, f"because of {path.stem}")
    done = merged(two)
    kept = the_entry(two[0])
    assert kept.status is after
    assert done.back_to_waiting == (("v1",) if (mine, after) == (Status.ACCEPTED, Status.WAITING) else ())
    if mine:
        assert "because of mine" in kept.reason
        assert "because of theirs" in kept.reason + kept.waiting_because
        (conflict,) = done.conflicts
        assert "because of mine" in conflict.here
        assert "because of theirs" in conflict.there
    if (mine, after) == (Status.ACCEPTED, Status.WAITING):
        assert f"has it as {theirs.value}" in kept.waiting_because
    again = merged(two)
    assert the_entry(two[0]) == kept
    assert again.back_to_waiting == ()


def test_an_accepted_entry_of_the_other_waits_where_this_notebook_holds_a_warning(two):
    mine, theirs = two
    rated(mine, "w1", Rating.DISPUTED, url="http://warner.example/")
    rated(theirs)
    decided(theirs, Status.ACCEPTED)
    done = merged(two)
    assert done.back_to_waiting == ("v1",)
    assert "claim w1 is disputed" in the_entry(mine).waiting_because


def test_an_accepted_entry_here_waits_when_a_warning_comes_in(two):
    mine, theirs = two
    rated(mine)
    decided(mine, Status.ACCEPTED)
    rated(theirs, "w1", Rating.SUPPORTED, wording=Wording.TOXIC, quote="It kills.", url="http://warner.example/")
    assert merged(two).back_to_waiting == ("v1",)
    assert "calls it toxic" in the_entry(mine).waiting_because


def test_a_reason_for_accepting_all_the_same_covers_nothing_that_it_did_not_know(two):
    """Theirs was accepted in the face of a claim c1; c1 here is another claim, and disputed too."""
    mine, theirs = two
    rated(mine, "c1", Rating.DISPUTED, quote="All of it is food.", url="http://mine.example/")
    rated(theirs, "c1", Rating.DISPUTED)
    decided(theirs, Status.ACCEPTED, despite="I have eaten it for years")
    done = merged(two)
    kept = the_entry(mine)
    assert (kept.status, done.back_to_waiting) == (Status.WAITING, ("v1",))
    assert kept.waiting_because == "claim c1 is disputed."  # c1-2 was known, c1 was not
    assert {each.id for each in open_claims(mine)} == {"c1", "c1-2"}


def open_claims(path):
    with open_notebook(path) as notebook:
        return notebook.claims()


def test_why_it_was_accepted_there_does_not_excuse_it_here(two):
    for path, despite in zip(two, ("", "all the same"), strict=True):
        rated(path)
        decided(path, Status.ACCEPTED)
        if despite:
            rated(path, "w1", Rating.DISPUTED, url="http://warner.example/")
            decided(path, Status.ACCEPTED, despite=despite)
    assert merged(two).back_to_waiting == ("v1",)
    assert the_entry(two[0]).despite == ""


def test_months_are_joined_and_the_earlier_review_counts(two):
    for path, month, review in ((two[0], 4, "2028-01-01"), (two[1], 9, "2027-01-01")):
        rated(path)
        decided(path, Status.REJECTED, months=(month,), review_on=review)
    merged(two)
    kept = the_entry(two[0])
    assert (kept.months, kept.review_on) == ((4, 9), "2027-01-01")


# ------------------------------------------------------------------------------------------------ ratings


RATINGS = [
    # mine (day, rating), theirs, which counts after
    ((1, Rating.SUPPORTED), (2, Rating.CORROBORATED), Rating.CORROBORATED),
    ((2, Rating.SUPPORTED), (1, Rating.CORROBORATED), Rating.SUPPORTED),
    ((2, Rating.SUPPORTED), (1, Rating.DISPUTED), Rating.DISPUTED),
    ((1, Rating.CONTRADICTED), (2, Rating.SUPPORTED), Rating.CONTRADICTED),
    ((1, Rating.CONTRADICTED), (2, Rating.DISPUTED), Rating.DISPUTED),
]


@pytest.mark.parametrize(("mine", "theirs", "counts"), RATINGS)
def test_of_two_ratings_the_later_counts_unless_the_other_alarms(two, mine, theirs, counts):
    for path, (day, rating) in zip(two, (mine, theirs), strict=True):
        rated(path, rating=rating, at=f"2026-11-{day:02}T10:00:00Z")
    done = merged(two)
    with open_notebook(two[0]) as notebook:
        (row,) = notebook.claims()
        assert row.rating is counts
        assert notebook.audit("c1").rating is counts
        assert notebook.audit("c1").claim == a_claim("c1")
        assert {each.rating for each in notebook.history("c1")} == {mine[1], theirs[1]}
        alarm = notebook.db.execute("SELECT alarm FROM claim_ratings").fetchone()[0]
        assert bool(alarm) is (counts in (Rating.DISPUTED, Rating.CONTRADICTED))
        viewed = notebook.db.execute("SELECT latest_rating FROM claims_with_rating").fetchone()[0]
        assert viewed == counts
    (conflict,) = done.conflicts
    assert (mine[1].value in conflict.here, theirs[1].value in conflict.there) == (True, True)
    assert merged(two).added == {}


def test_what_the_other_went_on_to_find_is_no_conflict(two):
    """Theirs began as a copy of mine, and the claim was audited again there: that is its history going on."""
    mine, theirs = two
    rated(mine, rating=Rating.DISPUTED, at="2026-11-01T10:00:00Z")
    with open_notebook(mine) as notebook, notebook.reading() as db, closing(sqlite3.connect(theirs)) as copy:
        db.conn.backup(copy)
    rated(theirs, rating=Rating.SUPPORTED, at="2026-11-09T10:00:00Z")
    done = merged(two)
    assert done.conflicts == ()
    (row,) = open_claims(mine)
    assert row.rating is Rating.SUPPORTED


# ------------------------------------------------------------------------------------------------ claims


def test_one_page_taken_in_twice_is_one_claim_in_two_versions(two):
    with open_notebook(two[0]) as notebook:
        notebook.keep_claim(a_claim("c1", 2))
    with open_notebook(two[1]) as notebook:
        notebook.keep_claim(a_claim("c1", 3))
    (conflict,) = merged(two).conflicts
    assert ("2 sources" in conflict.here, "3 sources" in conflict.there) == (True, True)
    with open_notebook(two[0]) as notebook:
        assert notebook.claim("c1") == a_claim("c1", 2)
        digests = notebook.db.execute("SELECT count(*) FROM claims WHERE label = 'c1'").fetchone()[0]
    assert digests == 2
    assert merged(two).conflicts == ()


def test_one_id_for_two_claims_gives_the_others_an_id_of_its_own(two):
    origin = Origin(Medium.TALK, "A walk")
    for path, quote in zip(two, ("Roots are eaten.", "Leaves are eaten."), strict=True):
        with open_notebook(path) as notebook:
            record_claim(notebook, replace(a_claim("h1", 1), quote=quote, url=""), origin)
            decide(notebook, SILVANA, path.stem[:1], "", Decision(Status.WAITING, claims=("h1",)))
    (conflict,) = merged(two).conflicts
    assert conflict.kept == "two claims: the other's is h1-2 here"
    with open_notebook(two[0]) as notebook:
        assert {each.id: each.quote for each in notebook.claims()} == {
            "h1": "Roots are eaten.", "h1-2": "Leaves are eaten.",
        }  # fmt: skip
        rests = {each.part: [one.claim for one in each.claims] for each in entries(notebook)}
        assert rests == {"m": ["h1"], "t": ["h1-2"]}
        assert claim_and_origin(notebook, "h1-2")[1] == origin
    assert merged(two).added == {}
    assert {each.id for each in open_claims(two[0])} == {"h1", "h1-2"}


def test_what_the_other_heard_of_the_same_claim_is_kept_beside(two):
    for path, role in zip(two, ("guide", "author"), strict=True):
        with open_notebook(path) as notebook:
            claim = replace(a_claim("h1", 1), url="")
            record_claim(notebook, claim, Origin(Medium.TALK, "A walk", role=role))
    (conflict,) = merged(two).conflicts
    with open_notebook(two[0]) as notebook:
        _, origin = claim_and_origin(notebook, "h1")
    assert (origin.role, "author" in origin.remarks, "guide" in conflict.here) == ("guide", True, True)
    assert merged(two).conflicts == ()


# ------------------------------------------------------------------------------------------------ taxa


def test_names_are_joined_and_another_family_is_told(two):
    for path, family, common in zip(two, ("Fictariaceae", "Vagaceae"), ("fictwort", "mock fictary"), strict=True):
        with open_notebook(path) as notebook:
            add_taxon(notebook, Taxon(SILVANA, (), (common,), family), language="en", remarks=f"of {path.stem}")
    (conflict,) = merged(two).conflicts
    assert (conflict.here, conflict.there) == ("Fictariaceae", "Vagaceae")
    with open_notebook(two[0]) as notebook:
        found = find_taxon(notebook, SILVANA)
    assert found.common_names == (("fictwort", "en"), ("mock fictary", "en"))
    assert found.family == "Fictariaceae"
    assert ("Vagaceae" in found.remarks, "of mine" in found.remarks, "of theirs" in found.remarks) == (True,) * 3
    merged(two)
    with open_notebook(two[0]) as notebook:
        assert find_taxon(notebook, SILVANA) == found


@pytest.mark.parametrize("renamed", ["mine", "theirs"])
def test_a_taxon_that_was_renamed_in_one_of_them_stays_one(two, renamed):
    for path in two:
        rated(path, path.stem, url=f"http://{path.stem}.example/")
        if path.stem == renamed:
            with open_notebook(path) as notebook:
                rename_taxon(notebook, SILVANA, "Fictaria nova")
    (conflict,) = merged(two).conflicts
    with open_notebook(two[0]) as notebook:
        (taxon,) = taxa(notebook)
        accepted = "Fictaria nova" if renamed == "mine" else SILVANA
        assert taxon.scientific_name == accepted
        assert taxon.claims == 2
        assert {*taxon.taxon.synonyms} >= {"Fictaria nova", SILVANA} - {accepted}
        assert {each.taxon for each in notebook.claims()} == {accepted}
    assert {conflict.here, conflict.there} == {SILVANA, "Fictaria nova"}


def test_an_entry_accepted_under_another_name_waits(two):
    mine, theirs = two
    with open_notebook(mine) as notebook:
        add_taxon(notebook, TAXON)
    rated(theirs)
    decided(theirs, Status.ACCEPTED)
    with open_notebook(theirs) as notebook:
        rename_taxon(notebook, SILVANA, "Fictaria nova")
    assert merged(two).back_to_waiting == ("v1",)
    kept = the_entry(mine)
    assert "under the name Fictaria nova" in kept.waiting_because
    assert merged(two).back_to_waiting == ()
    assert the_entry(mine) == kept  # a second merge tells nothing twice


def test_new_words_on_an_entry_that_waits_under_another_name_are_kept(two):
    """What was told at an earlier merge is no reason to drop what the other has written since."""
    mine, theirs = two
    with open_notebook(mine) as notebook:
        add_taxon(notebook, TAXON)
    rated(theirs)
    decided(theirs, Status.ACCEPTED, "tried it")
    with open_notebook(theirs) as notebook:
        rename_taxon(notebook, SILVANA, "Fictaria nova")
    merged(two)
    decided(theirs, Status.ACCEPTED, "asked the guide of a walk", taxon="Fictaria nova")
    merged(two)
    kept = the_entry(mine)
    assert "asked the guide of a walk" in kept.reason + kept.waiting_because
    merged(two)
    assert the_entry(mine) == kept


@pytest.mark.parametrize("status", [Status.ACCEPTED, Status.WAITING])
def test_an_entry_that_waits_here_for_what_this_notebook_holds_is_told_once(two, status):
    mine, theirs = two
    rated(mine, "w1", Rating.DISPUTED, url="http://warner.example/")
    rated(theirs)
    decided(theirs, Status.ACCEPTED, "tried it")
    merged(two)
    if status is Status.WAITING:
        decided(theirs, Status.WAITING, "in doubt")
        merged(two)
    kept = the_entry(mine)
    merged(two)
    assert the_entry(mine) == kept


def test_a_synonym_carries_no_claims_from_one_taxon_to_another(two):
    rated(two[0], taxon=Taxon(SILVANA))
    rated(two[1], "c2", taxon=Taxon("Vaguelia aspera", (SILVANA,)), url="http://other.example/")
    merged(two)
    assert {each.id: each.taxon for each in open_claims(two[0])} == {"c1": SILVANA, "c2": "Vaguelia aspera"}


def test_two_taxa_here_that_are_one_there_are_kept_apart_and_told(two):
    with open_notebook(two[0]) as notebook:
        add_taxon(notebook, Taxon(SILVANA))
        add_taxon(notebook, Taxon("Vaguelia aspera"))
    with open_notebook(two[1]) as notebook:
        add_taxon(notebook, Taxon(SILVANA))
        rename_taxon(notebook, SILVANA, "Vaguelia aspera")
        rename_taxon(notebook, "Vaguelia aspera", "Fictaria nova")
    (conflict,) = merged(two).conflicts
    assert "doubtwort taxon join" in conflict.kept
    with open_notebook(two[0]) as notebook:
        assert {each.scientific_name for each in taxa(notebook)} == {SILVANA, "Vaguelia aspera", "Fictaria nova"}


# ------------------------------------------------------------------------------------------------ pages and notes


@pytest.mark.parametrize("later", ["mine", "theirs"])
def test_an_older_page_does_not_pass_for_the_newer_one(two, later):
    for path in two:
        day = 9 if path.stem == later else 2
        with open_notebook(path) as notebook:
            NotebookKeeper(notebook).keep_fetch(fetched("http://herb.example/f", f"<p>{path.stem}".encode(), day))
            body = f"Transcribed by {path.stem}.".encode()
            keep_passage(notebook, Passage("slip", "c1", "0" * 64, "Alder 1998", "?", "text", "12", body))
            with notebook.writing() as db:
                db.execute("UPDATE transcripts SET filled_at = ?", (f"2026-11-{day:02}T10:00:00Z",))
    (conflict,) = merged(two).conflicts
    assert "the latest is read" in conflict.kept
    with open_notebook(two[0]) as notebook:
        assert KeptFetcher(notebook).fetch("http://herb.example/f").body == f"<p>{later}".encode()
        assert transcript(notebook, "c1", "0" * 64).body == f"Transcribed by {later}.".encode()
        assert notebook.db.execute("SELECT count(*) FROM fetches").fetchone()[0] == 2
        assert notebook.db.execute("SELECT count(*) FROM transcripts").fetchone()[0] == 2


def test_notes_get_ids_that_are_free_and_equal_ones_are_kept_as_often_as_they_were_written(two):
    for path in two:
        with open_notebook(path) as notebook:
            add_taxon(notebook, TAXON)
            for taste in ("sour", "sour", path.stem):
                add_tasting(notebook, SILVANA, Tasting(taste=taste, tasted_on="2026-05-01"))
            with notebook.writing() as db:
                db.execute("UPDATE tastings SET recorded_at = '2026-05-01T10:00:00Z'")
    merged(two)
    with open_notebook(two[0]) as notebook:
        found = {each.id: each.tasting.taste for each in tastings(notebook)}
    assert found == {"n1": "sour", "n2": "sour", "n3": "mine", "n4": "theirs"}


@pytest.mark.parametrize("coarse", ["mine", "theirs"])
def test_a_place_that_was_given_out_coarsened_is_known_again_and_the_exact_one_kept(two, coarse):
    for path in two:
        with open_notebook(path) as notebook:
            add_taxon(notebook, TAXON)
            if path.stem == coarse:
                add_place(notebook, SILVANA, Place(Precision.TEN_KILOMETRES, 51.1, -1.0, "Low Hills"))
            else:
                add_place(notebook, SILVANA, Place(Precision.EXACT, 51.123456, -0.98765, "Low Hills", "the oak"))
            with notebook.writing() as db:
                db.execute("UPDATE places SET recorded_at = '2026-05-01T10:00:00Z'")
    merged(two)
    with open_notebook(two[0]) as notebook:
        (place,) = places(notebook, exact=True)
    assert (place.place.latitude, place.place.spot) == (51.123456, "the oak")


def test_an_unfinished_audit_comes_along_with_its_pages(two):
    with open_notebook(two[1]) as notebook:
        keeper = NotebookKeeper(notebook)
        keeper.start(a_claim("c1"))
        keeper.keep_fetch(fetched("http://s1.example/p"))
        keeper.keep_source(an_audit("c1").sources[0])
    merged(two)
    with open_notebook(two[0]) as notebook:
        again = NotebookKeeper(notebook)
        again.start(a_claim("c1"))
        assert (again.resumed, again.kept("http://s1.example/p") is not None) == (True, True)


def test_an_entry_keeps_its_id_where_it_is_free(two):
    rated(two[1])
    decided(two[1], Status.REJECTED, part="root")
    decided(two[1], Status.REJECTED, part="leaf")
    rated(two[0])
    decided(two[0], Status.REJECTED, part="stem")
    merged(two)
    with open_notebook(two[0]) as notebook:
        assert {each.part: each.id for each in entries(notebook)} == {"stem": "v1", "root": "v2", "leaf": "v3"}
        assert entry(notebook, "v3").part == "leaf"
