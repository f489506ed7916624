"""Footnotes, reference lists, links, bracketed numbers and author–year phrases."""

from __future__ import annotations

import pytest
from reading_pages import marked, page, texts

A, B, C = "http://alder.example/book", "http://birk.example/paper", "http://cedar.example/x"


def sources(body: str) -> list[list[str]]:
    """For each passage with marks, the addresses that its marks lead to."""
    document = page(body)
    return [
        [url for mark in passage.marks for url in document.citations[mark.key].urls]
        for passage in document.passages
        if passage.marks
    ]


NOTES = [
    # Wiki manner: id on li, back-links before the text.
    (
        '<p>It is edible.<sup id="r1"><a href="#n1">[1]</a></sup><sup id="r2"><a href="#n2">[2]</a></sup> Leaves.'
        f'<h2>References</h2><ol><li id="n1"><a href="#r1">↑</a> <span>Alder 1998. <a href="{A}">Herbs</a>.</span>'
        f'<li id="n2">↑ <sup><a href="#r2">a</a></sup> <sup><a href="#r2">b</a></sup> Birk. '
        f'<a href="{B}">Roots</a></ol>'
    ),
    # DPUB-ARIA 1.1 roles, notes in paragraphs of a section.
    (
        '<p>It is edible.<a role="doc-noteref" href="#n1">1</a><a role="doc-noteref" href="#n2">2</a> Leaves.'
        f'<section role="doc-endnotes"><p id="n1">1. Alder 1998. <a href="{A}">Herbs</a>. '
        '<a role="doc-backlink" href="#x">'
        f'↩</a></p><p id="n2">2. Birk. <a href="{B}">Roots</a></p></section>'
    ),
    # Old manner: named anchors, all notes in one paragraph.
    (
        '<p>It is edible.<a name=b1></a><a href="#f1">[1]</a><a name=b2></a><a href="#f2">[2]</a> Leaves.<hr>'
        f'<p><a name=f1></a><a href="#b1">[1]</a> Alder 1998, <a href="{A}">Herbs</a>.<br>'
        f'<a name=f2></a><a href="#b2">[2]</a> Birk, <a href="{B}">Roots</a>.'
    ),
    # Numbers in brackets without links.
    (
        "<p>It is edible.[1, 2] Leaves."
        f'<h3>Literature cited</h3><ol><li>Alder 1998. <a href="{A}">Herbs</a><li>Birk 2001. '
        f'<a href="{B}">Roots</a></ol>'
    ),
    # Raised digits without links, labels printed.
    (
        "<p>It is edible.<sup>1,2</sup> Leaves."
        f"<h3>Sources</h3><p>1. Alder 1998. Herbs. {A}</p><p>2. Birk 2001. Roots. {B}.</p>"
    ),
    # Raised characters.
    (
        "<p>It is edible.¹⁻² Leaves."
        f"<h3>Quellen</h3><ul><li>[1] Alder 1998. Herbs. {A}<li>[2] Birk 2001. Roots. {B}</ul>"
    ),
]


@pytest.mark.parametrize("body", NOTES)
def test_markers_leave_the_text_and_lead_to_their_entries(body: str) -> None:
    document = page(body)
    assert texts(document) == ["It is edible. Leaves."]
    assert marked(document) == [("t is edible.", 0, (A,)), ("t is edible.", 0, (B,))]
    for citation in document.citations.values():
        assert "↑" not in citation.text
        assert "↩" not in citation.text
        assert citation.text.startswith(("Alder", "Birk"))


def test_a_range_marks_all_between() -> None:
    entries = "".join(f"<li id=n{n}>Alder {1990 + n}. http://a{n}.example/" for n in range(1, 6))
    expected = [[f"http://a{n}.example/" for n in (2, 3, 4, 5)]]
    assert sources(f"<p>Eaten [2–4, 5].<h2>References</h2><ol>{entries}</ol>") == expected
    linked = "<p>Eaten [<a href=#n2>2</a>–<a href=#n4>4</a>, <a href=#n5>5</a>]."
    assert sorted(sources(f"{linked}<h2>References</h2><ol>{entries}</ol>")[0]) == expected[0]
    assert texts(page(f"{linked}<h2>References</h2><ol>{entries}</ol>")) == ["Eaten."]


