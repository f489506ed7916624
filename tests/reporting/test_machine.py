"""The machine-readable output, compared key by key with the published shape of schema doubtwort.audit/1."""

from __future__ import annotations

import json
from dataclasses import replace

import pytest
from sample_audits import ALL, CONTRADICTED, STRETCHED

from doubtwort.reporting.machine import audit_object, dumps, reading_object
from doubtwort.reporting.standing import standing_cautions

STATEMENT = ["quote", "wording", "about", "eater", "certainty", "parts", "preparations", "stages", "rules"]
SOURCE = [
    "id", "url", "final_url", "title", "depth", "cited_by", "outcome", "reason", "grounds", "main_subject",
    "fetched_at", "sha256", "archived", "statements",
]  # fmt: skip


@pytest.mark.parametrize("audit", ALL, ids=lambda audit: audit.rating.value)
def test_keys_are_those_of_the_schema(audit):
    said = json.loads(dumps(audit_object(audit)))
    assert list(said) == ["schema", "claim", "rating", "reasons", "cautions", "sources", "trail", "roots"]
    assert said["schema"] == "doubtwort.audit/1"
    assert list(said["claim"]) == ["id", "taxon", "wording", "parts", "preparations", "quote", "url"]
    for source in said["sources"]:
        assert list(source) == SOURCE
        for statement in source["statements"]:
            assert list(statement) == [*STATEMENT, "place"]
            assert statement["place"] is None or list(statement["place"]) == ["headings", "start", "end", "page"]
    assert all(list(each) == ["code", "text", "source"] for each in said["cautions"])
    assert all(list(each) == ["from", "to", "shift"] for each in said["trail"])
    assert list(said["roots"]) == ["independent", "groups"]
    assert said["roots"]["independent"] == len(said["roots"]["groups"])


def test_values_of_one_audit():
    said = json.loads(dumps(audit_object(CONTRADICTED)))
    assert said["claim"]["taxon"] == "Fictaria silvana"
    assert said["rating"] == "contradicted"
    assert said["trail"][:2] == [
        {"from": "claim", "to": "s1", "shift": "strengthened"},
        {"from": "claim", "to": "s2", "shift": None},
    ]
    assert said["sources"][1]["reason"] == "offline-work"
    assert said["sources"][0]["reason"] is None
    assert said["sources"][0]["archived"] is False
    assert said["sources"][2]["archived"] is True
    assert said["sources"][2]["statements"][0]["place"] == {"headings": [], "start": 20, "end": 58, "page": 2}
    assert said["roots"] == {"independent": 1, "groups": [["s1"]]}


def test_standing_cautions_are_among_the_cautions():
    said = audit_object(STRETCHED)["cautions"]
    assert said[0]["code"] == "sources-unread"
    assert [each["code"] for each in said[1:]] == [each.code for each in standing_cautions(None)]
    assert any("safe to eat" in each["text"] for each in said)


def test_reading_object_is_that_of_read():
    said = reading_object("r1", STRETCHED.sources[0].statements)
    assert list(said) == ["id", "statements"]
    assert list(said["statements"][0]) == STATEMENT


def test_output_is_one_line_of_ascii_and_comes_back_unchanged():
    quote = 'é "x"\n\x1b[31m\u202e\u009b\ud800'
    line = dumps(audit_object(replace(STRETCHED, claim=replace(STRETCHED.claim, quote=quote))))
    assert line.isascii()
    assert line.isprintable()
    assert json.loads(line)["claim"]["quote"] == quote
