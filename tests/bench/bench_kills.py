"""By hand: an audit, an import, a merge and a migration, each killed (SIGKILL) at many random moments, and what was
found afterwards. Nothing here is run by pytest.

    PYTHONPATH=tests .venv/bin/python tests/bench/bench_kills.py FOLDER --kills 200 [--seed 1] [--only merge]

By turns a process dies as it begins an SQL statement drawn by lot, or is killed from outside after a time drawn by lot.
A kill that came after the work was done counts for nothing and is repeated. Figures:

- already whole: how many of the kills found all of the work done, so that it was between the last commit and the end;
- sound: integrity_check and foreign_key_check are clean, and the full-text indexes fit their tables;
- lost: something that the process had told of as kept is missing, or an import or merge is there by halves;
- resumed: the next run, of the same command, ended as one that was never killed does.
"""

from __future__ import annotations

import argparse
import os
import random
import shutil
import signal
import sqlite3
import sys
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

sys.path[:0] = [str(Path(__file__).parents[1]), str(Path(__file__).parents[1] / "notebook")]

from notebook_kills import SAMPLES, child, unpacked  # noqa: E402
from notebook_values import a_claim, an_audit  # noqa: E402

from doubtwort.audit import audit_page  # noqa: E402
from doubtwort.citing import canonical_url  # noqa: E402
from doubtwort.demo import DemoWeb, demo_claims  # noqa: E402
from doubtwort.fetching import open_fetcher  # noqa: E402
from doubtwort.notebook import KeptFetcher, Notebook, NotebookKeeper, open_notebook  # noqa: E402
from doubtwort.notebook.backups import backups  # noqa: E402
from doubtwort.notebook.merge import merge  # noqa: E402
from doubtwort.notebook.outgoing import Scope  # noqa: E402
from doubtwort.notebook.tables import TABLES  # noqa: E402
from doubtwort.settings import Settings  # noqa: E402
from doubtwort.sharing.files import whole_file  # noqa: E402
from doubtwort.sharing.jsonl import import_jsonl, write_jsonl  # noqa: E402
from sharing.sharing_samples import everything  # noqa: E402

AUDITS = 40  # in the notebook that is merged or taken in
INDEXES = ("statement_search", "claim_search", "origin_search", "entry_search", "tasting_search", "place_search")
Tell = Callable[[str], None]


class Lost(Exception):
    """Something that was kept is gone, or there by halves."""


@dataclass
class Job:
    """What is killed. ``lay_out`` makes the notebook as it is before, ``work`` runs in a process of its own and tells
    of each step once it is kept, ``require`` raises ``Lost``, ``whole`` says whether a notebook holds all of it."""

    name: str
    lay_out: Callable[[Path, random.Random], None]
    work: Callable[[Path, Tell], None]
    require: Callable[[Path, list[str]], None]
    whole: Callable[[Path], bool]


@dataclass
class Figures:
    kills: int = 0
    sound: int = 0
    lost: int = 0
    resumed: int = 0
    too_late: int = 0
    already_whole: int = 0
    found: Counter[str] = field(default_factory=Counter)


def opened(path: Path, *, create: bool = True) -> Notebook:
    return open_notebook(path, create=create, canonical=lambda url: canonical_url(url))


def counted(path: Path) -> dict[str, int]:
    """How many rows each table has; nothing for a file that is not there."""
    if not path.exists():
        return {}
    with closing(sqlite3.connect(path)) as db:
        tables = {row[0] for row in db.execute("SELECT name FROM sqlite_master WHERE type = 'table'")}
        return {each: db.execute(f"SELECT count(*) FROM {each}").fetchone()[0] for each in TABLES if each in tables}


# ------------------------------------------------------------------------------------------------ the jobs