@pytest.mark.parametrize(
    "text",
    ["Grows to 10 m<sup>2</sup>.", "About 10<sup>2</sup> seeds.", "See [9].", "In [1998] it grew.", "Use (1) leaves."],
)
def test_numbers_that_are_no_markers_stay(text: str) -> None:
    document = page(f"<p>{text}<h2>References</h2><ol><li>Alder 1998. {A}<li>Birk 2001. {B}<li>Cedar 2003. {C}</ol>")
    assert not document.passages[0].marks
    assert any(digit in document.passages[0].text for digit in "1239")


def test_round_numbers_count_where_the_list_is_used_that_way() -> None:
    refs = f"<h2>References</h2><ol><li>Alder 1998. {A}<li>Birk 2001. {B}<li>Cedar 2003. {C}</ol>"
    assert sources(f"<p>Leaves are eaten (1). Roots too (2, 3).{refs}") == [[A, B, C]]


def test_links_in_running_text_are_citations() -> None:
    document = page(
        f'<p>Fictwort <a href="{A}">is edible</a>, see <a href="/other">here</a>, '
        '<a href="mailto:x@y.example">mail</a>, '
        f'<a href="javascript:go()">go</a>, <a href="/plants/fictwort#top">top</a>, <a href="/pic.jpg">photo</a>, '
        f'<a href="{A}">again</a>.'
    )
    assert document.passages[0].text == "Fictwort is edible, see here, mail, go, top, photo, again."
    assert [(p.text[m.start : m.end], document.citations[m.key].urls) for p in document.passages for m in p.marks] == [
        ("is edible", (A,)),
        ("here", ("http://herb.example/other",)),
        ("again", (A,)),
    ]
    assert len(document.citations) == 2


def test_links_use_the_base_address() -> None:
    assert sources('<base href="http://cdn.example/a/"><p>See <a href="b">this</a>.') == [["http://cdn.example/a/b"]]


def test_on_a_footnoted_page_links_to_its_own_site_are_no_sources() -> None:
    notes = "".join(f"<li id=n{n}>Alder {1990 + n}. http://a{n}.example/" for n in range(1, 4))
    body = "<p>A <a href=/wiki/herb>herb</a>, <a href='http://b.example/'>eaten</a>" + "".join(
        f"<sup><a href=#n{n}>{n}</a></sup>" for n in range(1, 4)
    )
    urls = sources(f"{body}.<h2>Notes</h2><ol>{notes}</ol>")[0]
    assert sorted(urls) == ["http://a1.example/", "http://a2.example/", "http://a3.example/", "http://b.example/"]


AUTHORS = (
    f"<h2>References</h2><ul><li>Alder, B. & Birk, C. (1998) Herbs of nowhere. Demo Press. {A}"
    f"<li>Birk, C. (2003a) Roots. Invented Journal 3: 4–9. {B}<li>Birk, C. (2003b) Seeds. Invented Journal 3: 10–12."
    f"<li>van der Cedar, D., Alder, B. & Birk, C. (2010). Fruits. {C}</ul>"
)


@pytest.mark.parametrize(
    ("text", "span", "urls"),
    [
        ("Leaves are eaten (Alder and Birk 1998).", "Alder and Birk 1998", [A]),
        ("Leaves are eaten (Alder & Birk, 1998: 14).", "Alder & Birk, 1998", [A]),
        ("Alder and Birk (1998, p. 14) eat it.", "Alder and Birk (1998", [A]),
        ("Birk’s (2003a) list has it.", "Birk’s (2003a", [B]),
        ("Eaten (Cedar et al. 2010).", "Cedar et al. 2010", [C]),
        ("Eaten (see van der Cedar et al., 2010 for more).", "van der Cedar et al., 2010", [C]),
    ],
)
def test_author_and_year(text: str, span: str, urls: list[str]) -> None:
    document = page(f"<p>{text}{AUTHORS}")
    passage = document.passages[0]
    assert passage.text == text
    assert [passage.text[m.start : m.end] for m in passage.marks] == [span]
    assert [u for m in passage.marks for u in document.citations[m.key].urls] == urls


