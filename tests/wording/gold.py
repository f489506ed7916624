"""How well the reader reads the gold sentences. By hand: ``python tests/wording/gold.py`` prints scores and floors.

``fixtures/gold/open.jsonl`` may be looked into while rules are made. ``locked.jsonl`` may only be scored, so nothing
here shows a text, an id or a group of it. ``--mistakes`` lists the sentences of the open half that are read otherwise
than labelled, ``--group NAME`` only those of one group. Only statements about people eating are scored.
"""

from __future__ import annotations

import argparse
import hashlib
import json
import math
import tomllib
from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from functools import cache
from pathlib import Path
from typing import Any

from doubtwort.model import Statement, Taxon
from doubtwort.reading import read_text
from doubtwort.wording import read_document

FOLDER = Path(__file__).resolve().parents[2] / "fixtures" / "gold"
FLOORS = FOLDER / "floors.toml"
HALVES = ("open", "locked")
WORDINGS = ("edible", "non-toxic", "unpalatable", "inedible", "toxic")
FIELDS = ("certainty", "parts", "preparations", "stages")
COUNTS = ("false_edible", "edible_given_to_taxon", "missed_toxic")
# How far below the score a floor is proposed: room for a rule that mends more than it breaks. Figures of one wording
# move by a hundredth or two with a single sentence.
MARGIN = 0.01
MARGIN_OF_ONE_WORDING = 0.03


@dataclass(frozen=True)
class Row:
    """One gold sentence: ``statements`` are those about people, each a mapping as in the file."""

    id: str
    group: str
    text: str
    title: str
    taxon: Taxon
    statements: tuple[dict[str, Any], ...]

    @property
    def wordings(self) -> frozenset[str]:
        return frozenset(each["wording"] for each in self.statements)


@cache
def rows(half: str) -> tuple[Row, ...]:
    """The sentences of "open" or "locked", in file order."""
    found = []
    for line in (FOLDER / f"{half}.jsonl").read_text(encoding="utf-8").splitlines():
        row = json.loads(line)
        taxon = Taxon(row["taxon"], tuple(row["synonyms"]), tuple(row["common_names"]))
        said = tuple(each for each in row["statements"] if each["eater"] == "people")
        found.append(Row(row["id"], row["group"], row["text"], row["title"], taxon, said))
    return tuple(found)


def sha256(half: str) -> str:
    return hashlib.sha256((FOLDER / f"{half}.jsonl").read_bytes()).hexdigest()


def floors() -> dict[str, Any]:
    """``{"open": {"sha256": …, "at_least": {"exact": 0.9}, "at_most": {"false_edible": 0}}, …}``"""
    return tomllib.loads(FLOORS.read_text(encoding="utf-8"))


def said_of(row: Row) -> list[Statement]:
    """What the reader reads, of people: the same way in as ``doubtwort read --jsonl``."""
    found = read_document(read_text(row.text, title=row.title), row.taxon).statements
    return [each for each in found if each.eater == "people"]


@dataclass
class Count:
    """True and false positives and false negatives of one thing."""

    right: int = 0
    wrong: int = 0
    missed: int = 0

    def add(self, found: Iterable[str], wanted: Iterable[str]) -> None:
        found, wanted = set(found), set(wanted)
        self.right += len(found & wanted)
        self.wrong += len(found - wanted)
        self.missed += len(wanted - found)

    @property
    def precision(self) -> float:
        return self.right / (self.right + self.wrong) if self.right + self.wrong else 1.0

    @property
    def recall(self) -> float:
        return self.right / (self.right + self.missed) if self.right + self.missed else 1.0

    @property
    def f1(self) -> float:
        total = 2 * self.right + self.wrong + self.missed
        return 2 * self.right / total if total else 1.0


@dataclass(frozen=True)
class Scores:
    """``rates`` are 0 to 1, ``counts`` are sentences; ``by_group`` is the exact rate and the size of each group."""

    sentences: int
    rates: dict[str, float]
    counts: dict[str, int]
    by_wording: dict[str, Count]
    by_group: dict[str, tuple[float, int]]


