"""Blocks of an HTML page: kinds, heading paths, inline text, tables, definition lists, pairs."""

from __future__ import annotations

import pytest
from reading_pages import page, texts


def rows(body: str) -> list[str]:
    return texts(page(body), "table-row")


@pytest.mark.parametrize(
    ("body", "expected"),
    [
        ("<p><b>F</b>ictaria <i>silv</i>ana", ["Fictaria silvana"]),
        ("<p>raw<br>or cooked", ["raw\nor cooked"]),
        ("<p>Leaves eaten.<br><br>Root bitter.", ["Leaves eaten.", "Root bitter."]),
        ("<p>  much\n   space  </p>", ["much space"]),
        ("<p>edi<wbr>ble, H<sub>2</sub>O", ["edible, H2O"]),
        ("<p>is <del>edible</del> <s>tasty</s> toxic", ["is toxic"]),
        ("<p>one<p>two", ["one", "two"]),
        ("<div>loose <em>text</em><p>block</p>tail</div>", ["loose text", "block", "tail"]),
        ("<p>called <q>bread root</q> here", ["called “bread root” here"]),
        ("<p>a&nbsp;b &amp; c", ["a\xa0b & c"]),
        ("<p>shown<script>var edible = 1</script><style>p{}</style><template>x</template> text", ["shown text"]),
        ("<p>a<!-- edible -->b", ["ab"]),
    ],
)
def test_running_text(body: str, expected: list[str]) -> None:
    assert texts(page(body)) == expected


def test_kinds_and_heading_paths() -> None:
    document = page(
        "<title>Fictwort</title><h1>Fictwort</h1><p>Top.<h2>Uses</h2><h3>Food</h3><ul><li>Leaves<li><p>Root</p></ul>"
        "<blockquote><p>Said once.</p></blockquote><h2>Habitat</h2><div role=heading aria-level=3>Soil</div><p>Sand."
        "<figure><img><figcaption>A flower.</figcaption></figure><pre>a  b\nc</pre>"
    )
    assert [(p.kind, p.headings, p.text) for p in document.passages] == [
        ("heading", (), "Fictwort"),
        ("paragraph", (), "Top."),
        ("heading", (), "Uses"),
        ("heading", ("Uses",), "Food"),
        ("list-item", ("Uses", "Food"), "Leaves"),
        ("list-item", ("Uses", "Food"), "Root"),
        ("quote", ("Uses", "Food"), "Said once."),
        ("heading", (), "Habitat"),
        ("heading", ("Habitat",), "Soil"),
        ("paragraph", ("Habitat", "Soil"), "Sand."),
        ("caption", ("Habitat", "Soil"), "A flower."),
        ("preformatted", ("Habitat", "Soil"), "a  b\nc"),
    ]


def test_bold_line_is_a_heading_but_a_bold_sentence_is_not() -> None:
    document = page("<p><b>Edible parts</b></p><p>Leaves.</p><p><b>All parts are poisonous</b></p>")
    assert [(p.kind, p.headings) for p in document.passages] == [
        ("heading", ()),
        ("paragraph", ("Edible parts",)),
        ("paragraph", ("Edible parts",)),
    ]


def test_summary_heads_its_details_only() -> None:
    document = page("<details><summary>Warning</summary><p>Toxic raw.</p></details><p>After.")
    assert [(p.text, p.headings) for p in document.passages[1:]] == [("Toxic raw.", ("Warning",)), ("After.", ())]


def test_infobox_reads_label_and_value_under_its_caption() -> None:
    document = page(
        "<h1>Fictwort</h1><table class=infobox><caption>Fictaria silvana</caption><tr><th>Edibility<td>not edible"
        "<tr><th>Parts:<td><ul><li>leaf<li>root</ul><tr><th>Family<td></table><p>After."
    )
    assert [(p.kind, p.text, p.headings) for p in document.passages[1:]] == [
        ("caption", "Fictaria silvana", ()),
        ("table-row", "Edibility: not edible", ("Fictaria silvana",)),
        ("table-row", "Parts: leaf; root", ("Fictaria silvana",)),
        ("paragraph", "After.", ()),
    ]


