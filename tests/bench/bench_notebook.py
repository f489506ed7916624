"""By hand: a large notebook (100,000 claims, 300,000 sources, 1,000,000 statements), the CPU time of what a person asks
of it, and the query plans; with ``--kills`` so many kills of a year's keeping, of an audit, an import, a merge and a
migration (``bench_kills.py``). Nothing here is run by pytest.

    .venv/bin/python tests/bench/bench_notebook.py FOLDER           # builds FOLDER/large.sqlite once, then measures
    .venv/bin/python tests/bench/bench_notebook.py FOLDER --kills 200
"""

from __future__ import annotations

import argparse
import os
import random
import signal
import sys
import time
from collections.abc import Callable, Iterator
from hashlib import sha256
from pathlib import Path

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "notebook"), str(Path(__file__).parent)]

from bench_kills import kill_jobs  # noqa: E402
from notebook_kills import kill_at_random  # noqa: E402

from doubtwort.model import Outcome, Rating  # noqa: E402
from doubtwort.notebook import Notebook, open_notebook  # noqa: E402
from doubtwort.notebook.query import Wanted, count_claims  # noqa: E402
from doubtwort.notebook.search import Filters, search  # noqa: E402
from doubtwort.notebook.vetted import Decision, Status, decide, entries  # noqa: E402
from doubtwort.recheck import due_claims  # noqa: E402

CLAIMS, SOURCES, STATEMENTS = 100_000, 300_000, 1_000_000
TAXA = 5_000
COMMON = [
    "leaves",
    "root",
    "eaten",
    "boiled",
    "young",
    "raw",
    "berries",
    "people",
    "not",
    "poisonous",
    "bitter",
    "salad",
]
RATINGS = [*Rating]
OUTCOMES = [*Outcome]
WORDINGS = ["edible"] * 6 + ["non-toxic", "unpalatable", "inedible", "toxic"]


def words(dice: random.Random) -> str:
    """Twelve words: common ones, and some of a stock of 50,000."""
    rare = (f"w{min(int(dice.paretovariate(0.6)), 50_000)}" for _ in range(5))
    return " ".join([*dice.choices(COMMON, k=7), *rare]) + "."


