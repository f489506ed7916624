"""Answers of a names service, as documented and hostile; each published example with its source."""

from __future__ import annotations

import json

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from doubtwort.taxa.languages import language_tag
from doubtwort.taxa.usages import (
    Unreadable,
    Usage,
    read_match,
    read_object,
    read_page,
    read_usage,
    usage_of,
    vernacular_names,
)

# The documentation's own example of /species/{key}/synonyms: api.gbif.org/v1/species/2973063/synonyms, as linked at
# techdocs.gbif.org/en/openapi/v1/species; facts of a published answer, fields that are not read left out.
PUBLISHED_SYNONYM = {
    "key": 2973064, "nubKey": 2973064, "taxonID": "gbif:2973064", "kingdom": "Plantae", "family": "Fabaceae",
    "genus": "Albizia", "acceptedKey": 2973063, "accepted": "Albizia inundata (Mart.) Barneby & J.W.Grimes",
    "scientificName": "Acacia inundata Mart.", "canonicalName": "Acacia inundata", "authorship": "Mart.",
    "rank": "SPECIES", "taxonomicStatus": "HOMOTYPIC_SYNONYM", "nomenclaturalStatus": [], "synonym": True,
}  # fmt: skip
# The documentation's own example of /species/match: ?verbose=true&kingdom=Plantae&name=Oenante.
PUBLISHED_MATCH = {
    "usageKey": 3034893, "scientificName": "Oenanthe L.", "canonicalName": "Oenanthe", "rank": "GENUS",
    "status": "ACCEPTED", "confidence": 85, "matchType": "FUZZY", "kingdom": "Plantae", "family": "Apiaceae",
    "synonym": False, "alternatives": [
        {"usageKey": 2492483, "scientificName": "Oenanthe Vieillot, 1816", "canonicalName": "Oenanthe",
         "rank": "GENUS", "status": "ACCEPTED", "confidence": 24, "matchType": "FUZZY", "kingdom": "Animalia",
         "family": "Muscicapidae", "synonym": False},
        {"usageKey": 7984973, "acceptedUsageKey": 2492483, "scientificName": "Oenanthe Pallas, 1771",
         "canonicalName": "Oenanthe", "rank": "GENUS", "status": "SYNONYM", "confidence": 23, "matchType": "FUZZY",
         "kingdom": "Animalia", "family": "Muscicapidae", "synonym": True},
    ],
}  # fmt: skip


def body(value: object) -> bytes:
    return json.dumps(value).encode()


def test_a_published_synonym_is_read():
    read = usage_of(PUBLISHED_SYNONYM)
    assert read is not None
    assert (read.key, read.accepted_key, read.concept, read.name) == (2973064, 2973063, 2973063, "Acacia inundata")
    assert (read.taxonomic_status, read.is_synonym, read.is_plain_synonym) == ("HOMOTYPIC_SYNONYM", True, True)
    assert (read.family, read.kingdom, read.rank, read.authorship) == ("Fabaceae", "Plantae", "SPECIES", "Mart.")


def test_a_published_match_is_read_with_its_homonyms():
    read = read_match(body(PUBLISHED_MATCH))
    assert (read.match_type, read.confidence, read.found) == ("FUZZY", 85, True)
    assert read.usage is not None
    assert (read.usage.key, read.usage.name, read.usage.family) == (3034893, "Oenanthe", "Apiaceae")
    # Both alternatives are one taxon: the second is a synonym of the first.
    assert [(each.name, each.kingdom, each.concept) for each in read.alternatives] == [
        ("Oenanthe", "Animalia", 2492483), ("Oenanthe", "Animalia", 2492483),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("status", "synonym", "plain"),
    # TaxonomicStatus, gbif.github.io/gbif-api/apidocs: isSynonym is true of all but ACCEPTED and DOUBTFUL.
    [
        ("ACCEPTED", False, False), ("DOUBTFUL", False, False), ("SYNONYM", True, True),
        ("HETEROTYPIC_SYNONYM", True, True), ("HOMOTYPIC_SYNONYM", True, True), ("PROPARTE_SYNONYM", True, False),
        ("MISAPPLIED", True, False), ("", False, False),
    ],
)  # fmt: skip
def test_kinds_of_synonym(status, synonym, plain):
    read = Usage(1, "Fictaria silvana L.", taxonomic_status=status)
    assert (read.is_synonym, read.is_plain_synonym) == (synonym, plain)


@pytest.mark.parametrize(
    ("scientific", "canonical", "rank", "name"),
    [
        ("Fictaria silvana (L.) Alder", "Fictaria silvana", "SPECIES", "Fictaria silvana"),
        ("Fictaria × mixta Alder", "Fictaria mixta", "SPECIES", "Fictaria × mixta"),
        ("Fictaria ×mixta Alder", "Fictaria mixta", "SPECIES", "Fictaria × mixta"),
        ("Fictaria silvana var. minor L.", "Fictaria silvana minor", "VARIETY", "Fictaria silvana var. minor"),
        # Three words without a rank would be read as the species: left alone.
        ("Fictaria silvana minor L.", "Fictaria silvana minor", "SUBSPECIES", ""),
        ("Fictaria silvana L.", "", "SPECIES", ""),
        ("Fictaria silvana L.", "Fictaria mollis", "SPECIES", ""),
        ("Fictaria silvana L.", "Fictaria silvana", "SUBSPECIES", ""),
        ("Fictaria cf. silvana", "Fictaria silvana", "SPECIES", ""),
        ("F. silvana L.", "F. silvana", "SPECIES", ""),
        ("Fictaria sp.", "Fictaria", "SPECIES", ""),
        ("Fictaria Alder, 1816", "Fictaria", "GENUS", "Fictaria"),
        ("Fictaria silvana x Fictaria mollis", "Fictaria silvana", "SPECIES", ""),
        ("Mock nettle", "Mock nettle", "SPECIES", ""),
        ("fictary leaf virus", "", "", ""),
    ],
)
def test_only_names_that_are_read_surely_are_names(scientific, canonical, rank, name):
    assert Usage(1, scientific, canonical, rank=rank).name == name


