"""How well the reader reads the measured sets. By hand: ``PYTHONPATH=tests python tests/wording/measured_sets.py``.

Three sets in ``measured``, each written by one hand without sight of the tables or the reader, after whatever they are
to measure: plain and difficult sentences mixed as print mixes them. Nothing of them is taught or tuned on; this prints
figures alone. With ``--taught`` it lists instead every taught sentence that is read as edible and is not labelled so.
Items that stand word for word in the taught files, too ("Not edible."), are left out.
"""

from __future__ import annotations

import argparse
import hashlib
import tomllib
from collections.abc import Iterable
from functools import cache
from pathlib import Path

from doubtwort.model import About, Eater, Statement, Wording
from doubtwort.reading import read_text
from doubtwort.wording import read_document
from wording.blocks import Item, Said, items
from wording.gold import COUNTS, Count

HERE = Path(__file__).parent
SETS = ("first", "second", "third")
FLOORS = HERE / "measured" / "floors.toml"


def file_of(name: str) -> Path:
    return HERE / "measured" / f"{name}.txt"


def sha256(name: str) -> str:
    return hashlib.sha256(file_of(name).read_bytes()).hexdigest()


@cache
def taught() -> tuple[Item, ...]:
    return tuple(item for path in sorted((HERE / "taught").glob("*.txt")) for item in items(path))


@cache
def measured(name: str) -> tuple[Item, ...]:
    known = {item.text.lower() for item in taught()}
    return tuple(item for item in items(file_of(name)) if item.text.lower() not in known)


def read_item(item: Item) -> list[Statement]:
    """What is read of people eating."""
    found = read_document(read_text(item.text, title=item.title), item.taxon).statements
    return [each for each in found if each.eater is Eater.PEOPLE]


@cache
def figures(name: str) -> tuple[dict[str, float], dict[str, int]]:
    """Rates from 0 to 1, and counts of the errors that matter most."""
    by_wording = {wording: Count() for wording in Wording}
    exact = given = given_right = 0
    counts = dict.fromkeys(COUNTS, 0)
    for item in measured(name):
        found = read_item(item)
        read, labelled = {each.wording for each in found}, item.wordings
        exact += read == labelled
        for wording, count in by_wording.items():
            count.add({wording} & read, {wording} & labelled)
        for wording in read & labelled:
            given += 1
            given_right += whose(found, wording) == whose(item.said, wording)
        counts["false_edible"] += Wording.EDIBLE in read - labelled
        counts["missed_toxic"] += Wording.TOXIC in labelled - read
        counts["edible_given_to_taxon"] += About.TAXON in (
            whose(found, Wording.EDIBLE) - whose(item.said, Wording.EDIBLE)
        )
    f1 = {wording: count.f1 for wording, count in by_wording.items()}
    rates = {"exact": exact / len(measured(name)), "macro_f1": sum(f1.values()) / len(f1), "about": given_right / given}
    return rates | {f"f1_{wording}": value for wording, value in f1.items()}, counts


def wrongly_edible(among: Iterable[Item]) -> list[str]:
    """File, line and text of every item that is read as edible and is not labelled so."""
    return [
        f"{item.file}:{item.line}: {item.text}"
        for item in among
        if Wording.EDIBLE not in item.wordings and any(each.wording is Wording.EDIBLE for each in read_item(item))
    ]


def whose(said: Iterable[Statement | Said], wording: Wording) -> set[About]:
    return {each.about for each in said if each.wording is wording}


@cache
def floors() -> dict[str, dict[str, dict[str, float]]]:
    return tomllib.loads(FLOORS.read_text("utf-8"))


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--taught", action="store_true")
    if asked.parse_args().taught:
        print(*wrongly_edible(taught()), sep="\n")
        return
    for name in SETS:
        print(f"{name}: {len(measured(name))} items, sha256 {sha256(name)}")
        rates, counts = figures(name)
        for figure, rate in rates.items():
            print(f"  {figure:<24}{rate:.3f}")
        for figure, count in counts.items():
            print(f"  {figure:<24}{count}")


if __name__ == "__main__":
    main()
