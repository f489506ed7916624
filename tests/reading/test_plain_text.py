"""Plain text, Markdown and JATS."""

from __future__ import annotations

from reading_pages import check, marked, page, texts

from doubtwort.reading import read_text

PLAIN = """FICTWORT AS FOOD

Fictwort grows in hedges. Its leaves are edi-
ble when young [1], and taste of nothing [2, 3].

Edibility: leaves only
Toxicity: the seeds are
  poisonous

Habitat
-------
- hedges
- ditches and
  banks

Species          Part     Use
Fictaria alba    leaf     eaten raw
Mendacia rubra   fruit    toxic

References
[1] Alder, B. (1998). Herbs of nowhere. http://alder.example/
herbs.html
[2] Birk, C. 2001. Roots. doi:10.1000/182
[3] Cedar, D. Seeds. Demo Press, 2003.
"""


def test_plain_text() -> None:
    document = page(PLAIN, "text/plain; charset=utf-8", "http://herb.example/f.txt")
    assert [(p.kind, p.headings, p.text) for p in document.passages] == [
        ("heading", (), "FICTWORT AS FOOD"),
        (
            "paragraph",
            ("FICTWORT AS FOOD",),
            "Fictwort grows in hedges. Its leaves are edi-\nble when young, and taste of nothing.",
        ),
        ("definition", ("FICTWORT AS FOOD",), "Edibility: leaves only"),
        ("definition", ("FICTWORT AS FOOD",), "Toxicity: the seeds are\npoisonous"),
        ("heading", (), "Habitat"),
        ("list-item", ("Habitat",), "hedges"),
        ("list-item", ("Habitat",), "ditches and\nbanks"),
        ("table-row", ("Habitat",), "Species: Fictaria alba; Part: leaf; Use: eaten raw"),
        ("table-row", ("Habitat",), "Species: Mendacia rubra; Part: fruit; Use: toxic"),
    ]
    assert [(c.authors, c.urls, c.doi, c.year) for c in document.citations.values()] == [
        (("Alder",), ("http://alder.example/herbs.html",), "", "1998"),
        (("Birk",), (), "10.1000/182", "2001"),
        (("Cedar",), (), "", "2003"),
    ]
    assert [before for before, _, _ in marked(document)] == ["e when young", "e of nothing", "e of nothing"]


def test_read_text_of_one_line_keeps_title_and_address() -> None:
    document = read_text("Leaves are eaten, see http://alder.example/x.", title="Fictwort", url="http://h.example/1")
    check(document)
    assert (document.title, document.url) == ("Fictwort", "http://h.example/1")
    assert [p.text[m.start : m.end] for p in document.passages for m in p.marks] == ["http://alder.example/x"]


def test_read_text_of_nothing() -> None:
    assert read_text("").passages == ()
    assert read_text(" \n\t\n").passages == ()


def test_unwrapped_text_has_a_paragraph_a_line() -> None:
    long = (
        "Fictwort is a herb of hedges and ditches, and it is eaten by people all over the invented valley in spring. "
    )
    assert len(texts(read_text(long * 2 + "\n" + long * 2))) == 2


MARKDOWN = """---
title: Fictwort
---
# Fictwort

Leaves are *eat*en[^a] and [said](http://birk.example/s) to be [mild][m].

| Part | Use |
|------|-----|
| leaf | raw |

## Notes on habitat
- hedges

[m]: http://cedar.example/m
[^a]: Alder 1998, <http://alder.example/h>.
"""


def test_markdown() -> None:
    document = page(MARKDOWN, "text/markdown", "http://herb.example/f.md")
    assert document.title == "Fictwort"
    assert texts(document) == [
        "Fictwort", "Leaves are eaten and said to be mild.", "Part: leaf; Use: raw", "Notes on habitat", "hedges",
    ]  # fmt: skip
    assert [(length, urls) for _, length, urls in marked(document)] == [
        (0, ("http://alder.example/h",)), (4, ("http://birk.example/s",)), (4, ("http://cedar.example/m",)),
    ]  # fmt: skip


JATS = """<?xml version="1.0"?><!DOCTYPE article PUBLIC "-//NLM//DTD JATS v1.1//EN" "x.dtd">
<article xmlns:xlink="http://www.w3.org/1999/xlink" article-type="research-article" xml:lang="en"><front><article-meta>
<title-group><article-title>Herbs of an <italic>invented</italic> valley</article-title></title-group>
<contrib-group><contrib><name><surname>Alder</surname></name></contrib></contrib-group>
<abstract><p>Leaves are eaten.</p></abstract></article-meta></front><body><sec><title>Results</title>
<p>Fictwort is eaten [<xref ref-type="bibr" rid="R1">1</xref>, <xref ref-type="bibr" rid="R2">2</xref>].</p>
<p>Roots too (<xref ref-type="bibr" rid="R2">Birk 2001</xref>), see <xref ref-type="table" rid="T1">Table 1</xref>.</p>
<table-wrap id="T1"><label>Table 1</label><caption><p>Food plants</p></caption><table>
<thead><tr><th>Species</th><th>Part</th></tr></thead>
<tbody><tr><td><italic>Fictaria alba</italic></td><td>leaf</td></tr></tbody>
</table></table-wrap></sec></body>
<back><ref-list><title>References</title><ref id="R1"><label>1.</label><element-citation publication-type="journal">
<person-group><name><surname>Alder</surname><given-names>Beth C</given-names></name></person-group><year>1998</year>
<article-title>Herbs of nowhere</article-title><source>Invented J</source>
<volume>3</volume><fpage>4</fpage><lpage>9</lpage>
<pub-id pub-id-type="doi">10.1000/182</pub-id></element-citation></ref><ref id="R2"><label>2.</label><mixed-citation>
Birk C. Roots. Demo Press; 2001. <ext-link xlink:href="http://birk.example/r">link</ext-link></mixed-citation></ref>
</ref-list></back>
</article>"""


def test_jats() -> None:
    document = page(JATS, "application/xml", "http://herb.example/a.xml")
    assert (document.title, document.language) == ("Herbs of an invented valley", "en")
    assert [(p.text, p.headings) for p in document.passages if p.kind in ("paragraph", "table-row")] == [
        ("Leaves are eaten.", ("Abstract",)),
        ("Fictwort is eaten.", ("Results",)),
        ("Roots too (Birk 2001), see Table 1.", ("Results",)),
        ("Table 1", ("Results",)),
        ("Species: Fictaria alba; Part: leaf", ("Results", "Food plants")),
    ]
    one, two = document.citations.values()
    assert (one.authors, one.year, one.title, one.pages, one.doi) == (
        ("Alder",),
        "1998",
        "Herbs of nowhere",
        "4–9",
        "10.1000/182",
    )
    assert two.urls == ("http://birk.example/r",)
    assert [(before, length) for before, length, _ in marked(document)] == [("ort is eaten", 0)] * 2 + [
        ("Roots too (", 9)
    ]


def test_jats_expands_no_entities() -> None:
    bomb = '<!DOCTYPE article [<!ENTITY a "edible "><!ENTITY b "&a;&a;&a;&a;">]>'
    body = "<article article-type='x'><front/><body><p>Text of it: &b;</p></body></article>"
    assert "edible" not in page(bomb + body, "application/xml").text