def score(sentences: Sequence[Row]) -> Scores:
    """Reads every sentence once and compares.

    - ``exact``: the set of wordings is the labelled one.
    - ``f1_<wording>``: of the wording being said in a sentence; ``macro_f1`` is the mean of the five.
    - ``about``: of the wordings that label and reading share, how many are given to the same set of taxa.
    - ``certainty``, ``parts``, ``preparations``, ``stages``: F1 over the values (the union of a wording's statements in
      a sentence), again of shared wordings.
    - ``false_edible``: sentences read as edible that are not labelled so of any taxon; ``edible_given_to_taxon``:
      sentences that say edible of another taxon, of a genus, or not at all, and are read as saying it of the one asked
      about. ``missed_toxic``: labelled toxic, not read so.
    """
    by_wording = {wording: Count() for wording in WORDINGS}
    fields = {field: Count() for field in FIELDS}
    counts = dict.fromkeys(COUNTS, 0)
    exact = shared = about = 0
    groups: dict[str, list[bool]] = {}
    for row in sentences:
        said = said_of(row)
        found = {str(each.wording) for each in said}
        groups.setdefault(row.group, []).append(found == row.wordings)
        exact += found == row.wordings
        counts["false_edible"] += "edible" in found - row.wordings
        counts["edible_given_to_taxon"] += _edible_of_taxon(said) and not _labelled_edible_of_taxon(row)
        counts["missed_toxic"] += "toxic" in row.wordings - found
        for wording in WORDINGS:
            by_wording[wording].add({wording} & found, {wording} & row.wordings)
        for wording in sorted(found & row.wordings):
            read = [each for each in said if each.wording == wording]
            labelled = [each for each in row.statements if each["wording"] == wording]
            shared += 1
            about += {str(each.about) for each in read} == {each["about"] for each in labelled}
            fields["certainty"].add((str(each.certainty) for each in read), (each["certainty"] for each in labelled))
            for field in FIELDS[1:]:
                fields[field].add(
                    (value for each in read for value in getattr(each, field)),
                    (value for each in labelled for value in each[field]),
                )
    rates = {
        "exact": exact / len(sentences),
        "macro_f1": sum(each.f1 for each in by_wording.values()) / len(by_wording),
        **{f"f1_{wording}": count.f1 for wording, count in by_wording.items()},
        "about": about / shared if shared else 1.0,
        **{field: count.f1 for field, count in fields.items()},
    }
    by_group = {group: (sum(right) / len(right), len(right)) for group, right in sorted(groups.items())}
    return Scores(len(sentences), rates, counts, by_wording, by_group)


def _edible_of_taxon(said: list[Statement]) -> bool:
    return any(each.wording == "edible" and each.about == "taxon" for each in said)


def _labelled_edible_of_taxon(row: Row) -> bool:
    return any(each["wording"] == "edible" and each["about"] == "taxon" for each in row.statements)


@cache
def scores(half: str) -> Scores:
    """Of the open half, or of those sentences of the locked half that do not stand in the open one as well."""
    seen = {_words(row.text) for row in rows("open")} if half == "locked" else set()
    return score([row for row in rows(half) if _words(row.text) not in seen])


def in_both_halves() -> int:
    """How many sentences of the locked half stand in the open one too (asked about another taxon, as a rule)."""
    seen = {_words(row.text) for row in rows("open")}
    return sum(_words(row.text) in seen for row in rows("locked"))


def _words(text: str) -> str:
    return " ".join(text.lower().split())


