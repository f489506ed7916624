"""One work under several addresses, mirrors, and works named by identifiers. Pages, sites and numbers are invented."""

from __future__ import annotations

from collections.abc import Mapping

import pytest
from small_web import NO_HAZARDS

from doubtwort.audit import audit_page
from doubtwort.model import Audit, Fetched, NotFetched, Taxon, UnreadReason
from doubtwort.settings import Settings

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
CLAIM = "http://lore.example/fictwort"
SAYS = "<h1>Fictaria silvana</h1><p>Fictaria silvana is edible.</p>"
LONG = " ".join(
    f"In the {place} of the Low Hills Fictaria silvana stands beside {other}, and nobody has counted its {thing} there."
    for place, other, thing in [
        ("woods", "mossy stones", "leaves"), ("meadows", "a fallen gate", "flowers"), ("ditches", "willows", "roots"),
        ("quarries", "broken carts", "seeds"), ("gardens", "bean rows", "stalks"), ("lanes", "mile posts", "buds"),
    ]
)  # fmt: skip


def entries(*works: str) -> str:
    """A claim's page with one sentence that cites all of these."""
    marks = "".join(f'<sup><a href="#n{n}">[{n}]</a></sup>' for n in range(1, len(works) + 1))
    listed = "".join(f'<li id="n{n}">{each}</li>' for n, each in enumerate(works, 1))
    return f"<h1>Fictaria silvana</h1><p>Fictwort is edible.{marks}</p><h2>References</h2><ol>{listed}</ol>"


def audited(claim: str, pages: Mapping[str, str], **settings: object) -> tuple[Audit, list[str]]:
    asked: list[str] = []

    class Web:
        def fetch(self, url: str) -> Fetched | NotFetched:
            asked.append(url)
            page = claim if url == CLAIM else pages.get(url)
            if page is None:
                return NotFetched(url, UnreadReason.NOT_FOUND, "HTTP 404")
            return Fetched(
                url, url, 200, {"content-type": "text/html; charset=utf-8"}, page.encode(), "2026-11-25T09:00:00Z",
                "ab" * 32,
            )  # fmt: skip

    made = audit_page(CLAIM, TAXON, settings=Settings(**settings), fetcher=Web(), hazards=NO_HAZARDS)  # type: ignore[arg-type]
    return made, asked


def link(url: str, words: str = "Herbs") -> str:
    return f'Alder, B. (1998). <a href="{url}">{words}</a>.'


def canonical(url: str, text: str = LONG) -> str:
    return f'<html><head><link rel="canonical" href="{url}"></head><body>{SAYS}<p>{text}</p></body></html>'


def test_two_addresses_of_one_page_by_its_canonical_link_are_one_source() -> None:
    home = "http://herb.example/fictwort"
    pages = {home: canonical(home), "http://herb.example/print?id=7": canonical(home)}
    audit, _ = audited(entries(*map(link, pages)), pages)
    assert [each.url for each in audit.sources] == [home]
    assert audit.rating.value == "supported"


@pytest.mark.parametrize(
    "second",
    [
        canonical("http://herb.example/fictwort", "Another text stands here. " + LONG[::-1]),  # a wrong canonical link
        canonical("http://other.example/fictwort"),  # another site's
        f"<body>{SAYS}<p>{LONG}</p></body>",  # none
    ],
)
def test_otherwise_they_stay_two_sources(second: str) -> None:
    home = "http://herb.example/fictwort"
    pages = {home: canonical(home), "http://herb.example/b": second}
    audit, _ = audited(entries(*map(link, pages)), pages)
    assert len(audit.sources) == 2
    assert audit.rating.value == "supported"  # one site, one root


def test_a_page_that_warns_is_never_swallowed_by_a_wrong_canonical_link() -> None:
    home = "http://herb.example/fictwort"
    warns = canonical(home).replace("is edible", "is poisonous").replace(LONG, "It kills within a day.")
    audit, _ = audited(
        entries(link(home), link("http://herb.example/b")), {home: canonical(home), "http://herb.example/b": warns}
    )
    assert audit.rating.value == "disputed"


