"""References in the forms found in the wild: which sentence cites which work. All pages are invented.

A case is a page, and for sentences of it the works that they cite, in order: "a" is http://a.example/, a capitalised
word the title of a work without a link. Where forms follow a standard, it is named beside them.
"""

from __future__ import annotations

import pytest
from reading_pages import page

from doubtwort.citing.intake import Attached
from doubtwort.model import Citation, Document, Place, Statement, Wording

NAMES = {
    "a": "Alder", "b": "Birk", "c": "Cedar", "d": "Dogwood", "e": "Elmer", "f": "Firth", "g": "Grove", "h": "Hazelin",
    "i": "Ivess",
}  # fmt: skip


def entry(letter: str, year: int = 1998, title: str = "Herbs of nowhere", tail: str = "") -> str:
    return f"{NAMES[letter]}, X. ({year}). {title}. Demo Press. http://{letter}.example/{tail}"


def notes(letters: str = "abcdefghi", tag: str = "li") -> str:
    """A list whose items have the ids n1, n2, …"""
    return "".join(f'<{tag} id="n{at}">{entry(each)}</{tag}>' for at, each in enumerate(letters, 1))


def ref(number: int, text: str = "") -> str:
    return f'<sup><a href="#n{number}">{text or f"[{number}]"}</a></sup>'


OL = f"<h2>References</h2><ol>{notes()}</ol>"
BIB = (
    "<h2>Bibliography</h2><ul>"
    "<li>Alder, X. (1998). <i>Herbs of nowhere</i>. Demo Press. ISBN 978-0-306-40615-7. http://a.example/"
    "<li>Birk, C. and Cedar, D. (2003). Roots. <i>Invented Journal</i> 3: 4–9. doi:10.5555/birk.2003"
    "<li>Cedar, D., Dogwood, E. & Elmer, F. (2010a). Fruits. http://c.example/"
    "<li>Cedar, D. (2010b). Seeds. http://d.example/</ul>"
)

