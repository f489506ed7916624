"""Web Annotations of quoted statements, held against the W3C Recommendation of 23 February 2017."""

from __future__ import annotations

import io
import json
from dataclasses import replace
from hashlib import sha256

import pytest

from doubtwort.model import Place, Statement, Wording
from doubtwort.notebook import NotebookKeeper, open_notebook
from doubtwort.reading import read
from doubtwort.settings import Settings
from doubtwort.sharing.annotation import AROUND, selectors, write_annotations
from notebook.notebook_values import an_audit, fetched
from sharing.sharing_samples import everything

# Web Annotation Data Model, 4.2.4, worked example of a Text Quote Selector: the words "anotation" of a page, with
# "this is an " before and " that has some" behind them.
QUOTE_EXAMPLE = {"type": "TextQuoteSelector", "exact": "anotation", "prefix": "this is an ", "suffix": " that has some"}
# 4.2.5, worked example of a Text Position Selector: from 412 up to, not including, 795.
POSITION_EXAMPLE = {"type": "TextPositionSelector", "start": 412, "end": 795}


def annotations(path) -> dict:
    out = io.StringIO()
    with open_notebook(path, create=False) as notebook:
        write_annotations(notebook, out)
    return json.loads(out.getvalue())


def statement(text: str, exact: str) -> Statement:
    start = text.index(exact)
    return Statement(exact, Wording.TOXIC, place=Place((), start, start + len(exact)))


def test_the_recommendations_example_of_a_quote():
    text = "this is an anotation that has some"
    quote, position = selectors(statement(text, "anotation"), text)
    assert quote == QUOTE_EXAMPLE
    assert position == {"type": "TextPositionSelector", "start": 11, "end": 20}


def test_the_recommendations_example_of_a_position():
    """The first character is at 0; ``end`` is the place behind the last one."""
    text = "x" * 412 + "y" * (795 - 412) + "z"
    found = selectors(statement(text, "y" * (795 - 412)), text)
    assert found[1] == POSITION_EXAMPLE
    assert text[found[1]["start"] : found[1]["end"]] == found[0]["exact"]


def test_positions_count_code_points():
    """4.2.5: characters are those of Unicode, not the two code units of UTF-16 that an astral one has."""
    text = "🌿🌿 It kills. 🌿"
    quote, position = selectors(statement(text, "It kills."), text)
    assert (position["start"], position["end"]) == (3, 12)
    assert (quote["prefix"], quote["suffix"]) == ("🌿🌿 ", " 🌿")


def test_words_around_are_short():
    text = "a" * 500 + "It kills." + "b" * 500
    quote, _ = selectors(statement(text, "It kills."), text)
    assert (len(quote["prefix"]), len(quote["suffix"])) == (AROUND, AROUND)


def test_a_quote_without_a_place_or_page_makes_none_up():
    said = Statement("It kills.", Wording.TOXIC)
    assert selectors(said) == [{"type": "TextQuoteSelector", "exact": "It kills."}]
    placed = replace(said, place=Place((), 4, 13))
    assert [each["type"] for each in selectors(placed)] == ["TextQuoteSelector", "TextPositionSelector"]
    # A page that is read differently today: its words still lead there, the old place does not.
    assert selectors(placed, "Another text altogether") == [{"type": "TextQuoteSelector", "exact": "It kills."}]


@pytest.fixture
def kept(tmp_path):
    """A notebook with one source whose page is at hand, as the audit read it."""
    body = "<title>Herbs</title><p>Some words before it 🌿. Raw roots are poisonous. Some words after it.</p>".encode()
    page = fetched("http://s1.example/p", body)
    document = read(page, Settings())
    quote = "Raw roots are poisonous."
    start = document.text.index(quote)
    audit = an_audit("c1", 1)
    said = Statement(quote, Wording.TOXIC, place=Place((), start, start + len(quote)))
    source = replace(audit.sources[0], statements=(said,), sha256=sha256(body).hexdigest())
    with open_notebook(tmp_path / "n.sqlite") as notebook:
        keeper = NotebookKeeper(notebook)
        keeper.start(audit.claim)
        keeper.keep_fetch(page)
        keeper.finish(replace(audit, sources=(source,)))
    return tmp_path / "n.sqlite"


def test_an_annotation_leads_to_the_sentence_of_the_kept_page(kept):
    (found,) = annotations(kept)["items"]
    target = found["target"]
    quote, position = target["selector"]
    assert target["source"] == "http://s1.example/p"
    assert target["state"] == {"type": "TimeState", "sourceDate": "2026-11-01T10:00:00Z"}  # 4.3.1
    assert quote["exact"] == "Raw roots are poisonous."
    assert quote["prefix"].endswith("words before it 🌿. ")
    assert quote["suffix"] == " Some words after it."
    assert position["end"] - position["start"] == len(quote["exact"])


def test_each_annotation_has_what_the_model_requires(tmp_path):
    """3.1: one id (an IRI), the type, one target or more. 3.2.4: an embedded body is a TextualBody with one value. 5.3:
    a page of annotations has ``items``. 3.3.5: motivations are of the published list."""
    motivations = {
        "assessing", "bookmarking", "classifying", "commenting", "describing", "editing", "highlighting",
        "identifying", "linking", "moderating", "questioning", "replying", "tagging",
    }  # fmt: skip
    found = annotations(everything(tmp_path / "n.sqlite"))
    assert found["@context"][0] == "http://www.w3.org/ns/anno.jsonld"
    assert found["type"] == "AnnotationPage"
    assert len(found["items"]) == 6
    assert len({each["id"] for each in found["items"]}) == 6
    for each in found["items"]:
        assert each["id"].startswith("urn:uuid:")
        assert (each["type"], each["motivation"] in motivations) == ("Annotation", True)
        assert each["target"]["source"].startswith("http://")
        assert {selector["type"] for selector in each["target"]["selector"]} <= {
            "TextQuoteSelector", "TextPositionSelector",
        }  # fmt: skip
        for body in each["body"]:
            assert (body["type"], body["purpose"] in motivations) == ("TextualBody", True)
            assert isinstance(body["value"], str)


def test_dangers_and_cautions_travel_with_them(tmp_path):
    found = annotations(everything(tmp_path / "n.sqlite"))
    assert any("No rating and no reading means" in each for each in found["cautions"])
    for each in found["items"]:
        (comment,) = (body["value"] for body in each["body"] if body["purpose"] == "commenting")
        assert "calls the raw roots poisonous" in comment
        assert "safe to eat" in comment
        assert each["body"][0]["value"] == comment  # danger first


def test_ids_stay_the_same(tmp_path):
    path = everything(tmp_path / "n.sqlite")
    assert annotations(path) == annotations(path)