@pytest.mark.parametrize(
    ("said", "why"),
    [
        (b"", "not JSON"), (b"<html>Sign in</html>", "not JSON"), (b"\xff\xfe{", "not JSON"), (b"{", "not JSON"),
        (b"[" * 100_000, "not JSON"), (b'{"a": NaN}', "not JSON"), (b'{"a": ' + b"9" * 5_000 + b"}", "not JSON"),
        (b"[]", "no JSON object"), (b"null", "no JSON object"), (b'"text"', "no JSON object"),
    ],
)  # fmt: skip
def test_what_is_no_object_is_told(said, why):
    with pytest.raises(Unreadable, match=why):
        read_object(said)


@pytest.mark.parametrize("said", [{}, {"matchType": 7}, {"matchType": "exact\n"}, {"matchType": ["EXACT"]}])
def test_a_match_without_its_type_is_not_understood(said):
    with pytest.raises(Unreadable, match="matchType"):
        read_match(body(said))


@pytest.mark.parametrize("results", [None, {}, "Fictaria", 7])
def test_a_page_without_its_list_is_not_understood(results):
    with pytest.raises(Unreadable, match="results"):
        read_page(body({"endOfRecords": True, "results": results}))


@pytest.mark.parametrize(
    "said",
    [
        {"key": 8, "scientificName": "Fictaria silvana"}, {"key": True, "scientificName": "Fictaria silvana"},
        {"key": "7", "scientificName": "Fictaria silvana"}, {"key": 7}, {"key": 7, "scientificName": ["Fictaria"]},
        {"key": 7, "scientificName": "\x1b\u202e"}, {"key": 7, "scientificName": "x" * 100_000},
    ],
)  # fmt: skip
def test_a_usage_of_another_key_or_without_a_name_is_not_understood(said):
    with pytest.raises(Unreadable):
        read_usage(body(said), 7)


def test_wrong_types_leave_the_rest_readable():
    said = {
        "key": 7, "scientificName": "Fictaria\x1b[31m silvana\u202e L.", "canonicalName": 7, "family": {"a": 1},
        "rank": "species", "taxonomicStatus": None, "acceptedKey": -1, "kingdom": "Plan\ud800tae", "authorship": [],
        "vernacularNames": "fictwort",
    }  # fmt: skip
    assert usage_of(said) == Usage(7, "Fictaria[31m silvana L.", kingdom="Plantae")


def test_confidence_is_given_as_it_came_and_nothing_else():
    for said, told in ((98, 98), (-6, -6), (115, 115), (True, None), ("98", None), (10**9, None), (None, None)):
        assert read_match(body({"matchType": "EXACT", "confidence": said})).confidence == told


def test_long_lists_are_cut():
    many = [{"usageKey": n, "scientificName": f"Fictaria a{'b' * n}"} for n in range(1, 200)]
    assert len(read_match(body({"matchType": "NONE", "alternatives": many})).alternatives) == 20
    page = read_page(body({"results": [{"key": n} for n in range(5_000)], "endOfRecords": False}))
    assert (len(page.items), page.received, page.last) == (1_000, 5_000, False)


def test_common_names_each_once_by_language():
    items = [
        {"vernacularName": "fictwort", "language": "eng"}, {"vernacularName": "Fictwort ", "language": "en"},
        {"vernacularName": "fictwort", "language": "deu"}, {"vernacularName": "ab", "language": "eng"},
        {"vernacularName": "虎杖", "language": "zho"}, {"vernacularName": "1234"}, {"vernacularName": "x" * 81},
        {"vernacularName": "fict\u200bary\x00", "language": ["eng"]}, {"language": "eng"},
    ]  # fmt: skip
    assert [(each.name, each.language) for each in vernacular_names(items)] == [
        ("fictwort", "en"), ("fictwort", "de"), ("虎杖", "zh"), ("fictary", ""),
    ]  # fmt: skip


@pytest.mark.parametrize(
    ("code", "tag"),
    # Both codes of a language: loc.gov/standards/iso639-2/php/code_list.php. The shortest is the tag: RFC 5646, 2.2.1.
    [("ger", "de"), ("deu", "de"), ("cze", "cs"), ("ces", "cs"), ("nob", "nb"), ("gsw", "gsw"), ("mul", ""), ("", "")],
)
def test_language_codes(code, tag):
    assert language_tag(code) == tag


_JSON = st.recursive(
    st.none()
    | st.booleans()
    | st.integers()
    | st.text(max_size=12)
    | st.sampled_from(["EXACT", "Fictaria silvana L."]),
    lambda inner: (
        st.lists(inner, max_size=4)
        | st.dictionaries(
            st.sampled_from(
                "key usageKey scientificName canonicalName matchType status results endOfRecords alternatives "
                "vernacularNames vernacularName language acceptedKey rank".split()
            ),
            inner,
            max_size=8,
        )
    ),
    max_leaves=20,
)


@settings(max_examples=150, deadline=None)
@given(_JSON)
def test_no_answer_breaks_the_reader(value):
    said = body(value)
    for read in (read_match, read_page, lambda each: read_usage(each, 7)):
        try:
            found = read(said)
        except Unreadable:
            continue
        shown = repr(found)
        assert "\x1b" not in shown
