"""Whole audits with the program's own readers, over pages of invented sites about invented taxa."""

from __future__ import annotations

from dataclasses import dataclass, field

import pytest

from audit.small_web import NO_HAZARDS
from doubtwort.audit import audit_page
from doubtwort.model import Audit, Fetched, NotFetched, Rating, Taxon, UnreadReason, Wording
from doubtwort.settings import Settings

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",))
CLAIM = "http://herb.example/fictwort"


@dataclass
class Pages:
    """A fetcher over pages of HTML. Each is shown with the taxon's name as its title."""

    bodies: dict[str, str] = field(default_factory=dict)

    def fetch(self, url: str) -> Fetched | NotFetched:
        body = self.bodies.get(url.partition("#")[0])
        if body is None:
            return NotFetched(url, UnreadReason.NOT_FOUND, "HTTP 404")
        page = f"<html><head><title>Fictaria silvana</title></head><body><h1>Fictaria silvana</h1>{body}</body></html>"
        return Fetched(url, url, 200, {"content-type": "text/html; charset=utf-8"}, page.encode(), "", "00" * 32)


def audit(claim: str, **sources: str) -> Audit:
    listed = "".join(f'<li id="n-{name}"><a href="http://{name}.example/">Work {name}</a></li>' for name in sources)
    marks = "".join(f'<sup><a href="#n-{name}">[{number}]</a></sup>' for number, name in enumerate(sources, start=1))
    pages = Pages({CLAIM: f"<p>It grows in bogs. {claim}{marks}</p><h2>References</h2><ol>{listed}</ol>"})
    pages.bodies |= {f"http://{name}.example/": body for name, body in sources.items()}
    return audit_page(CLAIM, TAXON, settings=Settings(), fetcher=pages, hazards=NO_HAZARDS)


@pytest.mark.parametrize(
    ("claim", "sources", "rating"),
    [
        ("The leaves are edible.", {}, "uncited"),
        ("The leaves are edible.", {"a": "<p>The leaves of Fictaria silvana are edible.</p>"}, "supported"),
        (
            "The leaves are edible.",
            {
                "a": "<p>The leaves of Fictaria silvana are edible.</p>",
                "b": "<p>In the hills the leaves of fictwort are eaten raw or cooked.</p>",
            },
            "corroborated",
        ),
        ("Fictwort is edible.", {"a": "<p>Fictaria silvana is not poisonous.</p>"}, "stretched"),
        (
            "Fictwort is edible.",
            {"a": "<p>Fictaria silvana is poisonous raw, but edible once boiled.</p>"},
            "partly-supported",
        ),
        ("Fictwort is edible.", {"a": "<p>Fictaria silvana is deadly poisonous.</p>"}, "contradicted"),
        (
            "Fictwort is edible.",
            {"a": "<p>Fictaria silvana is edible.</p>", "b": "<p>Fictaria silvana is poisonous.</p>"},
            "disputed",
        ),
        ("Fictwort is edible.", {"a": "<p>Fictaria silvana grows in bogs.</p>"}, "unsupported"),
    ],
)
def test_rating_of_a_page(claim: str, sources: dict[str, str], rating: str) -> None:
    assert audit(claim, **sources).rating.value == rating


def test_citations_are_those_of_the_claims_sentence() -> None:
    found = audit("The leaves are edible.", a="<p>The leaves of Fictaria silvana are edible.</p>")
    assert [each.url for each in found.sources] == ["http://a.example/"]
    assert found.claim.quote == "The leaves are edible."
    assert found.claim.parts == ("leaf",)


def test_a_toxic_root_is_shown_beside_an_edible_leaf() -> None:
    found = audit("The leaves are edible.", a="<p>The leaves of fictwort are edible. Its roots are poisonous.</p>")
    assert found.rating is Rating.SUPPORTED
    assert found.cautions[0].code == "toxic-stated"
    assert "(root)" in found.cautions[0].text
    assert found.sources[0].statements[1].wording is Wording.TOXIC


def test_a_real_audit_is_the_same_every_time() -> None:
    def once() -> Audit:
        found = audit(
            "Fictwort is edible.", a="<p>Fictaria silvana is edible.</p>", b="<p>It is said to be edible.</p>"
        )
        return found

    one, other = once(), once()
    assert (one.reasons, one.sources, one.trail) == (other.reasons, other.sources, other.trail)
