"""By hand: how fast pages are read. ``python tests/bench/bench_reading.py [FILE …]`` (files: real pages of your own).

Without files, invented pages of known size are made. Prints seconds, MB/s, passages, citations for each.
"""

from __future__ import annotations

import sys
import time
from pathlib import Path

from doubtwort.model import Document, Fetched
from doubtwort.reading import read
from doubtwort.settings import Settings


def invented() -> dict[str, bytes]:
    """Pages of about a megabyte, each heavy in one thing."""
    sentence = "The <i>young</i> leaves of fictwort are <b>boiled</b> and eaten by people in the invented valley. "
    prose = "".join(f"<h2>Part {n}</h2><p>{sentence * 8}</p>" for n in range(1_200))
    notes = "".join(f'<p>{sentence}<sup><a href="#n{n}">[{n}]</a></sup></p>' for n in range(4_000))
    entries = "".join(
        f'<li id="n{n}">Alder, B. (19{n % 90 + 10}). Herbs {n}. http://a{n}.example/' for n in range(4_000)
    )
    row = "<tr><td>Fictaria silvana<td>leaf<td>eaten raw or cooked"
    return {
        "prose": prose.encode(),
        "notes": f"{notes}<h2>References</h2><ol>{entries}</ol>".encode(),
        "table": f"<table><tr><th>Species<th>Part<th>Use{row * 15_000}</table>".encode(),
        "links": "".join(f"<p>See <a href='http://a{n}.example/x'>this</a>." for n in range(20_000)).encode(),
        "plain": ("Fictwort is eaten in spring.\nThe seeds are poisonous.\n\n" * 18_000).encode(),
    }


def main(names: list[str]) -> None:
    pages = {name: Path(name).read_bytes() for name in names} or invented()
    for name, body in pages.items():
        best = 1e9
        for _ in range(3):
            start = time.perf_counter()
            document = read(Fetched("http://b.example/", "http://b.example/", 200, {}, body, "", ""), Settings())
            best = min(best, time.perf_counter() - start)
        size = len(body) / 1e6
        counts = (len(document.passages), len(document.citations)) if isinstance(document, Document) else (0, 0)
        print(f"{Path(name).name:40} {size:6.2f} MB {best:7.3f} s {size / best:6.1f} MB/s {counts[0]:6} {counts[1]:6}")


if __name__ == "__main__":
    main(sys.argv[1:])