def build(notebook: Notebook) -> None:
    """Rows as the program writes them, in ten transactions."""
    dice = random.Random(20261125)
    with notebook.writing() as db:
        db.conn.executemany(
            "INSERT INTO taxa (id, scientific_name, family) VALUES (?, ?, 'Fictariaceae')",
            ((n, f"Fictaria numero{n}") for n in range(1, TAXA + 1)),
        )
    step = CLAIMS // 10
    for first in range(1, CLAIMS, step):
        with notebook.writing() as db:
            db.conn.executemany(
                """INSERT INTO claims (id, label, digest, taxon_id, wording, certainty, quote, url, parts, preparations,
                stages, scientific_name, family) VALUES (?, ?, ?, ?, ?, 'stated', ?, ?, ?, '[]', '[]', ?, '')""",
                claim_rows(dice, range(first, first + step)),
            )
            db.conn.executemany(
                """INSERT INTO audits (id, claim_id, state, holder, started_at, finished_at, audited_at, rating,
                reasons, notes) VALUES (?, ?, 'done', '', '', '2026-11-25T10:00:00Z', '', ?, '[]', '[]')""",
                ((n, n, dice.choice(RATINGS).value) for n in range(first, first + step)),
            )
            per = SOURCES // CLAIMS
            ids = range((first - 1) * per + 1, (first - 1 + step) * per + 1)
            db.conn.executemany(
                """INSERT INTO sources (id, audit_id, position, label, url, final_url, title, depth, cited_by, outcome,
                detail, main_subject, fetched_at, sha256, archived)
                VALUES (?, ?, ?, ?, ?, '', ?, 1, '["claim"]', ?, '', '', '', '', 0)""",
                (
                    (n, (n - 1) // per + 1, n % per, f"s{n % per + 1}", f"http://s{n}.example/", words(dice),
                     dice.choice(OUTCOMES).value)
                    for n in ids
                ),
            )  # fmt: skip
            db.conn.executemany(
                """INSERT INTO statements (source_id, position, quote, wording, about, eater, certainty, parts,
                preparations, stages, amount, except_parts, rules, subject, citations)
                VALUES (?, ?, ?, ?, 'taxon', 'people', 'stated', '["leaf"]', '[]', '[]', '', '[]', '[]', '', '[]')""",
                ((dice.choice(ids), n, words(dice), dice.choice(WORDINGS)) for n in range(STATEMENTS // 10)),
            )
    with notebook.writing() as db:
        db.execute("ANALYZE")


def claim_rows(dice: random.Random, ids: range) -> Iterator[tuple[object, ...]]:
    for n in ids:
        taxon = dice.randint(1, TAXA)
        part = dice.choice(["[]", '["leaf"]', '["root"]', '["seed", "fruit"]'])
        yield (
            n, f"c{n:012x}", sha256(str(n).encode()).hexdigest(), taxon, "edible", words(dice), f"http://c{n}.example/",
            part, f"Fictaria numero{taxon}",
        )  # fmt: skip


def measured(said: str, work: Callable[[], object]) -> None:
    """CPU seconds of this process, the worse of two runs; the file's pages are in the system's cache by then."""
    spent = []
    for _ in range(2):
        began = time.process_time()
        found = work()
        spent.append(time.process_time() - began)
    size = f"{len(found)} rows" if isinstance(found, tuple | list) else str(found)[:30]
    print(f"{max(spent):8.3f} s  {said} ({size})")


def measure(path: Path) -> None:
    began = time.process_time()
    with open_notebook(path) as notebook:
        print(f"{time.process_time() - began:8.3f} s  opening (file of {path.stat().st_size / 1e6:.0f} MB)")
        label = notebook.claims(Wanted(limit=1))[0].id
        taxon = notebook.claim(label).taxon.scientific_name
        found = notebook.db.execute("SELECT id FROM taxa WHERE scientific_name = ?", (taxon,)).fetchone()[0]
        measured("claims, first page of 50", lambda: notebook.claims(Wanted(limit=50)))
        measured("claims, page behind 90,000", lambda: notebook.claims(Wanted(limit=50, after=90_000)))
        measured("claims of a taxon", lambda: notebook.claims(Wanted(taxon_id=found)))
        measured("claims rated corroborated", lambda: notebook.claims(Wanted(rating=Rating.CORROBORATED, limit=50)))
        measured("claims that name roots", lambda: notebook.claims(Wanted(part="root", limit=50)))
        measured("claims that name bark (none)", lambda: notebook.claims(Wanted(part="bark", limit=50)))
        wanted = Wanted(outcome=Outcome.CONTRADICTS, limit=50)
        measured("claims with a source that contradicts", lambda: notebook.claims(wanted))
        measured("how many of these", lambda: count_claims(notebook, wanted))
        measured("how many claims in all", lambda: count_claims(notebook))
        measured("one report", lambda: notebook.audit(label))
        measured("search: a common word", lambda: search(notebook, "leaves"))
        measured("search: three common words", lambda: search(notebook, "leaves boiled young"))
        measured("search: a rare word", lambda: search(notebook, "w39999"))
        measured("search: a beginning", lambda: search(notebook, "w4999*"))
        measured("search: phrase", lambda: search(notebook, '"young leaves eaten"'))
        measured("search: within a taxon", lambda: search(notebook, "leaves", Filters(taxon=taxon)))
        filters = Filters(rating=Rating.CONTRADICTED, outcome=Outcome.SILENT)
        measured("search: rating and outcome", lambda: search(notebook, "leaves boiled", filters))
        decision = Decision(Status.ACCEPTED, despite="a bench", claims=(label,))
        measured("vetting an entry", lambda: decide(notebook, taxon, "leaf", "", decision).id)
        measured("the vetted list", lambda: entries(notebook))
        measured("claims due", lambda: due_claims(notebook))
        plans(notebook)


def plans(notebook: Notebook) -> None:
    """What SQLite does for each statement of a listing, a report and a search."""
    asked: list[str] = []
    notebook.db.conn.set_trace_callback(asked.append)
    label = notebook.claims(Wanted(limit=50))[0].id
    notebook.claims(Wanted(outcome=Outcome.CONTRADICTS, limit=50))
    notebook.audit(label)
    search(notebook, "leaves boiled")
    search(notebook, "leaves", Filters(taxon=notebook.claim(label).taxon.scientific_name))
    notebook.db.conn.set_trace_callback(None)
    seen = set()
    for sql in asked:
        said = " ".join(sql.split())
        if not said.startswith("SELECT") or said in seen:
            continue
        seen.add(said)
        print(f"\n{said[:160]}{'…' if len(said) > 160 else ''}")
        for row in notebook.db.conn.execute(f"EXPLAIN QUERY PLAN {sql}"):
            print(f"    {row[3]}")


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--kills", type=int, default=0)
    asked = parser.parse_args()
    asked.folder.mkdir(parents=True, exist_ok=True)
    if asked.kills:
        (asked.folder / "kills").mkdir(exist_ok=True)
        print(kill_at_random(asked.folder / "kills", asked.kills, random.Random(os.getpid())))
        kill_jobs(asked.folder / "kills", asked.kills, os.getpid())
        return
    signal.signal(signal.SIGPIPE, signal.SIG_DFL)
    path = asked.folder / "large.sqlite"
    if not path.exists():
        began = time.monotonic()
        with open_notebook(path) as notebook:
            build(notebook)
        print(f"built in {time.monotonic() - began:.0f} s")
    measure(path)


if __name__ == "__main__":
    main()
