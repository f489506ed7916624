"""What metadata says of a page and of the works that it cites. Pages and identifiers (prefix 10.5555) are invented."""

from __future__ import annotations

import json

import pytest
from reading_pages import page
from small_pdf import column, pdf

from doubtwort.model import Citation

BODY = "<p>It is eaten (Alder 1998).</p>"


def own(head: str) -> Citation:
    work = page(f"<html><head>{head}</head><body>{BODY}</body></html>").work
    assert work is not None
    return work


@pytest.mark.parametrize(
    "head",
    [
        # Highwire Press tags, as indexers of scholarly pages ask for them (common practice)
        '<meta name="citation_title" content="On leaves"><meta name="citation_author" content="Alder, B.">'
        '<meta name="citation_publication_date" content="1998/05/03"><meta name="citation_doi" '
        'content="10.5555/LEAF.1">',
        # Dublin Core in HTML, DCMI recommendation of 2008
        '<meta name="DC.title" content="On leaves"><meta name="DC.creator" content="Alder, B.">'
        '<meta name="DC.date" content="1998"><meta name="DC.identifier" content="doi:10.5555/leaf.1">',
        # schema.org ScholarlyArticle in JSON-LD 1.1
        '<script type="application/ld+json">'
        + json.dumps(
            {
                "@context": "https://schema.org",
                "@type": "ScholarlyArticle",
                "headline": "On leaves",
                "author": [{"@type": "Person", "name": "Alder, B."}],
                "datePublished": "1998-05-03",
                "identifier": {"@type": "PropertyValue", "propertyID": "doi", "value": "10.5555/leaf.1"},
            }
        )
        + "</script>",
    ],
)
def test_the_page_as_a_work(head: str) -> None:
    work = own(head)
    assert (work.title, work.authors, work.year, work.doi) == ("On leaves", ("Alder, B.",), "1998", "10.5555/leaf.1")


def test_canonical_address_and_isbn() -> None:
    work = own('<link rel="canonical" href="/leaf"><meta name="citation_isbn" content="0-306-40615-2">')
    assert (work.urls, work.isbn) == (("http://herb.example/leaf",), "9780306406157")
    assert own('<meta name="citation_isbn" content="0-306-40615-3"><meta name="dc.title" content="T">').isbn == ""


def test_a_page_that_says_nothing_of_itself() -> None:
    assert page(BODY).work is None


# Works of the metadata lead where the page itself prints no list; those that it prints gain their address.
LISTED = [
    '<meta name="citation_reference" content="citation_title=Herbs of nowhere;citation_author=Alder '
    "B;citation_year=1998;"
    'citation_doi=10.5555/alder">',
    '<meta name="citation_reference" content="Alder B (1998) Herbs of nowhere. doi:10.5555/alder">',
    '<meta name="dcterms.references" content="Alder, B. (1998). Herbs of nowhere. doi:10.5555/alder">',
    '<script type="application/ld+json">{"@type": "Article", "citation": [{"@type": "Book", "name": "Herbs of '
    'nowhere", '
    '"author": "Alder, B.", "datePublished": "1998", "sameAs": "https://doi.org/10.5555/alder"}]}</script>',
]


@pytest.mark.parametrize("head", LISTED)
@pytest.mark.parametrize("printed", [False, True])
def test_works_of_the_metadata(head: str, printed: bool) -> None:
    entries = "<h2>References</h2><ul><li>Alder, B. (1998). Herbs of nowhere. Demo Press.</ul>" if printed else ""
    document = page(f"<html><head>{head}</head><body>{BODY}{entries}</body></html>")
    (citation,) = document.citations.values()
    assert (citation.doi, citation.year, citation.title) == ("10.5555/alder", "1998", "Herbs of nowhere")
    assert [mark.key for passage in document.passages for mark in passage.marks] == [citation.key]


def test_jats_says_what_it_is() -> None:
    # ANSI/NISO Z39.96-2019, <article-meta>
    document = page(
        '<?xml version="1.0"?><article article-type="research-article"><front><article-meta><article-id '
        'pub-id-type="doi">'
        "10.5555/jats.1</article-id><title-group><article-title>On leaves</article-title></title-group><contrib-group>"
        "<contrib><name><surname>Alder</surname><given-names>B</given-names></name></contrib></contrib-group><pub-date>"
        "<year>1998</year></pub-date></article-meta></front><body><sec><title>Use</title><p>It is eaten [<xref "
        'ref-type="bibr"'
        ' rid="B1">1</xref>].</p></sec></body><back><ref-list><ref '
        'id="B1"><element-citation><person-group><name><surname>Birk'
        "</surname><given-names>C</given-names></name></person-group><year>2001</year><article-title>Roots</article-title>"
        '<pub-id pub-id-type="doi">10.5555/birk</pub-id></element-citation></ref></ref-list></back></article>',
        "application/xml",
    )
    assert document.work is not None
    assert (document.work.doi, document.work.authors, document.work.year) == ("10.5555/jats.1", ("Alder",), "1998")
    assert [c.doi for c in document.citations.values()] == ["10.5555/birk"]
    assert document.passages[-1].text == "It is eaten."


def test_a_list_of_a_pdf_with_hyphens_at_line_ends() -> None:
    lines = [
        "The young leaves are eaten boiled [1]. The roots are not eaten [2], and nobody knows why [3].",
        "",
        "References",
        "",
        "[1] Alder, B. 1998. Herbs of nowhere. http://alder.example/herbs-of-",
        "\tnowhere/leaf.html",
        "[2] Birk, C. 2001. Roots. Invented Journal 3: 4-9. doi:10.5555/",
        "\tbirk.2001-14",
        "[3] Cedar, D. 2003. Doubts. https://doi.org/10.5555/ce-",
        "\tdar.2003",
    ]
    document = page(pdf([column(50, 700, lines, indent=20)]), "application/pdf")
    found = list(document.citations.values())
    assert found[0].urls[0] == "http://alder.example/herbs-of-nowhere/leaf.html"
    assert found[1].doi == "10.5555/birk.2001-14"
    assert found[2].doi == "10.5555/ce-dar.2003"
    assert [mark.key for mark in document.passages[0].marks] == ["ref-1", "ref-2", "ref-3"]


@pytest.mark.parametrize(
    ("text", "pages"),
    [
        ("It is eaten (Alder 1998, p. 14).", "14"),
        ("It is eaten (Alder 1998: 14–16).", "14–16"),
        ("Alder (1998, pp. 3-4) eats it.", "3-4"),
        ("It is eaten (Alder 1998).", ""),
    ],
)
def test_the_page_that_is_cited_goes_with_the_work(text: str, pages: str) -> None:
    document = page(f"<p>{text}<h2>References</h2><ul><li>Alder, B. (1998). Herbs of nowhere. ISBN 0-306-40615-2.</ul>")
    (mark,) = document.passages[0].marks
    assert (document.citations[mark.key].pages, document.citations[mark.key].isbn) == (pages, "9780306406157")


def test_hostile_metadata_is_bounded() -> None:
    deep = '{"@type": "Article", "citation": ' + "[" * 5_000 + "]" * 5_000 + "}"
    many = '<meta name="citation_reference" content="Alder 1998. Herbs.">' * 5_000
    document = page(
        f'<html><head>{many}<script type="application/ld+json">{deep}</script></head><body>{BODY}</body></html>'
    )
    assert len(document.citations) == 1
