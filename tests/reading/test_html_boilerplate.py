"""What is no text of the page goes, and what is stays."""

from __future__ import annotations

import pytest
from reading_pages import page, texts

MAIN = "<main><h1>Fictwort</h1>" + "<p>Fictwort grows in hedges. Its leaves are eaten by people in spring.</p>" * 6


@pytest.mark.parametrize(
    "part",
    [
        "<nav><a href=/>Edible plants</a></nav>",
        "<div role=navigation><a href=/>Edible</a></div>",
        "<div class=breadcrumbs><a href=/>Edible</a> &gt; <a href=/x>Plants</a></div>",
        "<footer><p>Edible herbs, all rights reserved</p></footer>",
        "<header><p>The edible site</p></header>",
        "<div id=cookie-notice><p>We use edible cookies.</p></div>",
        "<div class='share-buttons'>Share edible</div>",
        "<section id=comments><ol><li class=comment>I ate it, edible!</ol></section>",
        "<ol class=commentlist><li>I ate it, edible!</ol>",
        "<div class=related-posts><ul><li><a href=/y>Edible nuts</a></ul></div>",
        "<aside class=sidebar><ul><li><a href=/y>Edible nuts</a></ul></aside>",
        "<div id=toc><ul><li><a href=#a>Edible uses</a></ul></div>",
        "<form><label>Search edible plants</label><input></form>",
        "<p hidden>edible</p>",
        "<p style='color:red; display: none'>edible</p>",
        "<i aria-hidden=true class=icon>edible</i>",
        "<button>Show edible</button>",
        "<select><option>edible</select>",
        "<noscript>edible</noscript>",
        "<dialog>edible</dialog>",
    ],
)
def test_is_left_out(part: str) -> None:
    assert "dible" not in page(f"<body>{part}{MAIN}</main>{part}").text


@pytest.mark.parametrize(
    "part",
    [
        "<aside><p>Caution: the fruit is toxic.</p></aside>",
        "<aside class='portable-infobox sidebar'><table><tr><th>Edibility<td>toxic</table></aside>",
        "<div class=comments><p>Comments: the fruit is toxic.</p></div>",
        "<div class=has-sidebar><p>The fruit is toxic.</p></div>",
        "<div class=no-comments><p>The fruit is toxic.</p></div>",
        "<p aria-hidden=true>The fruit is toxic.</p>",
        "<div role=tabpanel hidden>The fruit is toxic.</div>",
        "<article><header><p>The fruit is toxic.</p></header></article>",
        "<div hidden=until-found>The fruit is toxic.</div>",
    ],
)
def test_stays(part: str) -> None:
    assert "toxic" in page(f"<body>{MAIN}{part}</main>").text


def test_page_wrapped_in_one_form_or_one_odd_class_is_kept() -> None:
    assert "eaten" in page(f"<form>{MAIN}</main></form>").text
    assert "eaten" in page(f"<div class='sidebar menu'><p>{MAIN}</div>").text
    assert "eaten" in page("<nav>" + "<p>Fictwort is eaten in spring.</p>" * 9 + "</nav>").text


def test_edit_links_go_from_headings() -> None:
    document = page(MAIN + "<h2>Uses<span class=mw-editsection>[<a href=/e>edit</a>]</span></h2><p>x</p></main>")
    assert "Uses" in texts(document, "heading")


def test_contents_list_that_repeats_the_headings_goes_and_an_index_stays() -> None:
    heads = "".join(f"<h2 id=s{n}>Part {n}</h2><p>Leaves.</p>" for n in range(4))
    links = "".join(f"<li><a href=#s{n}>Part {n}</a>" for n in range(4))
    assert texts(page(f"<ul>{links}</ul>{heads}"), "list-item") == []
    other = "".join(f"<li><a href=#s{n}>Fictaria {n}, poisonous</a>" for n in range(4))
    assert len(texts(page(f"<ul>{other}</ul>{heads}"), "list-item")) == 4


def test_printed_page_numbers_go() -> None:
    body = "<p>the common<span class=pagenum>[Pg 20]</span> fictwort<span role=doc-pagebreak>21</span> is eaten"
    assert texts(page(body)) == ["the common fictwort is eaten"]


def test_title_subjects_language() -> None:
    document = page(
        "<html lang=en-GB><title>Fictwort | Herb Pages</title><meta property=og:site_name content='Herb Pages'>"
        '<script type="application/ld+json">{"@type":"Article","headline":"On fictwort","author":{"@type":"Person",'
        '"name":"A. Writer"},"about":{"@type":"Taxon","name":"Fictaria silvana"}}</script>'
        "<meta name=citation_title content='Fictwort as food'><p>Text of the page."
    )
    assert document.title == "Fictwort"
    assert document.language == "en-GB"
    assert set(document.subjects) == {"On fictwort", "Fictaria silvana", "Fictwort as food"}


@pytest.mark.parametrize(
    ("head", "body", "title"),
    [
        ("<title>Fictaria silvana - Herb Pages</title>", "<h1><i>Fictaria silvana</i></h1>", "Fictaria silvana"),
        ("<title>Fictaria - Wild food</title>", "<h1>Welcome to our site</h1>", "Fictaria - Wild food"),
        (
            "<title>Fictaria alba - Herb Pages</title>",
            "<h1>Fictaria alba<div>Mock nut</div></h1>",
            "Fictaria alba, Mock nut",
        ),
        ("<title>Home</title>", "<h1>Fictwort</h1>", "Fictwort"),
        ("<meta property=og:title content='Fictwort facts'>", "", "Fictwort facts"),
        ("<title>Fictwort :: herb</title>", "", "Fictwort"),
        ("<title>Hogfict - Fictaria silvana</title>", "", "Hogfict - Fictaria silvana"),
    ],
)
def test_titles(head: str, body: str, title: str) -> None:
    assert page(f"{head}{body}<p>Text of the page.").title == title
