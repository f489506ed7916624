"""By hand: sentences a second of the reader on one core, beside a published algorithm on the same sentences.

``PYTHONPATH=tests python tests/bench/bench_reader.py [--mistakes]``

(a) gold sentences of the open half that hold a cue word, each a text of its own; (b) page text, in one document: the
demo web's pages and WordNet's plant glosses. The other is ConText as medspacy 1.3
implements it, on a blank spaCy pipeline; DOUBTWORT_MEDSPACY names the Python of an environment that has it, and without
it only our own figures are shown. For negation scope both are held against the labels of the negation group: is
"edible", is "toxic" asserted of people or not? ``--mistakes`` lists where each is wrong.
"""

from __future__ import annotations

import json
import os
import subprocess
import sys
import time
from collections.abc import Callable
from pathlib import Path
from typing import Any

from doubtwort.mentions.sentences import split
from doubtwort.model import Document, Fetched, Passage
from doubtwort.reading import read, read_text
from doubtwort.settings import Settings
from doubtwort.text import fold
from doubtwort.wording import read_document
from doubtwort.wording.passage import may_state
from wording.gold import Row, rows, said_of
from wording.wordnet import NoWordNet, plant_synsets

RUNS = 3
DEMO = Path(__file__).resolve().parents[2] / "fixtures" / "demo_web"


def best(work: Callable[[], object]) -> float:
    """Seconds of CPU, the best of some runs after one that fills the caches."""
    work()
    fastest = float("inf")
    for _ in range(RUNS):
        started = time.process_time()
        work()
        fastest = min(fastest, time.process_time() - started)
    return fastest


def with_cues() -> list[Row]:
    """Open gold sentences of one line in which the reader looks for statements at all."""
    return [row for row in rows("open") if "\n" not in row.text and may_state(Passage(row.text), fold(row.text).lower)]


def page_texts() -> dict[str, list[str]]:
    """Passages: of the demo web, and WordNet's plant glosses where WordNet is."""
    texts = []
    for page in sorted(DEMO.rglob("*.html")):
        found = read(Fetched("", "", 200, {}, page.read_bytes(), "", ""), Settings())
        texts += [each.text for each in found.passages] if isinstance(found, Document) else []
    pages = {"the demo web's pages, 20 times": texts * 20}
    try:
        pages["WordNet's plant glosses"] = [each.gloss for each in plant_synsets()]
    except NoWordNet as why:
        print(f"WordNet 3.0 is not here: {why}", file=sys.stderr)
    return pages


def context(texts: list[str], *, splits: bool) -> dict[str, Any] | None:
    """The other's seconds and targets, None where it is not installed."""
    python = os.environ.get("DOUBTWORT_MEDSPACY", "")
    if not python:
        return None
    asked = json.dumps({"texts": texts, "runs": RUNS, "split": splits})
    worker = Path(__file__).with_name("context_worker.py")
    done = subprocess.run([python, worker], input=asked, capture_output=True, text=True, timeout=600, check=False)
    if done.returncode:
        raise SystemExit(f"{python} {worker.name}: {done.stderr.strip().splitlines()[-1]}")
    answer: dict[str, Any] = json.loads(done.stdout)
    return answer


def compare(label: str, sentences: int, ours: float, theirs: dict[str, Any] | None) -> None:
    line = f"{label:44} {sentences:6d} sentences  {sentences / ours:10,.0f}/s"
    if theirs:
        line += f"   ConText {sentences / theirs['seconds']:8,.0f}/s   {theirs['seconds'] / ours:5.1f} times as fast"
    print(line)


def speed() -> None:
    gold = with_cues()
    documents = [(read_text(row.text, title=row.title), row.taxon) for row in gold]
    ours = best(lambda: [read_document(document, taxon) for document, taxon in documents])
    compare("gold sentences with cues, each a text", len(gold), ours, context([row.text for row in gold], splits=False))
    for name, texts in page_texts().items():
        passages, start = [], 0
        for text in texts:
            passages.append(Passage(text, start=start))
            start += len(text) + 2
        page, taxon = Document("", "A flora", tuple(passages)), gold[0].taxon
        sentences = sum(len(split(fold(text).text)) for text in texts)
        holding = sum(may_state(each, fold(each.text).lower) for each in passages)
        ours = best(lambda page=page, taxon=taxon: read_document(page, taxon))
        compare(f"{name}, one document", sentences, ours, context(texts, splits=True))
        print(f"  ({holding} of {len(passages)} passages hold a word that is looked into)")


def negation(mistakes: bool) -> None:
    """Asserted or not: the only thing that both can say."""
    group = [row for row in rows("open") if row.group == "negation"]
    answer = context([row.text for row in group], splits=False)
    tried = right_ours = right_theirs = 0
    for at, row in enumerate(group):
        wanted = row.wordings & {"edible", "toxic"}
        ours = {str(each.wording) for each in said_of(row)} & {"edible", "toxic"}
        targets = answer["targets"][at] if answer else []
        theirs = {label for label, negated, hypothetical, _ in targets if not negated and not hypothetical}
        if answer and not targets:
            continue  # no target word of the other's: it cannot say anything
        tried += 1
        right_ours += ours == wanted
        right_theirs += theirs == wanted
        if mistakes and (ours != wanted or (answer and theirs != wanted)):
            shown = f"labelled {sorted(wanted)}, ours {sorted(ours)}" + (
                f", ConText {sorted(theirs)}" if answer else ""
            )
            print(f"  {row.id} {shown}: {row.text}")
    line = f"negation group, asserted or not: {tried} sentences, ours right {right_ours}"
    print(line + (f", ConText right {right_theirs}" if answer else ""))


def main(arguments: list[str]) -> None:
    if not os.environ.get("DOUBTWORT_MEDSPACY"):
        print("DOUBTWORT_MEDSPACY names no Python with medspacy: our own figures only", file=sys.stderr)
    speed()
    negation("--mistakes" in arguments)


if __name__ == "__main__":
    main(sys.argv[1:])