def audit_job(folder: Path) -> Job:
    """The demo's claims, audited one after the other from pages that a notebook holds."""
    pages = folder / "pages.sqlite"
    with DemoWeb() as web, opened(pages) as notebook:
        settings = Settings(proxies=web.proxies)
        with open_fetcher(settings) as fetcher:
            ratings = audited(notebook, fetcher, settings)
    asked: list[str] = []

    class Counted(KeptFetcher):
        def fetch(self, url: str) -> Any:
            asked.append(url)
            return super().fetch(url)

    def work(path: Path, tell: Tell) -> None:
        with opened(pages) as source, opened(path) as notebook:
            audited(notebook, Counted(source), Settings(), tell)

    def require(path: Path, told: list[str]) -> None:
        if not told:
            return
        with opened(path, create=False) as notebook:
            kept = {row.id for row in notebook.claims()}
            done = {row.id for row in notebook.claims() if row.rating}
            fetched = {row[0] for row in notebook.db.execute("SELECT url FROM fetches")}
            sources = {row[0] for row in notebook.db.execute("SELECT url FROM sources")}
        for step in told:
            what, _, of = step.partition(" ")
            if of not in {"begun": kept, "done": done, "page": fetched, "source": sources}[what]:
                raise Lost(step)

    def whole(path: Path) -> bool:
        with opened(path, create=False) as notebook:
            return {row.id: row.rating for row in notebook.claims()} == ratings

    return Job("audit", lambda path, dice: None, work, require, whole)


def audited(notebook: Notebook, fetcher: Any, settings: Settings, tell: Tell = lambda _: None) -> dict[str, Any]:
    """Audits what has no rating yet, as a person would who calls the same command again."""

    class Telling(NotebookKeeper):
        def start(self, claim: Any) -> None:
            super().start(claim)
            tell(f"begun {claim.id}")

        def keep_fetch(self, fetch: Any) -> None:
            super().keep_fetch(fetch)
            tell(f"page {fetch.url}")

        def keep_source(self, source: Any) -> None:
            super().keep_source(source)
            tell(f"source {source.url}")

        def finish(self, audit: Any) -> None:
            super().finish(audit)
            tell(f"done {audit.claim.id}")

    for each in demo_claims():
        if not any(row.url == each.url and row.rating for row in notebook.claims()):
            audit_page(
                each.url, each.taxon, wording=each.wording, parts=each.parts, preparations=each.preparations,
                settings=settings, fetcher=fetcher, keeper=Telling(notebook),
            )  # fmt: skip
    return {row.id: row.rating for row in notebook.claims()}


def theirs_of(folder: Path) -> Path:
    path = folder / "theirs.sqlite"
    everything(path)
    with opened(path) as notebook:
        for number in range(AUDITS):
            claim = replace(a_claim(f"k{number}", 4), url=f"http://k{number}.example/")
            notebook.keep_audit(replace(an_audit(f"k{number}", 4), claim=claim))
    return path


def mine_at(path: Path) -> None:
    with opened(path) as notebook:
        notebook.keep_audit(an_audit("mine"))
        notebook.keep_audit(an_audit("c1"))


def all_or_nothing(before: list[dict[str, int]], after: list[dict[str, int]]) -> Callable[[Path, list[str]], None]:
    def require(path: Path, told: list[str]) -> None:
        now = counted(path)
        if now not in (after if told else before + after):
            raise Lost(f"{now} is neither before nor after")

    return require


def taking_job(name: str, folder: Path, work: Callable[[Path], object], *, new_too: bool) -> Job:
    """An import or a merge into a notebook with audits of its own, or by turns into a new one."""
    model = folder / "model.sqlite"
    mine_at(model)
    before = [counted(model)] + ([{}] if new_too else [])
    work(model)
    after = [counted(model)]
    if new_too:
        work(folder / "new.sqlite")
        after.append(counted(folder / "new.sqlite"))

    def lay_out(path: Path, dice: random.Random) -> None:
        if not new_too or dice.random() < 0.5:
            mine_at(path)

    def told(path: Path, tell: Tell) -> None:
        work(path)
        tell("done")

    return Job(name, lay_out, told, all_or_nothing(before, after), lambda path: counted(path) in after)