# name: (page, {sentence: works})
CASES: dict[str, tuple[str, dict[str, str]]] = {
    # ---- linked footnotes
    "before the stop": (f"<p>It is eaten{ref(1)}. It is dried.{OL}", {"It is eaten.": "a", "It is dried.": ""}),
    "after the stop": (f"<p>It is eaten.{ref(1)} It is dried.{OL}", {"It is eaten.": "a", "It is dried.": ""}),
    "after the stop and a space": (f"<p>It is eaten. {ref(1)} It is dried.{OL}", {"It is eaten.": "a"}),
    "within": (f"<p>It is eaten{ref(2)} and dried. Raw, not.{OL}", {"It is eaten and dried.": "b", "Raw, not.": ""}),
    "several": (f"<p>It is eaten.{ref(1)}{ref(2)}{ref(3)} It is dried.{OL}", {"It is eaten.": "a b c"}),
    "several with commas": (f"<p>It is eaten.{ref(1)}, {ref(2)} It is dried.{OL}", {"It is eaten.": "a b"}),
    "several in one raised group": (
        f'<p>It is eaten.<sup><a href="#n1">1</a>, <a href="#n2">2</a></sup> Dried too.{OL}',
        {"It is eaten.": "a b", "Dried too.": ""},
    ),
    "each sentence its own": (
        f"<p>It is eaten.{ref(1)} It is dried.{ref(2)} It is cooked.{ref(3)}{OL}",
        {"It is eaten.": "a", "It is dried.": "b", "It is cooked.": "c"},
    ),
    "reused": (
        f"<p>It is eaten.{ref(1)} It is dried.{ref(2)} It is cooked.{ref(1)}{OL}",
        {"It is eaten.": "a", "It is dried.": "b", "It is cooked.": "a"},
    ),
    "reused with back-links a b c": (
        '<p>It is eaten.<sup id="r1a"><a href="#n1">[1]</a></sup> It is dried.<sup id="r1b"><a href="#n1">[1]</a></sup>'
        '<h2>References</h2><ol><li id="n1">^ <a href="#r1a"><sup><i><b>a</b></i></sup></a> <a href="#r1b"><sup><i>'
        f"<b>b</b></i></sup></a> {entry('a')}</ol>",
        {"It is eaten.": "a", "It is dried.": "a"},
    ),
    "jump-up words of screen readers": (
        '<p>It is eaten.<sup id="r1"><a href="#n1">[1]</a></sup><h2>Notes</h2><ol><li id="n1"><span '
        'class="mw-backlink">'
        f'<b><a href="#r1" aria-label="Jump up">^</a></b></span> {entry("a")}</ol>',
        {"It is eaten.": "a"},
    ),
    "named groups of notes": (
        '<p>It is eaten.<sup><a href="#n1">[1]</a></sup><sup><a href="#note-x">[note 1]</a></sup> It is dried.<sup><a '
        f'href="#note-y">[lower-alpha 2]</a></sup><h2>Notes</h2><ol><li id="note-x">See {entry("b")}</li><li '
        f'id="note-y">'
        f"{entry('c')}</ol><h2>References</h2><ol>{notes('a')}</ol>",
        {"It is eaten.": "a b", "It is dried.": "c"},
    ),
    "letters as markers": (
        '<p>It is eaten.<sup><a href="#na">[a]</a></sup> It is dried.<sup><a href="#nb">[b]</a></sup><h2>Notes</h2><ol '
        f'type="a"><li id="na">{entry("a")}<li id="nb">{entry("b")}</ol>',
        {"It is eaten.": "a", "It is dried.": "b"},
    ),
    "daggers": (
        '<p>It is eaten.<a href="#na">†</a> It is dried.<a href="#nb">‡</a><div class="footnotes">'
        f'<p id="na">† {entry("a")}<p id="nb">‡ {entry("b")}</div>',
        {"It is eaten.": "a", "It is dried.": "b"},
    ),
    # DPUB-ARIA 1.1, doc-noteref, doc-endnotes, doc-backlink
    "roles of digital publishing": (
        '<p>It is eaten.<a role="doc-noteref" href="#n1">1</a> Dried.<section role="doc-endnotes"><ol>'
        f'<li id="n1">{entry("a")} <a role="doc-backlink" href="#x">↩</a></ol></section>',
        {"It is eaten.": "a", "Dried.": ""},
    ),
    "several works in one note": (
        f'<p>It is eaten.{ref(1)} Dried.<h2>Notes</h2><ol><li id="n1">{entry("a")}; {entry("b")}</ol>',
        {"It is eaten.": "a b"},
    ),
    "several works in one note, linked": (
        f'<p>It is eaten.{ref(1)}<h2>Notes</h2><ol><li id="n1">Alder 1998, <a href="http://a.example/">Herbs</a>; '
        'Birk 2001, <a href="http://b.example/">Roots</a>.</ol>',
        {"It is eaten.": "a b"},
    ),
    "page numbers raised behind the mark": (
        f"<p>It is eaten.{ref(1)}<sup>: 12–14 </sup> It is dried.{OL}",
        {"It is eaten.": "a", "It is dried.": ""},
    ),
    "an editor's remark is no citation": (
        '<p>It is eaten.<sup>[<a href="/wiki/help">citation needed</a>]</sup> It is dried'
        + ref(1)
        + " too. Fried."
        + OL,
        {"It is eaten.": "", "It is dried too.": "a"},
    ),
    "a remark beside a mark": (
        f'<p>It is eaten.{ref(1)}<sup>[<i><a href="/help">failed verification</a></i>]</sup> Dried.{OL}',
        {"It is eaten.": "a", "Dried.": ""},
    ),
    # ---- numbers without links
    "bracketed number": (f"<p>It is eaten [2]. It is dried.{OL}", {"It is eaten.": "b", "It is dried.": ""}),
    "bracketed after the stop": (f"<p>It is eaten.[2] It is dried.{OL}", {"It is eaten.": "b", "It is dried.": ""}),
    "range and single": (f"<p>It is eaten [3–5, 9]. Dried.{OL}", {"It is eaten.": "c d e i"}),
    "range with a hyphen": (f"<p>It is eaten [3-5,9]. Dried.{OL}", {"It is eaten.": "c d e i"}),
    "semicolons": (f"<p>It is eaten [1; 3]. Dried.{OL}", {"It is eaten.": "a c"}),
    "brackets in a row": (f"<p>It is eaten [1], [2], [4]. Dried.{OL}", {"It is eaten.": "a b d", "Dried.": ""}),
    "range of two brackets": (f"<p>It is eaten [2]–[4]. Dried.{OL}", {"It is eaten.": "b c d"}),
    "brackets in a bracket": (f"<p>It is eaten ([1], [2]). Dried.{OL}", {"It is eaten.": "a b"}),
    "see in a bracket": (f"<p>It is eaten (see [1]). Dried.{OL}", {"It is eaten.": "a"}),
    "with a page": (f"<p>It is eaten [1, p. 14]. Dried [2: 9].{OL}", {"It is eaten.": "a", "Dried.": "b"}),
    "raised digits": (f"<p>It is eaten.<sup>1,3–4</sup> Dried.{OL}", {"It is eaten.": "a c d", "Dried.": ""}),
    "raised characters": (f"<p>It is eaten.¹⁻³ Dried.{OL}", {"It is eaten.": "a b c", "Dried.": ""}),
    "linked range": (
        f'<p>It is eaten [<a href="#n2">2</a>–<a href="#n4">4</a>]. Dried.{OL}',
        {"It is eaten.": "b c d", "Dried.": ""},
    ),
    "printed labels": (
        f"<p>It is eaten [1]. Dried [2].<h2>Sources</h2><p>[1] {entry('a')}</p><p>[2] {entry('b')}</p>",
        {"It is eaten.": "a", "Dried.": "b"},
    ),
    "labels with stops": (
        f"<p>It is eaten [1]. Dried [2].<h3>Literature</h3><p>1. {entry('a')}<br>2. {entry('b')}</p>",
        {"It is eaten.": "a", "Dried.": "b"},
    ),
    "a definition list of labels": (
        f"<p>It is eaten [1]. Dried [2].<h2>References</h2><dl><dt>[1]</dt><dd>{entry('a')}</dd><dt>[2]</dt>"
        f"<dd>{entry('b')}</dd></dl>",
        {"It is eaten.": "a", "Dried.": "b"},
    ),
    "a table of labels": (
        f"<p>It is eaten [1]. Dried [2].<h2>References</h2><table><tr><td>[1]<td>{entry('a')}<tr><td>[2]"
        f"<td>{entry('b')}</table>",
        {"It is eaten.": "a", "Dried.": "b"},
    ),
    "a number beyond the list": (f"<p>It is eaten [12]. Dried [2].{OL}", {"It is eaten [12].": "", "Dried.": "b"}),
    "keys of letters and year": (
        f"<p>It is eaten [Ald98]. Dried [Bir03].<h2>References</h2><dl><dt>[Ald98]</dt><dd>{entry('a')}</dd>"
        f"<dt>[Bir03]</dt><dd>{entry('b', 2003)}</dd></dl>",
        {"It is eaten.": "a", "Dried.": "b"},
    ),
    # ---- author and year
    "author, year": (f"<p>It is eaten (Alder 1998). Dried.{BIB}", {"It is eaten (Alder 1998).": "a", "Dried.": ""}),
    "with a page behind": (f"<p>It is eaten (Alder 1998, p. 14).{BIB}", {"It is eaten (Alder 1998, p. 14).": "a"}),
    "with a page behind a colon": (f"<p>It is eaten (Alder, 1998: 14).{BIB}", {"It is eaten (Alder, 1998: 14).": "a"}),
    "two authors": (f"<p>It is eaten (Birk & Cedar, 2003).{BIB}", {"It is eaten (Birk & Cedar, 2003).": "Roots"}),
    "and others": (f"<p>It is eaten (Cedar et al. 2010a).{BIB}", {"It is eaten (Cedar et al. 2010a).": "c"}),
    "letters of one year": (f"<p>It is eaten (Cedar 2010b).{BIB}", {"It is eaten (Cedar 2010b).": "d"}),
    "author in the sentence": (f"<p>Alder (1998) eats it. Birk does not.{BIB}", {"Alder (1998) eats it.": "a"}),
    "of the author": (f"<p>Alder’s (1998) list has it.{BIB}", {"Alder’s (1998) list has it.": "a"}),
    "several in one bracket": (
        f"<p>It is eaten (Alder 1998; Birk and Cedar 2003).{BIB}",
        {"It is eaten (Alder 1998; Birk and Cedar 2003).": "a Roots"},
    ),
    "after the stop, in brackets": (
        f"<p>It is eaten. (Alder 1998) It is dried.{BIB}",
        {"It is eaten.": "a", "It is dried.": ""},
    ),
    "linked to its entry": (
        f'<p>It is eaten (<a href="#x1">Alder 1998</a>). Dried.<h2>References</h2><ul><li id="x1">{entry("a")}</ul>',
        {"It is eaten (Alder 1998).": "a", "Dried.": ""},
    ),
    "no entry of that name": (f"<p>It is eaten (Zelkova 1998).{BIB}", {"It is eaten (Zelkova 1998).": ""}),
    # ---- short notes that point to a bibliography
    "short note": (
        f'<p>It is eaten.{ref(1)}<h2>Notes</h2><ol><li id="n1">Alder 1998, p. 14.</ol>{BIB}',
        {"It is eaten.": "a"},
    ),
    "short note of two authors": (
        f'<p>It is eaten.{ref(1)}<h2>Notes</h2><ol><li id="n1">Birk & Cedar (2003), pp. 4–5.</ol>{BIB}',
        {"It is eaten.": "Roots"},
    ),
    "short note linked to its entry": (
        f'<p>It is eaten.{ref(1)}<h2>Notes</h2><ol><li id="n1"><a href="#bib-a">Alder 1998</a>, 14.</ol>'
        f'<h2>Bibliography</h2><ul><li id="bib-a">{entry("a")}</ul>',
        {"It is eaten.": "a"},
    ),
    "the same again": (
        f'<p>It is eaten.{ref(1)} It is dried.{ref(2)}<h2>Notes</h2><ol><li id="n1">{entry("a")}<li id="n2">Ibid., '
        "p. 20.</ol>",
        {"It is eaten.": "a", "It is dried.": "a"},
    ),
    "short note by name and short title": (
        f'<p>It is eaten.{ref(1)}<h2>Notes</h2><ol><li id="n1">Alder, <i>Herbs of nowhere</i>, p. 14.</ol>{BIB}',
        {"It is eaten.": "a"},
    ),
    "work cited before": (
        f'<p>It is eaten.{ref(1)} It is dried.{ref(2)} It is fried.{ref(3)}<h2>Notes</h2><ol><li id="n1">{entry("a")}'
        f'<li id="n2">{entry("b")}<li id="n3">Alder, op. cit., p. 20.</ol>',
        {"It is fried.": "a"},
    ),
    # ---- links in the text
    "link on words": (
        '<p>It <a href="http://a.example/">is eaten</a>. It is dried.',
        {"It is eaten.": "a", "It is dried.": ""},
    ),
    "link after the stop": (
        '<p>It is eaten. (<a href="http://a.example/">source</a>) It is dried.',
        {"It is eaten.": "a", "It is dried.": ""},
    ),
    "printed address": (
        "<p>It is eaten, see http://a.example/. It is dried.",
        {"It is eaten, see http://a.example/.": "a", "It is dried.": ""},
    ),
    "number that links straight out": (
        '<p>It is eaten.<a href="http://a.example/">[1]</a> It is dried.<a href="http://b.example/">[2]</a>',
        {"It is eaten.": "a", "It is dried.": "b"},
    ),
    "address in brackets behind the stop": (
        "<p>It is eaten. [http://a.example/] It is dried.",
        {"It is eaten.": "a", "It is dried.": ""},
    ),
    # ---- where in the paragraph, in which cell
    "one group at the end serves the whole paragraph": (
        f"<p>It is eaten. It is dried. It is fried.{ref(1)}{ref(2)}{OL}",
        {"It is eaten.": "a b", "It is dried.": "a b", "It is fried.": "a b"},
    ),
    "not where others have marks of their own": (
        f"<p>It is eaten. It is dried.{ref(1)} It is fried.{ref(2)}{OL}",
        {"It is eaten.": "", "It is dried.": "a", "It is fried.": "b"},
    ),
    "another paragraph": (f"<p>It is eaten.<p>It is dried.{ref(1)}{OL}", {"It is eaten.": "", "It is dried.": "a"}),
    "table cell": (
        f"<table><tr><th>Species<th>Use<tr><td>Fictaria alba<td>eaten{ref(1)}<tr><td>Mendacia<td>dried{ref(2)}"
        f"</table>{OL}",
        {"Use: eaten": "a", "Use: dried": "b"},
    ),
    "column of sources": (
        f"<table><tr><th>Species<th>Use<th>Source<tr><td>Fictaria alba<td>eaten<td>[1]<tr><td>Mendacia<td>dried<td>[2]"
        f"</table>{OL}",
        {"Use: eaten": "a", "Use: dried": "b"},
    ),
    "label and value": (f"<dl><dt>Edibility<dd>eaten raw{ref(2)}</dl>{OL}", {"Edibility: eaten raw": "b"}),
    "list items": (
        f"<ul><li>It is eaten.{ref(1)}<li>It is dried.</ul>{OL}",
        {"It is eaten.": "a", "It is dried.": ""},
    ),
    "in a quotation": (
        f"<blockquote><p>It is eaten.</blockquote><p>So he wrote.{ref(1)}{OL}",
        {"It is eaten.": "", "So he wrote.": "a"},
    ),
    "quotation mark before the mark": (f"<p>“It is eaten.”{ref(1)} It is dried.{OL}", {"“It is eaten.”": "a"}),
    "bracket before the mark": (f"<p>(It is eaten.){ref(1)} Dried.{OL}", {"(It is eaten.)": "a", "Dried.": ""}),
    "abbreviation before the mark": (
        f"<p>It is eaten by F. silvana subsp.{ref(1)} eaters. Dried.{OL}",
        {"It is eaten by F. silvana subsp. eaters.": "a", "Dried.": ""},
    ),
    "after a semicolon": (
        f"<p>It is eaten;{ref(1)} it is dried.{ref(2)} Fried.{OL}",
        {"It is eaten; it is dried.": "a b", "Fried.": ""},
    ),
    # ---- lists of sources, lists of further reading
    "sources below, no marks": (
        f"<p>It is eaten.<h3>Sources:</h3><ul><li>{entry('a')}<li>{entry('b')}</ul>",
        {"It is eaten.": ""},
    ),
    "further reading cites nothing": (
        f"<p>It is eaten (Alder 1998).<h2>Further reading</h2><ul><li>{entry('a')}</ul>",
        {"It is eaten (Alder 1998).": ""},
    ),
    "Fußnoten": (
        f'<p>It is eaten.{ref(1)}<h2>Einzelnachweise</h2><ol><li id="n1">↑ {entry("a")}</ol>',
        {"It is eaten.": "a"},
    ),
    # ---- works by identifier
    "handle": (
        f'<p>It is eaten.{ref(1)}<h2>References</h2><ol><li id="n1">Alder 1998. Herbs. hdl:10919/12345</ol>',
        {"It is eaten.": "hdl"},
    ),
    "number in PubMed": (
        f'<p>It is eaten.{ref(1)}<h2>References</h2><ol><li id="n1">Alder 1998. Herbs. PMID 12345678.</ol>',
        {"It is eaten.": "pmid"},
    ),
}


def cited(citation: Citation) -> str:
    """ "a" for http://a.example/, else the identifier's kind or the title."""
    letters = [url[7] for url in citation.urls if url[8:] == ".example/"]
    if letters:
        return " ".join(letters)
    known = {"hdl.handle.net": "hdl", "pubmed.ncbi.nlm.nih.gov": "pmid"}
    return next((known[url.split("/")[2]] for url in citation.urls if url.split("/")[2] in known), citation.title)


def works(document: Document, sentence: str) -> str:
    at = document.text.find(sentence)
    assert at >= 0, (sentence, document.text)
    said = Statement(sentence, Wording.EDIBLE, place=Place((), at, at + len(sentence)))
    return " ".join(cited(document.citations[key]) for key in Attached(document).keys(said))


@pytest.mark.parametrize("name", CASES)
def test_a_sentence_cites_what_its_marks_lead_to(name: str) -> None:
    body, expected = CASES[name]
    document = page(body)
    assert {sentence: works(document, sentence) for sentence in expected} == expected


def test_the_table_is_large_enough_to_mean_something() -> None:
    assert len(CASES) >= 60
    assert sum(works == "" for _, expected in CASES.values() for works in expected.values()) >= 20
