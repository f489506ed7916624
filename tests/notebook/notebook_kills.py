"""Kills processes that write to a notebook, and looks at what they leave. For the tests, and by hand for many kills."""

from __future__ import annotations

import gzip
import os
import random
import signal
import sqlite3
import time
from collections import Counter
from collections.abc import Callable
from contextlib import closing
from dataclasses import replace
from pathlib import Path

from notebook_values import a_claim, an_audit

from doubtwort.model import Citation, Rating
from doubtwort.notebook import NotebookKeeper, open_notebook
from doubtwort.notebook.claims_by_hand import Medium, Origin, delete_claim, record_claim
from doubtwort.notebook.history import undo
from doubtwort.notebook.notes import Tasting, add_tasting
from doubtwort.notebook.places import Place, add_place
from doubtwort.notebook.taxa import rename_taxon
from doubtwort.notebook.vetted import Decision, Status, decide, decide_again
from doubtwort.shipped import shipped

ENTRY = "Fictaria silvana"
SAMPLES = sorted((shipped("fixtures") / "notebooks").glob("schema*.sqlite.gz"))


def unpacked(sample: Path, path: Path) -> Path:
    path.write_bytes(gzip.decompress(sample.read_bytes()))
    return path


def keep_a_year(path: Path, told: Callable[[str], None] = lambda _: None) -> None:
    """All that a person writes down, each step told once it is kept; a claim's rating changes on the way."""
    with open_notebook(path) as notebook:
        for number in range(3):
            citation = Citation("1", f"Invented herbs {number}", isbn="9780306406157")
            quote = f"Words number {number} of an invented talk about {'leaves roots seeds'.split()[number]}."
            claim = replace(a_claim(f"h{number}", 0), quote=quote, url="", citations=(citation,))
            record_claim(notebook, claim, Origin(Medium.TALK, f"Talk {number}"), anyway=True)
            told(f"h{number}")
        notebook.keep_audit(an_audit("c1", rating=Rating.SUPPORTED))
        told("c1")
        entry = decide(notebook, ENTRY, "leaf", "", Decision(Status.ACCEPTED, "tried it", claims=("c1",)))
        told(entry.id)
        add_tasting(notebook, ENTRY, Tasting(taste="cardboard"))
        add_place(notebook, ENTRY, Place(region="Low Hills"))
        told("n1 p1")
        rename_taxon(notebook, ENTRY, "Fictaria nova")
        delete_claim(notebook, "h1")
        undo(notebook)
        told("undone")
        keeper = NotebookKeeper(notebook)
        audit = an_audit("c1", rating=Rating.DISPUTED)
        keeper.start(audit.claim)
        for source in audit.sources:
            keeper.keep_source(source)
        keeper.finish(audit)
        told("disputed")
        decide_again(notebook, entry.id, Decision(Status.REJECTED, "disputed"))
        told("rejected")


def child(work: Callable[[], None]) -> int:
    """Runs in a process of its own that shares nothing but the file; gives the process id."""
    process = os.fork()
    if process:
        return process
    status = 1
    try:
        work()
        status = 0
    finally:
        os._exit(status)


def statements_of(path: Path) -> int:
    """How many SQL statements a whole run makes."""
    seen: list[str] = []
    connect = sqlite3.connect

    def traced(*arguments: object, **options: object) -> sqlite3.Connection:
        connection = connect(*arguments, **options)
        connection.set_trace_callback(seen.append)
        return connection

    sqlite3.connect = traced
    try:
        keep_a_year(path)
    finally:
        sqlite3.connect = connect
    return len(seen)


def killed(path: Path, at: int, report: int) -> None:
    """A process that dies as it begins its ``at``-th SQL statement, be it of the opening, a migration or a change."""

    def work() -> None:
        left = iter(range(at - 1, -1, -1))
        connect = sqlite3.connect

        def traced(*arguments: object, **options: object) -> sqlite3.Connection:
            connection = connect(*arguments, **options)
            connection.set_trace_callback(lambda _: next(left, 1) == 0 and os.kill(os.getpid(), signal.SIGKILL))
            return connection

        sqlite3.connect = traced
        keep_a_year(path, lambda said: os.write(report, f"{said}\n".encode()))

    os.waitpid(child(work), 0)


def killed_from_outside(path: Path, seconds: float, report: int) -> None:
    """A process that is killed wherever it is: in a commit, in a write, between two."""
    process = child(lambda: keep_a_year(path, lambda said: os.write(report, f"{said}\n".encode())))
    time.sleep(seconds)
    os.kill(process, signal.SIGKILL)
    os.waitpid(process, 0)


def what_is_left(path: Path, told: list[str]) -> str:
    """Opens what a killed process left; everything that it had told of must be there. Gives how far it had come."""
    with open_notebook(path) as notebook:
        notebook.check()
        db = notebook.db
        assert db.execute("SELECT count(*) FROM search_queue").fetchone() == (0,)
        for index in ("statement_search", "claim_search", "tasting_search", "entry_search"):
            db.execute(f"INSERT INTO {index} ({index}, rank) VALUES ('integrity-check', 1)")
        held = {row[0] for row in db.execute("SELECT label FROM claim_ratings")}
        deleted = "undone" not in told and "n1 p1" in told  # h1 may be gone between its deletion and the undo
        assert {each for each in told if each[0] in "hc" and not (deleted and each == "h1")} <= held
        if "n1 p1" in told:
            assert db.execute("SELECT (SELECT count(*) FROM tastings), (SELECT count(*) FROM places)").fetchone() == (
                1,
                1,
            )
        rows = dict(db.execute("SELECT label, status FROM entries").fetchall())
        if "v1" in told:
            assert "v1" in rows
        rating = db.execute("SELECT rating FROM claim_ratings WHERE label = 'c1'").fetchone()
        if rating == ("disputed",):
            assert rows["v1"] != "accepted", "an entry stayed accepted on a disputed claim"
    return told[-1] if told else "nothing"


def kill_at_random(folder: Path, times: int, dice: random.Random) -> dict[str, int]:
    """Kills so many runs, by turns at an SQL statement and from outside, in new notebooks and in ones of every earlier
    schema that are migrated first. Raises at the first that lost anything. Gives how far they had come."""
    for left in folder.glob("*.sqlite*"):
        left.unlink()
    whole = statements_of(folder / "whole.sqlite")
    began = time.monotonic()
    keep_a_year(folder / "timed.sqlite")
    lasted = time.monotonic() - began
    reached: Counter[str] = Counter()
    for number in range(times):
        path = folder / f"{number}.sqlite"
        path.unlink(missing_ok=True)
        if number % 3 == 2:
            unpacked(dice.choice(SAMPLES), path)
            with closing(sqlite3.connect(path)) as old:
                old.execute("PRAGMA foreign_keys = ON")
        ear, mouth = os.pipe()
        if number % 2:
            killed_from_outside(path, dice.uniform(0, lasted), mouth)
        else:
            killed(path, dice.randint(1, whole), mouth)
        os.close(mouth)
        with os.fdopen(ear) as heard:
            told = heard.read().split("\n")[:-1]
        reached[what_is_left(path, told)] += 1
        for each in folder.glob(f"{number}.sqlite*"):
            each.unlink()
    return dict(reached)
