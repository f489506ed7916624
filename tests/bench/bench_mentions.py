"""By hand: python tests/bench/bench_mentions.py. Sentences a second on one core, without and with names in them."""

from __future__ import annotations

import time
from collections.abc import Callable

from doubtwort.mentions.find import Finder
from doubtwort.mentions.page import PageNames, page_names
from doubtwort.mentions.sentences import split
from doubtwort.model import Taxon

PLAIN = "The young leaves are gathered in early spring and boiled for several minutes in salted water before serving. "
NAMED = "The leaves of Fictaria silvana, unlike those of F. mollis and of the dead-fictwort, are eaten like spinach. "
TAXON = Taxon(
    "Fictaria silvana", ("Mockera silvana",), ("fictwort", "silver moonleaf", "common bearnettle"), "Fictariaceae"
)
COUNT = 2_000


def rate(work: Callable[[], object]) -> float:
    """Sentences a second, the best of five runs over ``COUNT`` sentences."""
    best = float("inf")
    for _ in range(5):
        started = time.perf_counter()
        work()
        best = min(best, time.perf_counter() - started)
    return COUNT / best


def main() -> None:
    started = time.perf_counter()
    Finder(TAXON)
    print(f"first finder, tables read   {1000 * (time.perf_counter() - started):8.1f} ms")
    started = time.perf_counter()
    finder = Finder(TAXON)
    print(f"further finder              {1000 * (time.perf_counter() - started):8.1f} ms")
    for label, sentence in (("plain", PLAIN), ("named", NAMED)):
        text = sentence * COUNT
        print(f"split, {label}                {rate(lambda text=text: split(text)):10,.0f} sentences/s")
        page = page_names([sentence], TAXON.common_names)

        def find(sentence: str = sentence, page: PageNames = page) -> None:
            for _ in range(COUNT):
                finder.find(sentence, page)

        print(f"find, {label}                 {rate(find):10,.0f} sentences/s")


if __name__ == "__main__":
    main()