def table(name: str, found: Scores) -> str:
    """The scores for people to read; it holds no sentence and no id, and the groups only of the open half."""
    lines = [f"{name}: {found.sentences} sentences"]
    lines += [f"  {rate:22} {value:7.4f}" for rate, value in found.rates.items() if not rate.startswith("f1_")]
    lines += [f"  {count:22} {value:4d}" for count, value in found.counts.items()]
    lines.append(f"  {'':22} {'precision':>9} {'recall':>7} {'F1':>7}  (right, wrong, missed)")
    for wording, each in found.by_wording.items():
        numbers = f"({each.right}, {each.wrong}, {each.missed})"
        lines.append(f"  {wording:22} {each.precision:9.4f} {each.recall:7.4f} {each.f1:7.4f}  {numbers}")
    if name == "open":
        lines += [f"  {group:32} exact {rate:6.3f} of {size}" for group, (rate, size) in found.by_group.items()]
    return "\n".join(lines)


def proposed(half: str, found: Scores) -> str:
    """The floors to paste after a review: rates a little below the score, counts as they are."""
    lines = [f"[{half}]", f'sha256 = "{sha256(half)}"', "", f"[{half}.at_least]"]
    lines += floored(found.rates)
    lines += ["", f"[{half}.at_most]", *(f"{count} = {value}" for count, value in found.counts.items())]
    return "\n".join(lines)


def floored(rates: dict[str, float]) -> list[str]:
    """``"f1_toxic" = 0.937`` for a score of 0.9676."""
    lines = []
    for rate, value in rates.items():
        margin = MARGIN_OF_ONE_WORDING if rate.startswith(("f1_", "precision_", "recall_")) else MARGIN
        lines.append(f'"{rate}" = {max(0, math.floor((value - margin) * 1000) / 1000):.3f}')
    return lines


def below(found_rates: dict[str, float], found_counts: dict[str, int], pinned: dict[str, Any]) -> list[str]:
    """One line for every figure that is worse than its floor or ceiling, or that has none."""
    failed = []
    for rate, value in found_rates.items():
        floor = pinned["at_least"].get(rate)
        if floor is None or value < floor:
            failed.append(f"{rate} is {value:.4f}, its floor {floor}")
    for count, number in found_counts.items():
        ceiling = pinned["at_most"].get(count)
        if ceiling is None or number > ceiling:
            failed.append(f"{count} is {number}, its ceiling {ceiling}")
    unknown = (pinned["at_least"].keys() - found_rates.keys()) | (pinned["at_most"].keys() - found_counts.keys())
    return failed + [f"{each} has a floor and no score" for each in sorted(unknown)]


def mistakes(group: str = "") -> list[str]:
    """The open half's sentences that are read otherwise than labelled, one line each."""
    lines = []
    for row in rows("open"):
        said = said_of(row)
        wanted = sorted(_shown(each) for each in row.statements)
        found = sorted(_shown(_as_label(each)) for each in said)
        if wanted != found and group in ("", row.group):
            lines += [f"{row.id} {row.group} [{row.taxon.scientific_name} | {row.title}] {row.text!r}"]
            lines += [f"    labelled {'; '.join(wanted) or '-'}", f"    read     {'; '.join(found) or '-'}"]
    return lines


def _as_label(said: Statement) -> dict[str, Any]:
    return {
        "wording": str(said.wording),
        "about": str(said.about),
        "certainty": str(said.certainty),
        **{field: sorted(getattr(said, field)) for field in FIELDS[1:]},
    }


def _shown(each: dict[str, Any]) -> str:
    """``edible/taxon/stated leaf raw young``"""
    values = [value for field in FIELDS[1:] for value in each[field]]
    return " ".join(["/".join((each["wording"], each["about"], each["certainty"])), *values])


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.splitlines()[0] if __doc__ else "")
    asked.add_argument("--mistakes", action="store_true", help="list what is misread in the open half")
    asked.add_argument("--group", default="", help="with --mistakes: one group only")
    given = asked.parse_args()
    if given.mistakes:
        print("\n".join(mistakes(given.group)))
        return
    for half in HALVES:
        print(table(half, scores(half)) + "\n")
    print(f"# for {FLOORS.name}, after a review\n")
    print("\n\n".join(proposed(half, scores(half)) for half in HALVES))


if __name__ == "__main__":
    main()
