"""Processes killed while they merge or take in: all of it is there afterwards, or nothing of it."""

from __future__ import annotations

import io
import os
import random
import signal
import time
from dataclasses import replace

import pytest

from doubtwort.notebook import open_notebook
from doubtwort.notebook.merge import merge
from doubtwort.notebook.outgoing import Scope
from doubtwort.sharing.jsonl import import_jsonl, write_jsonl
from notebook.notebook_values import a_claim, an_audit
from sharing.sharing_samples import rows

AUDITS = 40
KILLS = 12


@pytest.fixture(scope="module")
def theirs(tmp_path_factory):
    path = tmp_path_factory.mktemp("theirs") / "theirs.sqlite"
    with open_notebook(path) as notebook:
        for number in range(AUDITS):
            claim = replace(a_claim(f"k{number}", 4), url=f"http://k{number}.example/")
            notebook.keep_audit(replace(an_audit(f"k{number}", 4), claim=claim))
    return path


def killed(work, after: float) -> bool:
    """Whether the process was killed before its work was done."""
    process = os.fork()
    if not process:
        status = 1
        try:
            work()
            status = 0
        finally:
            os._exit(status)
    time.sleep(after)
    os.kill(process, signal.SIGKILL)
    _, status = os.waitpid(process, 0)
    return os.WIFSIGNALED(status)


@pytest.mark.skipif(not hasattr(os, "fork"), reason="needs fork")
@pytest.mark.parametrize("way", ["merge", "import into a notebook", "import as a new one"])
def test_all_or_nothing(theirs, tmp_path, way):
    out = io.StringIO()
    with open_notebook(theirs) as notebook:
        write_jsonl(notebook, out, Scope())
    data = out.getvalue().encode()
    chosen = random.Random(7)
    seen = set()
    for number in range(KILLS):
        mine = tmp_path / f"mine{number}.sqlite"
        if way != "import as a new one":
            with open_notebook(mine) as notebook:
                notebook.keep_audit(an_audit("c1"))

        def work(mine=mine):
            if way == "merge":
                with open_notebook(mine) as notebook:
                    merge(notebook, theirs)
            else:
                import_jsonl(io.BytesIO(data), mine)

        seen.add(killed(work, chosen.uniform(0, 0.35)))
        if way == "import as a new one" and not mine.exists():
            continue
        with open_notebook(mine) as notebook:
            notebook.check()
            kept = {row.id for row in notebook.claims()}
            assert notebook.db.execute("SELECT count(*) FROM search_queue").fetchone()[0] == 0
        brought = kept - {"c1"}
        assert len(brought) in (0, AUDITS)
        assert ("c1" in kept) is (way != "import as a new one")
        assert len(rows(mine)["audits"]) == len(kept)
    assert True in seen  # some were killed at work
