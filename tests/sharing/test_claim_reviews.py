"""ClaimReview in JSON-LD, held against the properties and types that schema.org publishes."""

from __future__ import annotations

import io
import json
from dataclasses import replace

import pytest

from doubtwort.model import Rating, Wording
from doubtwort.notebook import open_notebook
from doubtwort.sharing.claim_review import write_claim_reviews
from notebook.notebook_values import a_claim, an_audit
from sharing.sharing_samples import everything

# From schema.org's published vocabulary, release 12.0 (data/releases/12.0/schemaorg-current-https-properties.csv of
# github.com/schemaorg/schemaorg): property → types that it belongs to, types of its values. Those of Claim are in that
# repository's data/ext/pending/issue-1828.ttl. The rows of about, alternateName, author, datePublished, name,
# ratingExplanation, text and url are from schema.org/<property>, read from memory.
PROPERTIES = {
    "about": ({"CreativeWork"}, {"Thing"}),
    "alternateName": ({"Thing"}, {"Text"}),
    "appearance": ({"Claim"}, {"CreativeWork"}),
    "author": ({"CreativeWork", "Rating"}, {"Organization", "Person"}),
    "citation": ({"CreativeWork"}, {"CreativeWork", "Text"}),
    "claimReviewed": ({"ClaimReview"}, {"Text"}),
    "comment": ({"CreativeWork", "RsvpAction"}, {"Comment"}),
    "datePublished": ({"CreativeWork"}, {"Date", "DateTime"}),
    "description": ({"Thing"}, {"Text"}),
    "disambiguatingDescription": ({"Thing"}, {"Text"}),
    "itemListElement": ({"ItemList"}, {"ListItem", "Text", "Thing"}),
    "itemReviewed": ({"AggregateRating", "Review"}, {"Thing"}),
    "name": ({"Thing"}, {"Text"}),
    "ratingExplanation": ({"Rating"}, {"Text"}),
    "reviewBody": ({"Review"}, {"Text"}),
    "reviewRating": ({"Review"}, {"Rating"}),
    "text": ({"CreativeWork"}, {"Text"}),
    "url": ({"Thing"}, {"URL"}),
}
# rdfs:subClassOf in the same release's types.
PARENT = {
    "Book": "CreativeWork", "Claim": "CreativeWork", "ClaimReview": "Review", "Comment": "CreativeWork",
    "CreativeWork": "Thing", "ItemList": "Intangible", "Intangible": "Thing", "MediaObject": "CreativeWork",
    "Person": "Thing", "Rating": "Intangible", "Review": "CreativeWork", "ScholarlyArticle": "Article",
    "Article": "CreativeWork", "VideoObject": "MediaObject", "WebPage": "CreativeWork",
}  # fmt: skip
LITERAL = {"Text", "URL", "Date", "DateTime"}


def kinds(name: str) -> set[str]:
    found = {name}
    while name in PARENT:
        name = PARENT[name]
        found.add(name)
    assert "Thing" in found, f"{name} is no type of the vocabulary"
    return found


def breaches(node: dict, path: str = "") -> list[str]:
    """Where a node has a property that its type does not have, or a value of a type that the property does not take."""
    told = []
    mine = kinds(node["@type"])
    for name, value in node.items():
        if name.startswith("@"):
            continue
        here = f"{path}{node['@type']}.{name}"
        if name not in PROPERTIES:
            told.append(f"{here}: no property that is known here")
            continue
        domains, ranges = PROPERTIES[name]
        if not mine & domains:
            told.append(f"{here}: not for this type")
        for each in value if isinstance(value, list) else [value]:
            if isinstance(each, dict):
                if not kinds(each["@type"]) & ranges:
                    told.append(f"{here}: takes no {each['@type']}")
                told += breaches(each, f"{here}/")
            elif not (isinstance(each, str) and ranges & LITERAL):
                told.append(f"{here}: takes no such value as {each!r}")
    return told


def reviews(path, **options) -> dict:
    out = io.StringIO()
    with open_notebook(path, create=False) as notebook:
        write_claim_reviews(notebook, out, **options)
    return json.loads(out.getvalue())


@pytest.fixture
def full(tmp_path):
    return everything(tmp_path / "n.sqlite")


def test_every_property_and_type_is_the_vocabularys(full):
    found = reviews(full, author="Ann", base_url="http://reports.example/list/")
    assert found["@context"] == "https://schema.org"
    assert breaches(found) == []


@pytest.mark.parametrize(
    ("node", "said"),
    [
        ({"@type": "Claim", "claimReviewed": "x"}, "not for this type"),
        ({"@type": "ClaimReview", "reviewRating": "good"}, "takes no such value"),
        ({"@type": "ClaimReview", "reviewRating": {"@type": "Person"}}, "takes no Person"),
        ({"@type": "Rating", "ratingWord": "x"}, "no property"),
        ({"@type": "Claim", "text": 4}, "takes no such value"),
    ],
)
def test_a_breach_would_be_found(node, said):
    assert any(said in each for each in breaches(node))


def test_what_a_review_says(full):
    (review,) = reviews(full, author="Ann", base_url="http://reports.example/list")["itemListElement"]
    assert review["claimReviewed"] == "Claimed of Fictaria silvana: edible. “All parts are edible.”"
    assert review["itemReviewed"]["text"] == "All parts are edible."
    assert review["itemReviewed"]["appearance"] == {"@type": "WebPage", "url": "http://herb.example/f"}
    assert review["author"] == {"@type": "Person", "name": "Ann"}
    assert review["datePublished"] == "2026-11-25"
    assert review["url"] == "http://reports.example/list/claim-c1.html"
    assert [each["url"] for each in review["citation"]] == [f"http://s{n}.example/p" for n in (1, 2, 3)]
    assert "“Raw roots are poisonous (1).” (toxic)" in review["citation"][0]["description"]


def test_the_rating_is_its_word_and_no_number(full):
    (review,) = reviews(full)["itemListElement"]
    rating = review["reviewRating"]
    assert rating["alternateName"] == "supported"
    assert set(rating) == {"@type", "alternateName", "ratingExplanation"}
    assert "safe to eat" in rating["ratingExplanation"]


def test_cautions_travel_with_each_review_and_with_the_list(full):
    found = reviews(full)
    assert "No rating and no reading means" in found["disambiguatingDescription"]
    (review,) = found["itemListElement"]
    comments = {each["name"] for each in review["comment"]}
    assert {"toxic-stated", "own-reaction", "not-safe"} <= comments
    body = review["reviewBody"]
    assert body.index("calls the raw roots poisonous") < body.index("partly-supported: s1 speaks")  # danger first
    assert "itching" in body


def test_a_claim_that_nobody_audited_has_no_review_and_no_address_is_made_up(tmp_path):
    path = tmp_path / "n.sqlite"
    claim = replace(a_claim("c1"), url="javascript:alert(1)", wording=Wording.TOXIC)
    with open_notebook(path) as notebook:
        notebook.keep_claim(a_claim("c2"))
        notebook.keep_audit(replace(an_audit("c1", rating=Rating.UNSUPPORTED), claim=claim))
    (review,) = reviews(path)["itemListElement"]
    assert "url" not in review
    assert "appearance" not in review["itemReviewed"]
    assert any("never evidence of safety" in each["text"] for each in review["comment"])


def test_an_empty_notebook_gives_an_empty_list(tmp_path):
    with open_notebook(tmp_path / "n.sqlite"):
        pass
    assert reviews(tmp_path / "n.sqlite")["itemListElement"] == []
