"""The rule of the vetted list: what is refused, what moves an entry back to waiting, what is shown with it."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from notebook_values import TAXON, a_claim, an_audit

from doubtwort.errors import CallError, NotAccepted, NotInNotebook
from doubtwort.model import Caution, Rating, Taxon, Wording
from doubtwort.notebook import NotebookKeeper, open_notebook
from doubtwort.notebook.claims_by_hand import delete_claim
from doubtwort.notebook.history import events, undo
from doubtwort.notebook.notes import Tasting, add_tasting
from doubtwort.notebook.vetted import Decision, Status, decide, decide_again, delete_entry, entries, entry, look_again

NAME = TAXON.scientific_name
GOOD = (Rating.SUPPORTED, Rating.CORROBORATED)
ALARMING = (Rating.CONTRADICTED, Rating.DISPUTED)


@pytest.fixture
def notebook(tmp_path):
    with open_notebook(tmp_path / "n.sqlite") as opened:
        yield opened


def audited(notebook, label="c1", rating=Rating.SUPPORTED, **changes):
    """A claim with that rating; ``changes`` are of the claim."""
    audit = an_audit(label, rating=rating)
    notebook.keep_audit(replace(audit, claim=replace(audit.claim, **changes), cautions=()))


def accept(notebook, *claims, part="leaf", preparation="", **decision):
    return decide(notebook, NAME, part, preparation, Decision(Status.ACCEPTED, claims=claims, **decision))


@pytest.mark.parametrize("rating", Rating)
def test_one_claim_decides_by_its_rating(notebook, rating):
    audited(notebook, rating=rating)
    if rating in GOOD:
        made = accept(notebook, "c1")
        assert (made.status, made.objections, made.despite) == (Status.ACCEPTED, (), "")
        return
    with pytest.raises(NotAccepted) as caught:
        accept(notebook, "c1")
    assert "\n" not in str(caught.value)
    assert caught.value.objections[0] == (
        f"claim c1 is {rating.value}"
        if rating in ALARMING
        else "no claim that it rests on, for this part and preparation, is supported"
    )
    assert entries(notebook) == ()  # nothing of a refused decision is kept
    made = accept(notebook, "c1", despite="I know the root.")
    assert (made.status, made.despite) == (Status.ACCEPTED, "I know the root.")
    assert entry(notebook, made.id).despite == "I know the root."


@pytest.mark.parametrize(
    ("part", "preparation", "covered"),
    [("leaf", "boiled", True), ("leaf", "", False), ("root", "boiled", False), ("", "boiled", False), ("", "", False)],
)
def test_a_claim_about_boiled_leaves_bears_boiled_leaves_alone(notebook, part, preparation, covered):
    audited(notebook, parts=("leaf",), preparations=("boiled",))
    if covered:
        assert accept(notebook, "c1", part=part, preparation=preparation).status is Status.ACCEPTED
    else:
        with pytest.raises(NotAccepted):
            accept(notebook, "c1", part=part, preparation=preparation)


@pytest.mark.parametrize("wording", [each for each in Wording if each is not Wording.EDIBLE])
def test_only_a_claim_of_edible_bears_eating(notebook, wording):
    audited(notebook, wording=wording)
    with pytest.raises(NotAccepted):
        accept(notebook, "c1")


def test_a_claim_about_another_taxon_bears_nothing(notebook):
    audited(notebook, taxon=Taxon("Vaguelia aspera"))
    notebook.keep_claim(a_claim("c2"))
    with pytest.raises(NotAccepted):
        accept(notebook, "c1", "c2")


@pytest.mark.parametrize("rating", ALARMING)
@pytest.mark.parametrize(
    ("parts", "stands_against"), [((), True), (("leaf",), True), (("whole plant",), True), (("root",), False)]
)
def test_a_disputed_claim_that_it_does_not_rest_on_counts_too(notebook, rating, parts, stands_against):
    audited(notebook, "good")
    audited(notebook, "bad", rating, parts=parts, quote="Eat it all.")
    if stands_against:
        with pytest.raises(NotAccepted, match=f"claim bad is {rating.value}"):
            accept(notebook, "good")
    else:
        assert accept(notebook, "good").status is Status.ACCEPTED


def test_a_supported_warning_stands_against(notebook):
    audited(notebook, "good")
    audited(notebook, "warning", Rating.SUPPORTED, wording=Wording.TOXIC)
    with pytest.raises(NotAccepted, match="calls it toxic"):
        accept(notebook, "good")


def test_a_claim_that_is_not_there_is_named(notebook):
    notebook.keep_claim(a_claim("c1"))
    with pytest.raises(NotInNotebook, match="c99"):
        accept(notebook, "c1", "c99", despite="why")
    with pytest.raises(NotInNotebook, match="Nusquamia"):
        decide(notebook, "Nusquamia lenta", "leaf", "", Decision(Status.WAITING))


@pytest.mark.parametrize("then", GOOD)
@pytest.mark.parametrize("now", Rating)
@pytest.mark.parametrize("by_steps", [False, True])
def test_a_rating_that_changes_moves_it_back_and_says_why(notebook, then, now, by_steps):
    audited(notebook, rating=then)
    made = accept(notebook, "c1")
    later = replace(an_audit("c1", rating=now), cautions=())
    if by_steps:
        keeper = NotebookKeeper(notebook)
        keeper.start(later.claim)
        assert entry(notebook, made.id).status is Status.ACCEPTED  # an audit under way says nothing yet
        keeper.finish(later)
    else:
        notebook.keep_audit(later)
    found = entry(notebook, made.id)
    if now is then:
        assert (found.status, found.waiting_because) == (Status.ACCEPTED, "")
        return
    assert found.status is Status.WAITING
    assert f"claim c1 was {then.value} when this was accepted" in found.waiting_because
    assert f"and is {now.value} since" in found.waiting_because
    assert (found.claims[0].rated_then, found.claims[0].rated_now) == (then, now)


def test_a_new_dispute_about_the_taxon_moves_it_back(notebook):
    audited(notebook, "good")
    made = accept(notebook, "good")
    audited(notebook, "other", Rating.DISPUTED, quote="All of it can be eaten.")
    assert entry(notebook, made.id).status is Status.WAITING
    assert entry(notebook, made.id).waiting_because == "claim other is disputed."


def test_what_was_accepted_all_the_same_stays_until_something_new_stands_against_it(notebook):
    audited(notebook, "c1", Rating.DISPUTED)
    made = accept(notebook, "c1", despite="I have eaten it for years.")
    audited(notebook, "c1", Rating.DISPUTED)
    assert entry(notebook, made.id).status is Status.ACCEPTED
    audited(notebook, "c2", Rating.CONTRADICTED, quote="Eat.")
    found = entry(notebook, made.id)
    assert (found.status, found.waiting_because) == (Status.WAITING, "claim c2 is contradicted.")
    assert found.despite == "I have eaten it for years."  # shown wherever the entry is


def test_rejected_entries_stay_rejected(notebook):
    audited(notebook)
    made = decide(notebook, NAME, "leaf", "", Decision(Status.REJECTED, "bitter", claims=("c1",)))
    audited(notebook, rating=Rating.CORROBORATED)
    found = entry(notebook, made.id)
    assert found.status is Status.REJECTED
    assert (found.claims[0].rated_then, found.claims[0].rated_now) == GOOD


def test_a_deleted_claim_moves_it_back_and_an_undo_alone_does_not_accept_again(notebook):
    audited(notebook)
    made = accept(notebook, "c1")
    assert delete_claim(notebook, "c1") == (made.id,)
    assert "claim c1, on which it rested, was deleted" in entry(notebook, made.id).waiting_because
    undo(notebook)
    assert entry(notebook, made.id).status is Status.ACCEPTED
    assert notebook.audit("c1").rating is Rating.SUPPORTED
    notebook.check()


def test_an_undo_cannot_bring_back_an_acceptance_that_the_rule_forbids(notebook):
    audited(notebook)
    made = accept(notebook, "c1")
    decide_again(notebook, made.id, Decision(Status.WAITING))
    audited(notebook, rating=Rating.CONTRADICTED)
    undo(notebook)  # takes back the step from accepted to waiting
    found = entry(notebook, made.id)
    assert found.status is Status.WAITING
    assert "claim c1 was supported" in found.waiting_because


def test_what_came_with_an_audit_is_told_and_not_undone(notebook):
    audited(notebook)
    made = accept(notebook, "c1")
    audited(notebook, rating=Rating.CONTRADICTED)
    latest = events(notebook)[0]
    assert (latest.what, latest.undoable) == ("claim c1 was audited: contradicted", False)
    with pytest.raises(CallError, match="never taken back"):
        undo(notebook, latest.id)
    with pytest.raises(CallError, match="changed again since"):
        undo(notebook)  # the acceptance: its row is another by now
    assert entry(notebook, made.id).status is Status.WAITING


@given(
    notes=st.lists(st.sampled_from(["wonderful", "ate a kilogram, felt fine", "supported", "safe"]), max_size=4),
    rating=st.sampled_from(Rating),
)
@settings(max_examples=25, deadline=None)
def test_tasting_notes_raise_no_rating_and_lift_no_objection(tmp_path_factory, notes, rating):
    path = tmp_path_factory.mktemp("notes") / "n.sqlite"
    with open_notebook(path) as notebook:
        audited(notebook, rating=rating)
        made = decide(notebook, NAME, "leaf", "", Decision(Status.WAITING, claims=("c1",)))
        for each in notes:
            add_tasting(notebook, NAME, Tasting(taste=each, part="leaf"))
        found = entry(notebook, made.id)
        assert (found.objections, found.claims) == (made.objections, made.claims)
        assert notebook.claims()[0].rating is rating
        assert found.tastings == len(notes)


def test_dangers_come_with_the_entry(notebook):
    audit = an_audit("c1", rating=Rating.SUPPORTED)
    warning = Caution("toxic-stated", "s1 calls the raw roots poisonous.", "s1")
    notebook.keep_audit(replace(audit, cautions=(Caution("sources-unread", "Two were not read."), warning)))
    audited(notebook, "c2", Rating.DISPUTED, parts=("root",), quote="Roots too.")
    add_tasting(notebook, NAME, Tasting(reaction="cramps", tasted_on="2026-05-01"))
    made = accept(notebook, "c1", despite="why")
    assert [(each.code, each.source) for each in made.dangers] == [
        ("disputed", "claim c2"),
        ("toxic-stated", "claim c1, s1"),
        ("own-reaction", "note n1"),
    ]


def test_an_entry_is_one_for_its_taxon_part_and_preparation(notebook):
    audited(notebook)
    first = accept(notebook, "c1", months=(4, 5), decided_by="Reader", reason="good", review_on="2027-01-01")
    again = accept(notebook, "c1")
    other = accept(notebook, "c1", part="root")
    assert (again.id, again.reason, again.decided_by, again.months) == (first.id, "good", "Reader", (4, 5))
    assert again.review_on > first.review_on
    assert {each.id for each in entries(notebook)} == {first.id, other.id}
    delete_entry(notebook, other.id)
    assert accept(notebook, "c1", part="seed").id == "v3"  # a name is never given twice


def test_season_and_reviews(notebook):
    audited(notebook)
    spring = accept(notebook, "c1", months=(4, 5), review_on="2027-03-01")
    winter = accept(notebook, "c1", part="root", months=(12, 1), review_on="2026-12-01")
    assert [each.id for each in entries(notebook, month=5)] == [spring.id]
    assert [each.id for each in entries(notebook, month=1)] == [winter.id]
    assert [each.id for each in entries(notebook, due_on="2026-12-01")] == [winter.id]
    assert entries(notebook, due_on="2026-11-30") == ()
    for wrong in (0, 13):
        with pytest.raises(CallError, match="month"):
            entries(notebook, month=wrong)
        with pytest.raises(CallError, match="month"):
            accept(notebook, "c1", months=(wrong,))
    with pytest.raises(CallError, match=r"1\.3\.2027"):
        accept(notebook, "c1", review_on="1.3.2027")


def test_what_another_tool_has_changed_is_noticed(notebook):
    audited(notebook)
    made = accept(notebook, "c1")
    notebook.db.execute("UPDATE audits SET rating = 'contradicted'")
    assert look_again(notebook) == (made.id,)
    assert look_again(notebook) == ()


def test_the_view_for_other_tools_tells_the_same(notebook):
    audited(notebook, rating=Rating.DISPUTED)
    accept(notebook, "c1", despite="I wrote this down.")
    (row,) = notebook.db.query("SELECT * FROM vetted_list")
    assert (row["accepted_despite"], row["rests_on"], row["alarms"]) == ("I wrote this down.", "c1: disputed", 1)
    assert "safe" in row["remember"]
    notebook.db.execute("UPDATE entries SET review_on = '2020-01-01'")
    assert [row["entry"] for row in notebook.db.query("SELECT * FROM reviews_due")] == ["v1"]


def test_an_entry_for_no_part_in_particular_is_touched_by_a_dispute_about_any(notebook):
    audited(notebook, "good")
    audited(notebook, "bad", Rating.DISPUTED, parts=("root",), preparations=("raw",), quote="Roots.")
    with pytest.raises(NotAccepted, match="claim bad is disputed"):
        accept(notebook, "good", part="")
    assert accept(notebook, "good", part="leaf").status is Status.ACCEPTED
