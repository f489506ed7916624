"""Reads which claims the demo audits. No rating is stored with them."""

from __future__ import annotations

import tomllib
from dataclasses import dataclass
from pathlib import Path

from doubtwort.errors import TableError
from doubtwort.model import Taxon, Wording
from doubtwort.shipped import shipped

_KEYS = {"url", "taxon", "common_names", "synonyms", "wording", "parts", "preparations"}


@dataclass(frozen=True, slots=True)
class DemoClaim:
    """The arguments of one audit of the demo."""

    url: str
    taxon: Taxon
    wording: Wording = Wording.EDIBLE
    parts: tuple[str, ...] = ()
    preparations: tuple[str, ...] = ()


def demo_claims(path: Path | None = None) -> tuple[DemoClaim, ...]:
    """All claims of the demo, in the order of the file.

    >>> demo_claims()[0].taxon.common_names
    ('fictwort',)
    """
    path = path or shipped("fixtures") / "demo_web" / "claims.toml"
    try:
        rows = tomllib.loads(path.read_text(encoding="utf-8")).get("claim", [])
    except (OSError, UnicodeDecodeError, tomllib.TOMLDecodeError) as error:
        raise TableError(f"{path} cannot be read: {error}. Install doubtwort anew.") from error
    if not rows:
        raise TableError(f"{path} names no claim. Install doubtwort anew.")
    claims = []
    for number, row in enumerate(rows, start=1):
        if unknown := set(row) - _KEYS:
            raise TableError(f"{path}: claim {number} has unknown keys: {', '.join(sorted(unknown))}.")
        if missing := {"url", "taxon"} - set(row):
            raise TableError(f"{path}: claim {number} lacks {', '.join(sorted(missing))}.")
        wording = row.get("wording", "edible")
        if wording not in set(Wording):
            raise TableError(f"{path}: claim {number} has the unknown wording {wording!r}.")
        taxon = Taxon(row["taxon"], tuple(row.get("synonyms", ())), tuple(row.get("common_names", ())))
        claims.append(
            DemoClaim(
                row["url"], taxon, Wording(wording), tuple(row.get("parts", ())), tuple(row.get("preparations", ()))
            )
        )
    return tuple(claims)
