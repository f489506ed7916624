"""A names service on loopback that answers as the species API, version 1, is documented to.

Documentation: techdocs.gbif.org/en/openapi/v1/species (calls, parameters); techdocs.gbif.org/en/openapi, "Paging"
(limit, offset); gbif.github.io/gbif-api/apidocs, classes NameUsageMatch, NameUsage, VernacularName, PagingResponse
(fields), MatchType and TaxonomicStatus (words). All taxa are invented.
"""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any
from urllib.parse import parse_qs, urlsplit

from loopback import Exchange, LoopbackWeb

JSON = {"Content-Type": "application/json"}
BACKBONE = "d7dddbf4-2cf0-4f39-9b2a-bb099caae36c"  # Constants.NUB_DATASET_KEY of the Java API


def usage(key: int, name: str, author: str = "", **more: Any) -> dict[str, Any]:
    """A NameUsage with the fields that it always has."""
    words = [each for each in name.split() if not each.endswith(".")]
    return {
        "key": key,
        "nubKey": key,
        "datasetKey": BACKBONE,
        "scientificName": f"{name} {author}".strip(),
        "canonicalName": " ".join(words),
        "authorship": author,
        "rank": "SPECIES" if len(words) == 2 else "GENUS" if len(words) == 1 else "SUBSPECIES",
        "taxonomicStatus": "ACCEPTED",
        "kingdom": "Plantae",
        "family": "Fictariaceae",
        "synonym": False,
        **more,
    }


def synonym(key: int, name: str, author: str, accepted: int, status: str = "SYNONYM") -> dict[str, Any]:
    return usage(key, name, author, taxonomicStatus=status, acceptedKey=accepted, synonym=True)


def matched(found: dict[str, Any], match_type: str = "EXACT", confidence: int = 98, **more: Any) -> dict[str, Any]:
    """A NameUsageMatch: other words for key, acceptedKey and taxonomicStatus."""
    kept = ("scientificName", "canonicalName", "rank", "kingdom", "family", "synonym")
    return {
        "usageKey": found["key"],
        **({"acceptedUsageKey": found["acceptedKey"]} if "acceptedKey" in found else {}),
        **{name: found[name] for name in kept},
        "status": "SYNONYM" if found["synonym"] else found["taxonomicStatus"],
        "confidence": confidence,
        "note": "Similarity: name=110; authorship=0; classification=-2; rank=0; status=1",
        "matchType": match_type,
        **more,
    }


def no_match(note: str = "No match", **more: Any) -> dict[str, Any]:
    return {"confidence": 100, "matchType": "NONE", "note": note, "synonym": False, **more}


def page(results: list[Any], offset: int, limit: int, more: bool) -> dict[str, Any]:
    """A PagingResponse."""
    return {"offset": offset, "limit": limit, "endOfRecords": not more, "results": results}


class SpeciesApi:
    """``matches`` by name; ``usages`` by key; ``common`` by key; ``found`` by what is searched for. ``root`` is what
    ``--service`` is to be given."""

    def __init__(self, web: LoopbackWeb, most: int = 1_000) -> None:
        self.web, self.most = web, most
        self.matches: dict[str, Any] = {}
        self.usages: dict[int, Any] = {}
        self.common: dict[int, list[Any]] = {}
        self.found: dict[str, list[Any]] = {}
        web.handle("/v1/species/match", lambda exchange: self._match(exchange))
        web.handle("/v1/species/search", lambda exchange: self._search(exchange))

    @property
    def root(self) -> str:
        return self.web.url("/v1")

    def add(self, *usages: dict[str, Any]) -> None:
        for each in usages:
            self.usages[each["key"]] = each
            self.matches.setdefault(each["canonicalName"], matched(each))
            path = f"/v1/species/{each['key']}"
            self.web.page(path, json.dumps(each), headers=JSON)
            self.web.handle(f"{path}/synonyms", lambda ex, key=each["key"]: self._paged(ex, self._synonyms(key)))
            self.web.handle(
                f"{path}/vernacularNames", lambda ex, key=each["key"]: self._paged(ex, self.common.get(key, []))
            )

    def name(self, key: int, *names: str) -> None:
        """Common names as "eng:fictwort"."""
        pairs = (each.partition(":") for each in names)
        self.common.setdefault(key, []).extend(
            {"taxonKey": key, "vernacularName": name, "language": language, "source": "an invented flora"}
            for language, _, name in pairs
        )

    def asked(self) -> list[tuple[str, dict[str, list[str]]]]:
        """The calls that came, without robots.txt: path below the root, and parameters."""
        calls = [urlsplit(each.target) for each in self.web.seen if "robots" not in each.target]
        return [(each.path.removeprefix("/v1"), parse_qs(each.query)) for each in calls]

    def answer(self, exchange: Exchange, value: Any) -> None:
        exchange.answer(200, json.dumps(value), JSON)

    def _synonyms(self, key: int) -> list[Any]:
        return [each for each in self.usages.values() if each.get("acceptedKey") == key]

    def _match(self, exchange: Exchange) -> None:
        asked = parse_qs(urlsplit(exchange.path).query)
        name, kingdom = asked["name"][0], asked.get("kingdom", [""])[0]
        self.answer(exchange, self.matches.get(f"{name}|{kingdom}", self.matches.get(name, no_match())))

    def _search(self, exchange: Exchange) -> None:
        asked = parse_qs(urlsplit(exchange.path).query)
        self._paged(exchange, self.found.get(asked["q"][0], []))

    def _paged(self, exchange: Exchange, items: Iterable[Any]) -> None:
        """A limit that is too high is overwritten with the service's own (techdocs.gbif.org/en/openapi, "Paging")."""
        asked, items = parse_qs(urlsplit(exchange.path).query), list(items)
        offset, limit = int(asked.get("offset", ["0"])[0]), min(int(asked.get("limit", ["20"])[0]), self.most)
        self.answer(exchange, page(items[offset : offset + limit], offset, limit, offset + limit < len(items)))


def fictaria(api: SpeciesApi) -> SpeciesApi:
    """Fictaria silvana with synonyms of several kinds and common names, and its look-alike in name."""
    api.add(
        usage(101, "Fictaria silvana", "(L.) Alder"),
        synonym(102, "Fictaria mollis", "L.", 101, "HOMOTYPIC_SYNONYM"),
        synonym(103, "Vaguelia silvana", "Birch", 101),
        synonym(104, "Fictaria silvana subsp. acris", "(Birch) Alder", 101, "HETEROTYPIC_SYNONYM"),
        synonym(105, "Fictaria aspera", "sensu Oak", 101, "MISAPPLIED"),
        usage(201, "Vaguelia aspera", "Birch", family="Vagueliaceae"),
    )
    api.name(101, "eng:fictwort", "eng:Fictwort", "deu:Fiktkraut", "fra:fictaire", ":wood fictary", "xyz!:odd fictary")
    return api