def import_job(folder: Path) -> Job:
    out = folder / "theirs.jsonl"
    with opened(theirs_of(folder)) as notebook, whole_file(out) as file:
        write_jsonl(notebook, file, Scope(places=True, history=True, pages=True))

    def work(path: Path) -> None:
        with out.open("rb") as stream:
            import_jsonl(stream, path, canonical=lambda url: canonical_url(url))

    return taking_job("import", folder, work, new_too=True)


def merge_job(folder: Path) -> Job:
    theirs = theirs_of(folder)

    def work(path: Path) -> None:
        with opened(path) as notebook:
            merge(notebook, theirs)

    return taking_job("merge", folder, work, new_too=False)


def migration_job(folder: Path) -> Job:
    """Notebooks of every earlier schema are opened."""
    wholes = {}
    for sample in SAMPLES:
        path = unpacked(sample, folder / sample.stem)
        before = counted(path)
        opened(path).close()
        wholes[sample.name] = (before, counted(path))
    drawn: dict[Path, str] = {}

    def lay_out(path: Path, dice: random.Random) -> None:
        sample = dice.choice(SAMPLES)
        unpacked(sample, path)
        drawn[path] = sample.name

    def work(path: Path, tell: Tell) -> None:
        with opened(path, create=False):
            tell("done")

    def require(path: Path, told: list[str]) -> None:
        with closing(sqlite3.connect(path)) as db:
            version = db.execute("PRAGMA user_version").fetchone()[0]
        first = int(drawn[path].removeprefix("schema").partition(".")[0])
        before, after = wholes[drawn[path]]
        saved = [each for each in backups(path) if each.sound and counted(each.path) == before]
        if version != first and not saved:
            raise Lost("it was migrated without a sound backup")
        if (version == first and counted(path) != before) or (told and counted(path) != after):
            raise Lost("rows")

    return Job("migration", lay_out, work, require, lambda path: counted(path) == wholes[drawn[path]][1])


JOBS = {"audit": audit_job, "import": import_job, "merge": merge_job, "migration": migration_job}


# ------------------------------------------------------------------------------------------------ killing


def killed(job: Job, path: Path, after: float, at: int) -> tuple[bool, list[str]]:
    """Whether it was killed before its work was done, and what it had told. ``at`` is the SQL statement at whose
    beginning it dies; 0, and it is killed from outside ``after`` so many seconds."""
    ear, mouth = os.pipe()

    def work() -> None:
        if at:
            die_at(at)
        job.work(path, lambda said: (os.write(mouth, f"{said}\n".encode()), None)[1])

    process = child(work)
    os.close(mouth)
    if not at:
        time.sleep(after)
        os.kill(process, signal.SIGKILL)
    with os.fdopen(ear) as heard:
        told = heard.read().split("\n")[:-1]
    _, status = os.waitpid(process, 0)
    if not os.WIFSIGNALED(status) and os.waitstatus_to_exitcode(status):
        raise RuntimeError(f"{job.name} failed by itself")
    return os.WIFSIGNALED(status), told


def die_at(number: int) -> None:
    left = iter(range(number - 1, -1, -1))
    connect = sqlite3.connect

    def traced(*arguments: Any, **options: Any) -> sqlite3.Connection:
        connection = connect(*arguments, **options)
        connection.set_trace_callback(lambda _: next(left, 1) == 0 and os.kill(os.getpid(), signal.SIGKILL))
        return connection

    sqlite3.connect = traced  # type: ignore[assignment]


