"""The machine-readable output: schema "doubtwort.audit/1", and the objects of ``doubtwort read``.

Words of the fixed lists are null where there is none (``reason``, ``grounds``, ``shift``, a place's ``page``); text is
"" where nothing is known (``title``, ``final_url``, ``main_subject``, ``fetched_at``, ``sha256``).
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any

from doubtwort.model import Audit, Source, Statement
from doubtwort.reporting.view import all_cautions

SCHEMA = "doubtwort.audit/1"


def dumps(value: object) -> str:
    """One line of ASCII: valid whatever the encoding of the pipe, and no control character in it.

    >>> dumps({"quote": "é\\u009b"})
    '{"quote": "\\\\u00e9\\\\u009b"}'
    """
    return json.dumps(value, ensure_ascii=True, allow_nan=False)


def audit_object(audit: Audit) -> dict[str, Any]:
    """The whole audit as one JSON object."""
    claim = audit.claim
    return {
        "schema": SCHEMA,
        "claim": {
            "id": claim.id,
            "taxon": claim.taxon.scientific_name,
            "wording": claim.wording.value,
            "parts": list(claim.parts),
            "preparations": list(claim.preparations),
            "quote": claim.quote,
            "url": claim.url,
        },
        "rating": audit.rating.value,
        "reasons": list(audit.reasons),
        "cautions": [{"code": each.code, "text": each.text, "source": each.source} for each in all_cautions(audit)],
        "sources": [_source(each) for each in audit.sources],
        "trail": [
            {"from": each.origin, "to": each.target, "shift": each.shift.value if each.shift else None}
            for each in audit.trail
        ],
        "roots": {
            "independent": len(audit.root_groups),
            "groups": [list(group) for group in audit.root_groups],
        },
    }


def reading_object(text_id: object, statements: Iterable[Statement]) -> dict[str, Any]:
    """What one text says, as ``doubtwort read --jsonl`` prints it. ``text_id`` comes back as it was given."""
    return {"id": text_id, "statements": [statement_object(each) for each in statements]}


def statement_object(statement: Statement) -> dict[str, Any]:
    """One statement without its place."""
    return {
        "quote": statement.quote,
        "wording": statement.wording.value,
        "about": statement.about.value,
        "eater": statement.eater.value,
        "certainty": statement.certainty.value,
        "parts": list(statement.parts),
        "preparations": list(statement.preparations),
        "stages": list(statement.stages),
        "rules": list(statement.rules),
    }


def _source(source: Source) -> dict[str, Any]:
    return {
        "id": source.id,
        "url": source.url,
        "final_url": source.final_url,
        "title": source.title,
        "depth": source.depth,
        "cited_by": list(source.cited_by),
        "outcome": source.outcome.value,
        "reason": source.reason.value if source.reason else None,
        "grounds": source.grounds.value if source.grounds else None,
        "main_subject": source.main_subject,
        "fetched_at": source.fetched_at,
        "sha256": source.sha256,
        "archived": source.archived,
        "statements": [statement_object(each) | {"place": _place(each)} for each in source.statements],
    }


def _place(statement: Statement) -> dict[str, Any] | None:
    place = statement.place
    if place is None:
        return None
    return {"headings": list(place.headings), "start": place.start, "end": place.end, "page": place.page}
