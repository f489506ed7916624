"""By hand: trails of thousands of sources, without a network. Cost must grow with the sources, not with their square.

    python tests/bench/bench_trail.py            all shapes at 500, 1000, 2000, 4000 sources
    python tests/bench/bench_trail.py circle 8000

Prints for each shape the seconds of a whole audit at each size, and how they grow when the size doubles (2 is linear,
4 is quadratic). The pages are in shorthand (see tests/audit/small_web.py), so what is timed is the chase, the copies,
the trail, the roots, and the cautions.
"""

from __future__ import annotations

import sys
import time
from collections.abc import Callable
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "audit")]

from small_web import CLAIM, NO_HAZARDS, READERS, SmallWeb  # noqa: E402 - after the path is set

from doubtwort.audit import audit_page  # noqa: E402
from doubtwort.settings import Settings  # noqa: E402
from doubtwort.support.ladder import ladders  # noqa: E402
from support.shorthand import TAXON  # noqa: E402

Web = dict[str, str]
SAME = " ".join(f"word{n}" for n in range(120))  # a page's text beside its statement


def at(number: int) -> str:
    return f"http://site{number}.example/page"


def wide(size: int) -> Web:
    """The claim cites all of them."""
    return {CLAIM: f"edible > {' '.join(map(at, range(size)))}"} | {at(n): "edible" for n in range(size)}


def chain(size: int) -> Web:
    """Each cites the next."""
    return (
        {CLAIM: f"edible > {at(0)}"}
        | {at(n): f"edible > {at(n + 1)}" for n in range(size - 1)}
        | {at(size - 1): "edible"}
    )


def circle(size: int) -> Web:
    """Each cites the next, the last the first and a page that supports by its own word."""
    pages = {CLAIM: f"edible > {at(0)}"} | {at(n): f"edible > {at(n + 1)}" for n in range(size - 1)}
    return pages | {at(size - 1): f"edible > {at(0)} http://end.example/", "http://end.example/": "edible"}


def dense(size: int) -> Web:
    """Each cites ten others."""
    pages = {at(n): f"edible > {' '.join(at((n * 7 + step * 13) % size) for step in range(10))}" for n in range(size)}
    return {CLAIM: f"edible > {' '.join(map(at, range(10)))}"} | pages


def mirrors(size: int) -> Web:
    """All carry the same long text but for a word: one root."""
    pages = {at(n): f"edible\nFictaria silvana {SAME} copy{n}x" for n in range(size)}
    return {CLAIM: f"edible > {' '.join(map(at, range(size)))}"} | pages


def frames(size: int) -> Web:
    """All share a third of their text, and are no copies."""
    own = {n: " ".join(f"own{n}x{each}" for each in range(200)) for n in range(size)}
    pages = {at(n): f"edible\nFictaria silvana {SAME} {own[n]}" for n in range(size)}
    return {CLAIM: f"edible > {' '.join(map(at, range(size)))}"} | pages


def redirects(size: int) -> Web:
    """All addresses lead to one page."""
    pages = {at(n): "=http://end.example/" for n in range(size)}
    return {CLAIM: f"edible > {' '.join(map(at, range(size)))}"} | pages | {"http://end.example/": "edible"}


SHAPES: dict[str, Callable[[int], Web]] = {
    each.__name__: each for each in (wide, chain, circle, dense, mirrors, frames, redirects)
}


def seconds(web: Web, size: int) -> tuple[float, str]:
    began = time.perf_counter()
    settings = Settings(max_sources=2 * size, depth=2 * size, max_seconds=3600)
    audit = audit_page(CLAIM, TAXON, settings=settings, fetcher=SmallWeb(web), readers=READERS, hazards=NO_HAZARDS)
    ladders(audit)
    spent = time.perf_counter() - began
    return spent, f"{len(audit.sources)} sources, {len(audit.root_groups)} roots, {audit.rating.value}"


def main(names: list[str], sizes: list[int]) -> None:
    for name in names:
        told, before = [], 0.0
        for size in sizes:
            spent, found = seconds(SHAPES[name](size), size)
            told.append(f"{size}: {spent:.2f} s" + (f" (x{spent / before:.1f})" if before else ""))
            before = spent
        print(f"{name:<10} {'  '.join(told)}   {found}", flush=True)


if __name__ == "__main__":
    chosen = [each for each in sys.argv[1:] if not each.isdigit()]
    main(chosen or list(SHAPES), [int(each) for each in sys.argv[1:] if each.isdigit()] or [500, 1000, 2000, 4000])
