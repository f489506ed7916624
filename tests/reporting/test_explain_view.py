"""Explained sentences: every role and reason has its words; spans and decisions are those of the reading."""

from __future__ import annotations

import ast
import unicodedata
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

import doubtwort.wording
from doubtwort.model import Document, Passage, Taxon
from doubtwort.reading import read_text
from doubtwort.reporting.explain import LONGEST_GIVEN, LONGEST_SENTENCE, explained_views
from doubtwort.reporting.explain_words import NOTICE_WORDS, REACHING, ROLE_WORDS, SILENCE_SAYS, silence_words
from doubtwort.wording import read_document
from doubtwort.wording.rules import Role, attribute_rules
from wording.gold import rows

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
KINDS = {"says", "turns", "weakens", "who", "use", "notice", "limits", "name", "label", "value", "unsaid", "answer"}


def views(text: str, title: str = "Fictaria silvana", taxon: Taxon = TAXON):
    return list(explained_views(read_text(text, title), taxon))


def labels(view) -> dict[str, str]:
    return {view.text[slice(*mark.span)]: mark.label for mark in view.marks}


def reasons_in_the_code() -> set[str]:
    """Every text that a draft is silenced with, be it by a constant: ``draft.silence("…")``, ``why_silent = "…"``."""
    found = set()
    for file in Path(doubtwort.wording.__file__).parent.glob("*.py"):
        tree = ast.parse(file.read_text(encoding="utf-8"))
        named = {
            node.target.id: node.value for node in tree.body
            if isinstance(node, ast.AnnAssign) and isinstance(node.target, ast.Name)
        }  # fmt: skip
        for node in ast.walk(tree):
            value = None
            if isinstance(node, ast.Call) and getattr(node.func, "attr", "") == "silence":
                value = node.args[0]
            elif isinstance(node, ast.Assign) and getattr(node.targets[0], "attr", "") == "why_silent":
                value = node.value
            if isinstance(value, ast.Name):
                value = named.get(value.id)
            if isinstance(value, ast.Constant) and value.value:
                found.add(value.value)
    return found


def test_every_role_has_its_words():
    assert set(ROLE_WORDS) == set(Role)
    assert {each.kind for each in ROLE_WORDS.values()} <= KINDS
    assert {kind for role, each in ROLE_WORDS.items() if role is Role.NEGATE for kind in [each.kind]} <= REACHING


def test_every_reason_for_silence_has_its_words_and_no_other():
    found = reasons_in_the_code()
    assert len(found) >= 10
    assert set(SILENCE_SAYS) == found
    assert len({silence_words(each) for each in found}) == len(found)


def test_every_code_of_a_notice_has_its_words():
    assert {rule.value for rule in attribute_rules() if rule.role is Role.NOTICE} == set(NOTICE_WORDS)


def test_roles_are_told_in_words():
    (view,) = views(
        "The young leaves of fictwort may be eaten raw, reportedly, but the seeds are not edible for sheep."
    )
    said = labels(view)
    assert said["leaves"] == "part: leaf"
    assert said["fictwort"] == "names this taxon"
    assert said["may"] == "weakens (1): may"
    assert said["eaten"] == "says edible (1)"
    assert said["raw"] == "prepared: raw"
    assert said["not"] == "turns it round (2): not"
    assert said["sheep"] == "who: sheep"
    assert [view.text[slice(*each.span)] for each in view.reaches if each.words == "not"] == ["not edible"]


def test_a_decision_tells_whose_it_is_and_why():
    (view,) = views("Unlike Fictaria falsa, which is deadly, fictwort is not edible.")
    deadly, edible = view.verdicts
    assert (deadly.wording, dict(deadly.facts)["given to"]) == ("toxic", "another taxon (“Fictaria falsa”)")
    assert not deadly.dangerous
    assert dict(edible.facts)["given to"] == "this taxon (“fictwort”)"
    assert dict(edible.facts)["because"] == "named as the subject"
    assert dict(edible.facts)["changed by"] == "“not” (turns it round)"


@pytest.mark.parametrize(
    ("text", "dangerous"),
    [
        ("Fictwort is deadly.", True),
        ("Fictwort is poisonous to sheep.", False),
        ("Fictaria falsa is deadly.", False),
        ("Fictwort is edible.", False),
    ],
)
def test_danger_is_poison_for_people_that_may_be_this_taxons(text, dangerous):
    assert [each.dangerous for each in views(text, "")[0].verdicts] == [dangerous]


def test_a_silent_phrase_says_why():
    (view,) = views("Is fictwort edible?")
    assert view.verdicts[0].wording == ""
    assert "question" in view.verdicts[0].silent
    assert "given to" not in dict(view.verdicts[0].facts)


