"""The page of explained sentences: one file, escaped, without script, its marks told in words."""

from __future__ import annotations

from bs4 import BeautifulSoup

from doubtwort.model import Taxon
from doubtwort.reading import read_text
from doubtwort.reporting.explain import explained_views
from doubtwort.reporting.explain_html import MOST_SENTENCES, explained_page, words_of
from doubtwort.reporting.explain_machine import explained_object
from doubtwort.reporting.standing import standing_cautions
from wording.gold import rows

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
TEXT = "The young leaves of fictwort may be eaten raw, but the seeds are reportedly poisonous. Is fictwort edible?"


def made(text: str = TEXT, taxon: Taxon = TAXON, title: str = "Fictaria silvana") -> tuple[str, BeautifulSoup]:
    html = explained_page(explained_views(read_text(text, title), taxon), taxon, title)
    return html, BeautifulSoup(html, "html.parser")


def test_it_needs_nothing_else():
    _, page = made()
    assert not page.find_all(["script", "link", "img", "iframe", "object"])
    assert not page.find_all(src=True)
    assert "url(" not in page.style.text
    assert "default-src 'none'" in page.find("meta", {"http-equiv": "Content-Security-Policy"})["content"]
    assert not page.find_all(style=True)


def test_standing_cautions_are_on_it():
    said = " ".join(made()[1].get_text(" ").split())
    for caution in standing_cautions(None):
        assert caution.text in said


def test_the_words_of_the_picture_are_the_sentence():
    for row in rows("open"):
        for view in explained_views(read_text(row.text, row.title), row.taxon):
            words = words_of(view)
            assert "".join(atom.text + atom.tail for word in words for atom in word) == view.text
            assert [mark.label for mark in view.marks] == [
                label for word in words for atom in word for _, label in atom.labels
            ] or len({mark.span[0] for mark in view.marks}) < len(view.marks), row.id
            assert sum(len(atom.labels) for word in words for atom in word) == len(view.marks), row.id


def test_every_mark_is_told_in_words_outside_the_picture():
    page = made()[1]
    first = page.select_one("section.explained")
    assert first.select_one(".gloss")["aria-hidden"] == "true"
    assert first.select_one(".read-out").text == f"“{TEXT.split('. ')[0]}.”"
    table = [[cell.text for cell in row.find_all(["th", "td"])] for row in first.select("tbody tr")]
    assert ["may", "weakens (1): may", "may be eaten", "possibly"] in table
    assert ["fictwort", "names this taxon", "", "common name"] in table
    in_picture = [each.text for each in first.select(".gloss .does")]
    assert in_picture == [row[1] for row in table]


def test_poison_is_told_by_a_sign_and_a_word():
    warned = made()[1].select_one(".verdict.warns")
    assert warned.select_one("svg.sign")
    assert "toxic" in warned.select_one(".outcome").text


def test_silent_phrases_say_why():
    assert "a question states nothing" in made()[1].select_one(".verdict.silent").text


def test_text_of_others_is_escaped():
    bad = '<script>alert(1)</script> & "'
    html, page = made(
        f"The {bad} fictwort is not edible \x1b[31m\u202e.",
        Taxon("Fictaria silvana", common_names=("fictwort", bad)),
        bad,
    )
    assert not page.find_all("script")
    assert "<script" not in html.lower()
    assert "\x1b" not in html
    assert "\u202e" not in html
    assert "<script>alert(1)</script>" in page.select_one(".gloss").text


def test_a_long_text_is_cut_and_says_so():
    html, page = made("Fictwort is edible.\n\n" * (MOST_SENTENCES + 5))
    assert len(page.select("section.explained")) == MOST_SENTENCES
    assert "The text goes on" in html


def test_nothing_found_is_said_to_show_nothing():
    assert "That shows nothing." in made("Fictwort grows by the river.")[0]


def test_the_object_gives_the_same():
    views = list(explained_views(read_text(TEXT, "Fictaria silvana"), TAXON))
    said = explained_object("a", TAXON, views)
    assert list(said) == ["id", "taxon", "sentences", "cautions"]
    for view, sentence in zip(views, said["sentences"], strict=True):
        text = sentence["text"]
        assert text == view.text
        for part in (*sentence["marks"], *sentence["decisions"]):
            assert text[part["start"] : part["end"]] == part["words"]
        for reach in sentence["reaches"]:
            assert text[reach["start"] : reach["end"]] == reach["over"]
    assert [each["wording"] for each in said["sentences"][0]["decisions"]] == ["edible", "toxic"]
    assert said["sentences"][1]["decisions"][0]["wording"] is None
    assert "question" in said["sentences"][1]["decisions"][0]["silent"]