def test_table_with_a_header_names_each_cell() -> None:
    body = (
        "<table><thead><tr><th>Species<th>Part<th>Use</thead><tr><th>Fictaria silvana<td>leaf<td>eaten raw"
        "<tr><td rowspan=2>Mendacia rubra<td>fruit<td>toxic<tr><td>root<td></table>"
    )
    assert rows(body) == [
        "Species: Fictaria silvana; Part: leaf; Use: eaten raw",
        "Species: Mendacia rubra; Part: fruit; Use: toxic",
        "Species: Mendacia rubra; Part: root",
    ]


def test_header_without_th_is_known_by_its_words_or_bold() -> None:
    tail = "<tr><td>Fictaria silvana<td>eaten<tr><td>Mendacia rubra<td>toxic</table>"
    expected = ["Species: Fictaria silvana; Edibility: eaten", "Species: Mendacia rubra; Edibility: toxic"]
    assert rows("<table><tr><td>Species<td>Edibility" + tail) == expected
    assert rows("<table><tr><td><b>Species</b><td><b>Edibility</b>" + tail) == expected
    assert rows("<table><tr><td>Fictaria alba<td>bitter" + tail)[0] == "Fictaria alba: bitter"


def test_two_header_rows_are_joined_and_a_spanning_row_heads_what_follows() -> None:
    body = (
        "<table><tr><th rowspan=2>Species<th colspan=2>Eaten<tr><th>raw<th>cooked"
        "<tr><td colspan=3>Hedges<tr><td>Fictaria silvana<td>no<td>yes</table>"
    )
    document = page(body)
    assert texts(document, "table-row") == ["Species: Fictaria silvana; Eaten raw: no; Eaten cooked: yes"]
    assert document.passages[-1].headings == ("Hedges",)


def test_layout_table_gives_its_blocks() -> None:
    long = "Fictwort grows in hedges and its leaves are eaten. " * 20
    document = page(
        f"<table><tr><td><p>{long}</p><p>Second.</p><p>Third.</p><td><h2>Uses</h2><p>Food.</p></table>"
        "<table role=presentation><tr><td>One<td>Two</table>"
    )
    assert texts(document, "paragraph")[1:] == ["Second.", "Third.", "Food.", "One", "Two"]


def test_fact_box_inside_a_layout_table() -> None:
    body = "<table><tr><td><table><tr><th>Edibility<td>toxic</table><td><p>Text.</table>"
    assert texts(page(body)) == ["Edibility: toxic", "Text."]


def test_definition_lists() -> None:
    document = page(
        "<dl><dt>Edibility:</dt><dd>leaves <i>only</i></dd><dt>Names<dt>Synonyms<dd>fictwort"
        "<dt>Fictaria silvana<dd><p>A herb.</p><p>Eaten.</p></dl><dl><dt>Old heading</dl><p>Under it."
    )
    assert [(p.kind, p.text, p.headings) for p in document.passages] == [
        ("definition", "Edibility: leaves only", ()),
        ("definition", "Names, Synonyms: fictwort", ()),
        ("definition", "A herb.", ("Fictaria silvana",)),
        ("definition", "Eaten.", ("Fictaria silvana",)),
        ("heading", "Old heading", ()),
        ("paragraph", "Under it.", ("Old heading",)),
    ]


@pytest.mark.parametrize(
    "body",
    [
        "<div><div class=fact-label>Edibility</div><div class=fact-value>toxic</div></div>",
        "<p><span class=label>Edibility</span><span class=value>toxic</span></p>",
        "<div class=field><span class='field__label'>Edibility:</span> <span class='field__items'>toxic</span></div>",
        "<ul><li><b class=term>Edibility</b><span class=data>toxic</span></ul>",
    ],
)
def test_pairs_made_of_classes(body: str) -> None:
    assert texts(page(body)) == ["Edibility: toxic"]


def test_picture_alone_in_a_cell_is_read_by_its_alternative_text() -> None:
    assert rows("<table><tr><th>Edibility<td><img alt='deadly' src=x.png></table>") == ["Edibility: deadly"]
