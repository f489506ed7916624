"""PDF: pages, paragraphs, columns, running heads, headings, references, files that cannot be read."""

from __future__ import annotations

from reading_pages import fetched, page, refused, texts
from small_pdf import column, pdf

from doubtwort.model import Document, UnreadReason
from doubtwort.reading import read
from doubtwort.settings import Settings

PROSE = [
    "Fictwort is a herb of hedges and ditches that is seen all over the",
    "invented valley. The young leaves are gathered in spring and boiled",
    "like any other green; the ripe fruit is left alone by everybody, as it",
    "made several people ill.",
]


def read_pdf(body: bytes) -> Document:
    return page(body, "application/pdf", "http://herb.example/f.pdf")


def test_lines_become_paragraphs_with_headings_and_pages() -> None:
    first = [(60, 740, 20, "Fictwort as food"), (60, 700, 10, "Uses", True), *column(60, 680, PROSE)]
    second = [(60, 740, 10, "Toxicity", True), *column(60, 720, ["The seeds are poisonous."])]
    document = read_pdf(pdf([first, second]))
    assert document.title == "Fictwort as food"
    assert [(p.kind, p.page, p.headings, p.text.replace("\n", " ")) for p in document.passages] == [
        ("heading", 1, (), "Fictwort as food"),
        ("heading", 1, (), "Uses"),
        ("paragraph", 1, ("Uses",), " ".join(PROSE)),
        ("heading", 2, (), "Toxicity"),
        ("paragraph", 2, ("Toxicity",), "The seeds are poisonous."),
    ]


def test_two_columns_are_read_one_after_the_other_even_when_drawn_line_by_line() -> None:
    left = [f"left line {n} of a longer column about" for n in range(12)]
    right = [f"right line {n} of a longer column with" for n in range(12)]
    lines = [each for pair in zip(column(50, 700, left), column(320, 700, right), strict=True) for each in pair]
    text = read_pdf(pdf([lines])).text
    assert text.index("left line 11") < text.index("right line 0")
    assert text.index("right line 0") < text.index("right line 11")


def test_heading_drawn_last_is_read_first() -> None:
    lines = [*column(60, 680, PROSE), (60, 700, 16, "Drawn last")]
    assert texts(read_pdf(pdf([lines])))[0] == "Drawn last"


def test_running_heads_and_page_numbers_go() -> None:
    pages = [
        [
            (60, 780, 9, f"Invented Journal of Herbs {n}"),
            *column(60, 700, [f"Page {w} says this.", *PROSE]),
            (300, 30, 9, str(n)),
        ]
        for n, w in ((3, "one"), (4, "two"), (5, "three"), (6, "four"))
    ]
    text = read_pdf(pdf(pages)).text
    assert "Invented Journal" not in text
    assert text.count("says this.") == 4
    assert "\n5" not in text


def test_paragraph_that_goes_on_overleaf_is_one() -> None:
    document = read_pdf(pdf([column(60, 700, PROSE[:2]), column(60, 700, PROSE[2:])]))
    assert len(document.passages) == 1
    assert document.passages[0].page == 1


def test_references_with_hanging_indents_and_broken_addresses() -> None:
    body = [*column(60, 740, ["Fictwort is eaten (Alder 1998; Birk & Cedar 2001)."]), (60, 710, 12, "References", True)]
    refs = column(
        60,
        690,
        [
            "Alder, B. 1998. Herbs of an invented valley. Demo Press. http://alder.example/her-",
            "\tbs/fictwort.html. Accessed in 2009.",
            "Birk, C. & Cedar, D. 2001. Roots. Invented Journal 3:4-9. doi:10.1000/inv-",
            "\tented.2001.4",
            "Dogwood, E. 2003. Seeds. Invented Journal 4:1-2. http://dogwood.example/papers/",
            "\tseeds.pdf",
        ],
        indent=30,
    )
    document = read_pdf(pdf([[*body, *refs]]))
    assert [c.authors[0] for c in document.citations.values()] == ["Alder", "Birk", "Dogwood"]
    alder, birk, dogwood = document.citations.values()
    assert alder.urls == ("http://alder.example/her-bs/fictwort.html", "http://alder.example/herbs/fictwort.html")
    assert birk.doi == "10.1000/inv-ented.2001.4"
    assert dogwood.urls[0] == "http://dogwood.example/papers/seeds.pdf"
    assert [m.key for m in document.passages[0].marks] == [alder.key, birk.key]


def test_pages_are_bounded() -> None:
    body = pdf([column(60, 700, [f"Page number {n} holds a sentence."]) for n in range(9)])
    document = read(fetched(body, "application/pdf"), Settings(max_pdf_pages=2))
    assert isinstance(document, Document)
    assert {p.page for p in document.passages} == {1, 2}


def test_files_that_hold_no_text_or_are_damaged() -> None:
    assert refused(pdf([[]])).reason is UnreadReason.NO_TEXT
    assert refused(b"%PDF-1.4\nnonsense").reason is UnreadReason.NO_TEXT
    assert "damaged" in refused(b"%PDF-1.7\n" + b"\x00\xff" * 500).detail


def test_metadata_title_unless_it_is_a_file_name() -> None:
    lines = [*column(60, 680, PROSE)]
    assert read_pdf(pdf([lines], "Fictwort in food")).title == "Fictwort in food"
    assert read_pdf(pdf([lines], "Microsoft Word - draft3.doc")).title == ""
