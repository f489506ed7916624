"""Which roots are independent. Everything that ties two roots together makes them one."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from typing import Final

import networkx as nx

from doubtwort.model import Citation
from doubtwort.support.copies import Sketch, copied_pages, copied_pairs, words

# Resolvers and archives pass every publisher's works on: their domain ties nothing together.
PASSES_ON: Final = frozenset({"doi.org", "handle.net", "archive.org"})
_YEAR = re.compile(r"\b(1[5-9]|20)\d\d\b")


@dataclass(frozen=True, slots=True)
class Root:
    """What is known of one root. ``quotes`` are the statements with which it supports the claim; ``urls`` those
    under which it was cited and found; ``citations`` the entries that cite it, and what it says of itself; ``sketch``
    that of its text."""

    id: str
    urls: tuple[str, ...] = ()
    citations: tuple[Citation, ...] = ()
    quotes: tuple[str, ...] = ()
    sketch: Sketch | None = None


def independent_groups(roots: Sequence[Root], domain_of: Callable[[str], str]) -> tuple[tuple[str, ...], ...]:
    """Ids of roots, those in one group not independent; in the order of ``roots``.

    ``domain_of`` gives the registrable domain of an address, "" when there is none.

    >>> host = lambda url: url.split("/")[2]
    >>> independent_groups([Root("s1", ("http://herb.example/a",)), Root("s2", ("http://herb.example/b",))], host)
    (('s1', 's2'),)
    """
    ties = nx.Graph()
    ties.add_nodes_from(range(len(roots)))
    seen: dict[tuple[str, ...], int] = {}
    for number, root in enumerate(roots):
        for key in _keys(root, domain_of):
            ties.add_edge(number, seen.setdefault(key, number))
    ties.add_edges_from(copied_pairs([root.quotes for root in roots]))
    ties.add_edges_from(copied_pages([root.sketch for root in roots]))
    groups = sorted(sorted(group) for group in nx.connected_components(ties))
    return tuple(tuple(roots[number].id for number in group) for group in groups)


def _keys(root: Root, domain_of: Callable[[str], str]) -> Iterable[tuple[str, ...]]:
    for url in root.urls:
        domain = domain_of(url).lower()
        if domain and domain not in PASSES_ON:
            yield ("domain", domain)
    for citation in root.citations:
        if citation.doi:
            yield ("doi", citation.doi.lower())
        if citation.isbn:
            yield ("isbn", re.sub(r"[^0-9X]", "", citation.isbn.upper()))
        title = " ".join(words(citation.title))
        if title:
            for author in citation.authors:
                if surname := _surname(author):
                    yield ("work", surname, title)


def _surname(author: str) -> str:
    """The name that an author is filed under: "Muster, A." and "A. Muster" → "muster"."""
    first = author.split(",")[0] if "," in author else author
    found = [each for each in words(_YEAR.sub("", first)) if len(each) > 1]
    return found[-1] if found else ""
