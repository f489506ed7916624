"""How well the reader reads the measured sets. By hand: ``PYTHONPATH=tests python tests/wording/measured_sets.py``.

Two sets in ``measured``, each written by one hand without sight of the tables or the reader, after whatever they are to
measure: plain and difficult sentences mixed as print mixes them. Nothing of them is taught or tuned on; this prints
figures alone. With ``--taught`` it lists instead every taught sentence that is read as edible and is not labelled so.
Items that stand word for word in the taught files, too ("Not edible."), are left out.
"""

from __future__ import annotations

import argparse
import hashlib
import tomllib
from collections import Counter
from functools import cache
from pathlib import Path

from doubtwort.model import About, Eater, Statement, Wording
from doubtwort.reading import read_text
from doubtwort.wording import read_document
from wording.blocks import Item, items

HERE = Path(__file__).parent
SETS = ("first", "second")
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
def figures(name: str) -> dict[str, float]:
    """Rates from 0 to 1, and counts of the three errors that matter most."""
    right, wrong, missed = Counter[Wording](), Counter[Wording](), Counter[Wording]()
    exact = given = given_right = false_edible = given_to_plant = 0
    for item in measured(name):
        found = read_item(item)
        read, labelled = {each.wording for each in found}, item.wordings
        exact += read == labelled
        right.update(read & labelled)
        wrong.update(read - labelled)
        missed.update(labelled - read)
        false_edible += Wording.EDIBLE in read - labelled
        for wording in read & labelled:
            given += 1
            whose = {each.about for each in found if each.wording is wording}
            given_right += whose == {each.about for each in item.said if each.wording is wording}
        plant_is = (each.wording is Wording.EDIBLE and each.about is About.TAXON for each in item.said)
        said_of_plant = any(each.wording is Wording.EDIBLE and each.about is About.TAXON for each in found)
        given_to_plant += said_of_plant and not any(plant_is)
    of_wording = {each: 2 * right[each] / (2 * right[each] + wrong[each] + missed[each]) for each in Wording}
    rates = {f"f1_{each}": value for each, value in of_wording.items()}
    return {
        "exact": exact / len(measured(name)), "macro_f1": sum(of_wording.values()) / len(of_wording), **rates,
        "about": given_right / given, "false_edible": false_edible, "edible_given_to_taxon": given_to_plant,
        "missed_toxic": missed[Wording.TOXIC], "toxic": right[Wording.TOXIC] + missed[Wording.TOXIC],
    }  # fmt: skip


@cache
def floors() -> dict[str, dict[str, dict[str, float]]]:
    return tomllib.loads(FLOORS.read_text("utf-8"))


def main() -> None:
    asked = argparse.ArgumentParser()
    asked.add_argument("--taught", action="store_true")
    if asked.parse_args().taught:
        for item in taught():
            if any(each.wording is Wording.EDIBLE for each in read_item(item)) and Wording.EDIBLE not in item.wordings:
                print(f"{item.file}:{item.line}: {item.text}")
        return
    for name in SETS:
        print(f"{name}: {len(measured(name))} items, sha256 {sha256(name)}")
        for figure, value in figures(name).items():
            print(f"  {figure:<24}{value:.3f}" if isinstance(value, float) else f"  {figure:<24}{value}")


if __name__ == "__main__":
    main()