def test_several_authors_in_one_bracket() -> None:
    assert sources(f"<p>Eaten (Alder & Birk 1998; Birk 2003a, b; Cedar et al. 2010).{AUTHORS}") == [[A, B, C]]
    document = page(f"<p>Eaten (Birk 2003a, b; Dogwood 2003).{AUTHORS}")
    assert [document.citations[m.key].title for m in document.passages[0].marks] == ["Roots", "Seeds"]


def test_linked_author_and_year_stays_in_the_text() -> None:
    body = "<p>Eaten (<a href='#CR1'>Alder 1998</a>; <a href='#CR2'>Birk 2003</a>)."
    refs = f"<h2>References</h2><ol><li id=CR1>Alder B. Herbs. 1998. {A}<li id=CR2>Birk C. Roots. 2003. {B}</ol>"
    document = page(body + refs)
    assert texts(document) == ["Eaten (Alder 1998; Birk 2003)."]
    assert marked(document) == [("Eaten (", 10, (A,)), ("Alder 1998; ", 9, (B,))]


def test_short_note_leads_where_the_full_entry_leads() -> None:
    document = page(
        "<p>Eaten.<sup><a href=#n1>1</a></sup> Boiled.<sup><a href=#n2>2</a></sup> Dried.<sup><a href=#n3>3</a></sup>"
        "<h2>Notes</h2><ol><li id=n1>Alder 1998, p. 14.<li id=n2>Ibid., p. 20.<li id=n3>"
        "<a href=#bib1>Birk 2003</a>, 9.</ol>"
        f"<h2>Bibliography</h2><ul><li>Alder, B. (1998). Herbs of nowhere. Demo Press. <a href='{A}'>online</a>"
        f"<li id=bib1>Birk, C. (2003). Roots. <a href='{B}'>pdf</a></ul>"
    )
    assert [urls for _, _, urls in marked(document)] == [(A,), (A,), (B,)]
    assert next(iter(document.citations.values())).pages == "14"


def test_remark_in_a_footnote_is_text_and_not_a_source() -> None:
    document = page(
        "<p>The fruit is eaten.<a name=b1></a><a href=#f1>[A]</a> More text.<div class=footnotes><h3>FOOTNOTES:</h3>"
        "<div class=footnote><p><a name=f1></a><a href=#b1>[A]</a> Raw fruit made several people ill.</p></div></div>"
    )
    assert texts(document, "paragraph") == ["The fruit is eaten. More text.", "Raw fruit made several people ill."]
    assert not document.citations


def test_notes_on_the_plant_are_no_reference_list() -> None:
    document = page("<p>Top.<h2>Notes</h2><ul><li>The fruit is edible when ripe.<li>The seeds are poisonous.</ul>")
    assert texts(document, "list-item") == ["The fruit is edible when ripe.", "The seeds are poisonous."]
    assert not document.citations


def test_entries_without_links_are_kept_as_offline_works() -> None:
    document = page("<p>Eaten [1].<h2>Sources</h2><ol><li>Alder, B. (1998). Herbs of nowhere. Demo Press.</ol>")
    (citation,) = document.citations.values()
    assert (citation.urls, citation.authors, citation.year) == ((), ("Alder",), "1998")
    assert texts(document) == ["Eaten."]


def test_further_reading_has_no_marks_and_does_not_count_as_text() -> None:
    document = page(
        f"<p>Eaten (Alder 1998).<h2>External links</h2><ul><li><a href='{A}'>Alder 1998, Herbs</a></ul>"
        f"<h2>See also</h2><ul><li><a href='{B}'>Edible roots</a></ul>"
    )
    assert texts(document) == ["Eaten (Alder 1998)."]
    assert not document.passages[0].marks
    assert [(c.urls, c.further_reading) for c in document.citations.values()] == [((A,), True), ((B,), True)]