@pytest.mark.parametrize(("answer", "wording"), [("No", "inedible"), ("Yes", "edible")])
def test_a_question_that_is_answered_shows_its_answer(answer, wording):
    (view,) = views(f"Is fictwort edible? {answer}.")
    assert view.verdicts[0].wording == wording
    assert f"answers: {answer.lower()}" in labels(view).values()


def test_a_row_of_a_table_shows_its_label():
    (view,) = views("Known hazards: None known")
    said = labels(view)
    assert said["Known hazards:"] == "the label: it asks"
    assert said["None known"] == "the value: answers non-toxic (1)"


def test_what_is_left_unsaid_is_marked_with_what_denies_it():
    (view,) = views("The ripe berries are edible, but not the seeds.")
    assert labels(view)["not"] == "turns it round (2): not"
    assert any(each.label == "takes up what was said (2)" for each in view.marks)
    assert view.verdicts[1].wording == "inedible"


def test_a_modifier_that_reaches_nothing_is_said_to():
    (view,) = views("It may rain; fictwort is edible.")
    assert labels(view)["may"].endswith("(reaches nothing)")


def test_lines_over_the_same_words_lie_in_lanes_of_their_own():
    (view,) = views("The seeds are reportedly not edible, and are said to be not harmless.")
    for one in view.reaches:
        for other in view.reaches:
            if one is not other and one.lane == other.lane:
                assert one.span[1] < other.span[0] or other.span[1] < one.span[0]


def test_a_very_long_sentence_is_cut_and_says_so():
    text = "Fictwort is edible, " + "and the leaf is not poisonous, " * 100 + "they say."
    (view,) = views(text)
    assert len(view.text) <= LONGEST_SENTENCE < len(text)
    assert view.left_out > 0
    assert all(each.span[1] <= len(view.text) for each in (*view.marks, *view.verdicts))
    (whole,) = explained_views(read_text(text, ""), TAXON, LONGEST_GIVEN)
    assert whole.left_out == 0
    assert len(whole.marks) + len(whole.verdicts) == len(view.marks) + len(view.verdicts) + view.left_out


WORDS = [
    *("fictwort", "Fictaria silvana", "Fictaria falsa", "the seeds", "ripe berries", "sheep", "people", "medicine"),
    *("not", "never", "may", "reportedly", "is said to be", "which", "are", "is", "if", "but", "and"),
    *("edible", "inedible", "poi\u00adsonous", "eaten", "harmless", "tastes", "bitter", "raw", "boiled", "ﬁne"),
    *(",", ".", "?", "No.", ";", "\n", "Edibility:", "none known", "“", "(", ")", "in large quantities"),
    *("食用菌", "e\u0301", "\x1b[31m", "\u202e", "\u200b", "🍄", "\ud800"),
]


def shown_as(raw: str) -> str:
    """Another way to what is shown: control, format and lone surrogates out, white space folded."""
    kept = "".join(
        " " if each.isspace() else "\ufffd" if "\ud800" <= each <= "\udfff" else each
        for each in raw
        if each.isspace() or unicodedata.category(each) not in ("Cc", "Cf")
    )
    return " ".join(kept.split())


@settings(max_examples=150, deadline=None)
@given(st.lists(st.sampled_from(WORDS), min_size=1, max_size=30).map(" ".join))
def test_spans_lie_in_the_text_and_marked_text_is_the_phrase(text):
    document = Document("", "Fictaria silvana", (Passage(text),))
    for view in explained_views(document, TAXON):
        source = view.source
        assert shown_as(text[view.place.start : view.place.end]) == view.text.strip()
        spans = [each.span for each in (*view.marks, *view.reaches, *view.verdicts)]
        assert all(0 <= start < end <= len(view.text) for start, end in spans)
        for shown, phrase in [(each, each.span) for each in (*source.cues, *source.names)]:
            raw = shown_as(text[slice(*phrase)])
            assert raw in {view.text[slice(*mark.span)] for mark in view.marks if mark.rule == shown.rule}
        assert len(view.verdicts) == len(source.decisions)
        for verdict, decision in zip(view.verdicts, source.decisions, strict=True):
            assert verdict.words == shown_as(text[slice(*decision.span)])


def test_the_gold_sentences_are_explained_as_they_are_read():
    """Every statement of the reading is a decision that is shown, and every decision a statement."""
    for row in rows("open"):
        document = read_text(row.text, row.title)
        said = {each.wording.value for each in read_document(document, row.taxon).statements}
        shown = {verdict.wording for view in explained_views(document, row.taxon) for verdict in view.verdicts}
        assert shown - {""} == said, row.id