def measured(job: Job, folder: Path, dice: random.Random) -> tuple[float, int]:
    """How long a run takes that nobody kills, and how many SQL statements it makes; the most of a few."""
    seconds, statements = 0.0, 0
    for number in range(6):
        path = folder / f"measured{number}.sqlite"
        job.lay_out(path, dice)
        ear, mouth = os.pipe()

        def work(path: Path = path, mouth: int = mouth) -> None:
            seen = [0]
            connect = sqlite3.connect

            def traced(*arguments: Any, **options: Any) -> sqlite3.Connection:
                connection = connect(*arguments, **options)
                connection.set_trace_callback(lambda _: seen.__setitem__(0, seen[0] + 1))
                return connection

            sqlite3.connect = traced  # type: ignore[assignment]
            job.work(path, lambda _: None)
            os.write(mouth, str(seen[0]).encode())

        began = time.monotonic()
        process = child(work)
        os.close(mouth)
        with os.fdopen(ear) as heard:
            statements = max(statements, int(heard.read() or 0))
        os.waitpid(process, 0)
        seconds = max(seconds, time.monotonic() - began)
    return seconds, statements


def is_sound(path: Path) -> bool:
    """As any SQLite tool would find it, before doubtwort opens it again."""
    if not path.exists():
        return True
    with closing(sqlite3.connect(path)) as db:
        sound = db.execute("PRAGMA integrity_check").fetchall() == [("ok",)]
        sound = sound and not db.execute("PRAGMA foreign_key_check").fetchall()
        there = {row[0] for row in db.execute("SELECT name FROM sqlite_master")}
        for index in INDEXES:
            if index in there and db.execute("SELECT count(*) FROM search_queue").fetchone() == (0,):
                db.execute(f"INSERT INTO {index} ({index}, rank) VALUES ('integrity-check', 1)")
    return bool(sound)


def figures_of(job: Job, folder: Path, kills: int, dice: random.Random) -> Figures:
    told_of = Figures()
    seconds, statements = measured(job, folder, dice)
    while told_of.kills < kills:
        path = folder / f"run{told_of.kills + told_of.too_late}" / "n.sqlite"
        path.parent.mkdir()
        job.lay_out(path, dice)
        at = dice.randint(1, statements) if told_of.kills % 2 else 0
        was_killed, told = killed(job, path, dice.uniform(0, seconds), at)
        if not was_killed:
            told_of.too_late += 1
        else:
            told_of.kills += 1
            looked_at(job, path, told, told_of)
        shutil.rmtree(path.parent)
    return told_of


def looked_at(job: Job, path: Path, told: list[str], figures: Figures) -> None:
    figures.found[told[-1].partition(" ")[0] if told else "nothing told"] += 1
    try:
        figures.sound += is_sound(path)
        job.require(path, told)
        figures.already_whole += path.exists() and job.whole(path)
        job.work(path, lambda _: None)
        job.require(path, [*told])
        figures.resumed += job.whole(path) and is_sound(path)
    except Lost as error:
        figures.lost += 1
        print(f"{job.name}: lost: {error}", file=sys.stderr)


def kill_jobs(folder: Path, kills: int, seed: int, only: str = "") -> None:
    """Prints a line for each job."""
    print(f"{'':10}{'kills':>7}{'sound':>7}{'lost':>7}{'resumed':>9}{'already whole':>15}   told last; seed {seed}")
    for name, made in JOBS.items():
        if only and name != only:
            continue
        at = folder / name
        shutil.rmtree(at, ignore_errors=True)
        at.mkdir(parents=True)
        found = figures_of(made(at), at, kills, random.Random(seed))
        steps = ", ".join(f"{step} {number}" for step, number in found.found.most_common())
        line = (
            f"{name:10}{found.kills:7}{found.sound:7}{found.lost:7}{found.resumed:9}{found.already_whole:15}   {steps}"
        )
        print(line, flush=True)
        shutil.rmtree(at)


def main() -> None:
    parser = argparse.ArgumentParser()
    parser.add_argument("folder", type=Path)
    parser.add_argument("--kills", type=int, default=200)
    parser.add_argument("--seed", type=int, default=1)
    parser.add_argument("--only", choices=[*JOBS], default="")
    asked = parser.parse_args()
    kill_jobs(asked.folder, asked.kills, asked.seed, asked.only)


if __name__ == "__main__":
    main()