def test_original_before_its_archived_copy() -> None:
    copy = f"http://archive.example/web/20100504000000/{A}"
    document = page(
        f"<p>Eaten [1]. Boiled [2].<h2>References</h2><ol><li>Alder. <a href='{copy}'>Herbs</a>. Archived from "
        f"<a href='{A}'>the original</a> 2010.<li>Birk 2001. <a href='{copy}'>Archived</a></ol>"
    )
    assert [(c.urls, c.archived_url) for c in document.citations.values()] == [((A,), copy), ((A,), copy)]


def test_figure_and_chapter_links_are_no_notes() -> None:
    document = page(
        "<p>See Fig. <a href=#image3>3</a> and chapter <a href=#ch2>II</a>.<div>"
        "<a name=image3></a><p>Plate 9.</p></div>"
        "<h2 id=ch2>Chapter</h2><p>More."
    )
    assert document.passages[0].text == "See Fig. 3 and chapter II."
    assert not document.citations


def test_heading_with_a_marker_keeps_its_name_in_paths() -> None:
    document = page(
        f"<h2>Uses<sup><a href=#n1>[1]</a></sup></h2><p>Eaten.<h2>References</h2><ol><li id=n1>Alder 1998. {A}</ol>"
    )
    assert [(p.text, p.headings) for p in document.passages] == [("Uses", ()), ("Eaten.", ("Uses",))]


def test_text_after_a_list_without_heading_is_no_entry() -> None:
    refs = "".join(f"<li>Alder, B. {1990 + n}. Herbs {n}. Demo Press." for n in range(4))
    document = page(f"<p>Eaten [1].<h2>References</h2><ul>{refs}</ul><p>Written by <a href={A}>someone</a> in 2003.")
    assert len([c for c in document.citations if c.startswith("ref")]) == 4
    assert texts(document)[-1] == "Written by someone in 2003."


def test_table_cells_carry_their_marks() -> None:
    document = page(
        "<table><tr><th>Species<th>Use<tr><td>Fictaria alba<td>eaten<sup><a href=#n1>1</a></sup>"
        f"<tr><td>Mendacia<td>toxic</table><h2>References</h2><ol><li id=n1>Alder 1998. {A}</ol>"
    )
    assert marked(document) == [("; Use: eaten", 0, (A,))]


def test_numbers_that_link_straight_to_other_pages_are_markers() -> None:
    document = page(
        f"<p>It is edible [<a href='{A}'>1</a>,\n<a href='{B}'>2</a>]. Boiled<sup><a href='{C}'>3</a></sup>."
    )
    assert texts(document) == ["It is edible. Boiled."]
    assert marked(document) == [("It is edible", 0, (A,)), ("It is edible", 0, (B,)), ("ible. Boiled", 0, (C,))]
    assert texts(page(f"<p>It has <a href='{A}'>3</a> leaves.")) == ["It has 3 leaves."]


def test_markers_parted_by_spaces_leave_no_space() -> None:
    refs = f"<h3>References</h3><p>[1] Alder 1998. {A}<p>[2] Birk 2001. {B}<p>[3] Cedar 2003. {C}"
    document = page(f"<p>It is edible [1] [2] [3].{refs}<p><small>This page was written in a hurry.</small>")
    assert texts(document) == ["It is edible.", "This page was written in a hurry."]
    assert [before for before, _, _ in marked(document)] == ["It is edible"] * 3
    assert len(document.citations) == 3


def test_lists_of_other_posts_go() -> None:
    document = page(f"<p>Fictwort is eaten.<h3>You may also like</h3><ul><li><a href='{A}'>Edible nuts</a></ul>")
    assert texts(document) == ["Fictwort is eaten."]
    assert not document.citations