def test_mirrors_of_one_page_are_one_root_and_other_pages_are_not() -> None:
    page = f"<body>{SAYS}<p>{LONG}</p></body>"
    urls = ("http://a.example/x", "http://b.example/y")
    cites = entries(link(urls[0], "Herbs"), link(urls[1], "Roots").replace("Alder", "Birk"))
    audit, _ = audited(cites, dict.fromkeys(urls, page))
    assert (audit.rating.value, audit.root_groups) == ("supported", (("s1", "s2"),))
    other = page.replace(LONG, "A wholly different account of the plant, its hills and its ditches, by somebody else.")
    audit, _ = audited(cites, dict(zip(urls, (page, other), strict=True)))
    assert audit.rating.value == "corroborated"


def test_a_mirror_of_the_claims_own_page_is_circular() -> None:
    claim = entries(link("http://mirror.example/x")).replace("<h2>", f"<p>{LONG}</p><h2>")
    audit, _ = audited(claim, {"http://mirror.example/x": f"<p>Menu of the mirror.</p>{claim}"})
    assert [each.outcome.value for each in audit.sources] == ["circular"]
    assert any("(copy-of-claim)" in each for each in audit.reasons)


def test_two_sites_with_one_doi_in_their_metadata_are_one_root() -> None:
    def page(text: str) -> str:
        head = '<meta name="citation_doi" content="10.5555/herbs">'
        return f"<html><head>{head}</head><body>{SAYS}<p>{text}</p></body></html>"

    urls = ("http://a.example/x", "http://b.example/y")
    pages = dict(zip(urls, (page("The abstract alone."), page("The whole text of it, at another site.")), strict=True))
    cites = entries(link(urls[0], "Herbs"), link(urls[1], "Roots").replace("Alder", "Birk"))
    audit, _ = audited(cites, pages)
    assert (audit.rating.value, audit.root_groups) == ("supported", (("s1", "s2"),))


RESOLVERS = {
    "https://doi.org/": "http://127.0.0.1:9/doi/",
    "https://hdl.handle.net/": "http://127.0.0.1:9/hdl/",
    "https://pubmed.ncbi.nlm.nih.gov/": "http://127.0.0.1:9/pubmed/",
}


@pytest.mark.parametrize(
    ("work", "shown", "asked_for"),
    [
        ("Alder 1998. Herbs. doi:10.5555/Herbs.1", "https://doi.org/10.5555/herbs.1", "/doi/10.5555/herbs.1"),
        ("Alder 1998. Herbs. hdl:10919/12345", "https://hdl.handle.net/10919/12345", "/hdl/10919/12345"),
        ("Alder 1998. Herbs. PMID: 12345678.", "https://pubmed.ncbi.nlm.nih.gov/12345678/", "/pubmed/12345678/"),
    ],
)
def test_identifiers_lead_to_their_resolvers(work: str, shown: str, asked_for: str) -> None:
    audit, asked = audited(entries(work), {f"http://127.0.0.1:9{asked_for}": SAYS}, resolvers=RESOLVERS)
    assert f"http://127.0.0.1:9{asked_for}" in asked
    assert shown not in asked
    assert [(each.url, each.outcome.value) for each in audit.sources] == [(shown, "supports")]


@pytest.mark.parametrize(
    ("one", "other"),
    [
        ("Alder 1998. Herbs. PMID 12345678.", link("https://pubmed.ncbi.nlm.nih.gov/12345678")),
        ("Alder 1998. Herbs. PMID 12345678.", link("https://www.ncbi.nlm.nih.gov/pubmed/12345678")),
        ("Alder 1998. Herbs. doi:10.5555/Herbs", link("https://press.example/doi/10.5555/herbs")),
        ("Alder 1998. Herbs. hdl:10919/12345", link("http://repository.example/handle/10919/12345")),
        ("Alder 1998. Herbs. ISBN 0-306-40615-2", "Alder B. <i>Herbs</i>, 1998. ISBN 978-0-306-40615-7."),
    ],
)
def test_two_entries_with_one_identifier_are_one_source(one: str, other: str) -> None:
    audit, _ = audited(entries(one, other), {})
    assert len(audit.sources) == 1


def test_further_reading_is_told_of_and_not_followed() -> None:
    claim = f"<h1>Fictaria silvana</h1><p>Fictwort is edible.</p><h2>Further reading</h2><ul><li>{link('http://a.example/')}</ul>"
    audit, asked = audited(claim, {"http://a.example/": SAYS})
    assert (audit.rating.value, asked) == ("uncited", [CLAIM])
    assert any("lists 1 work as further reading" in each for each in audit.notes)
