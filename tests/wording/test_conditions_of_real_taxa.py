"""Under which conditions real plants and fungi are eaten or harm, as published sources say; the sentences are our own.

Every sentence says what the source named beside it says, no more. The reader has to give the conditions back, and never
an "edible" without them. The sentences are tests of reading and no advice: what a source allows may still be dangerous.
"""

from __future__ import annotations

from dataclasses import dataclass

import pytest

from doubtwort.model import About, Taxon
from doubtwort.reading import read_text
from doubtwort.wording import read_document
from wording.owed import debt

ARMY = "US Army, FM 3-05.70 Survival (2002), chapters 9 and 10, appendices B (edible plants) and C (poisonous plants)"
CDC_ELDER = (
    "CDC, Poisoning from Elderberry Juice - California, MMWR 1984, www.cdc.gov/mmwr/preview/mmwrhtml/00000311.htm"
)
CDC_MOREL = "CDC, Outbreak Linked to Morel Mushroom Exposure - Montana, 2023, MMWR 2024;73(10):219-224"
FSANZ = "Food Standards Australia New Zealand, Cassava and bamboo shoots (March 2017)"
CANADA = "Health Canada, Food Safety Measures for Fiddleheads, RA-110001280 (2 June 2006)"
MSD = "MSD Manual, consumer version, table Some Moderately Poisonous Plants"
OLSON = (
    "Poisoning & Drug Overdose, 7th edition, table of toxic mushrooms (accessmedicine.mhmedical.com, section 248384940)"
)
MARTAT = "Marttaliitto, False morel (martat.fi/in-english/mushrooms/false-morel)"
TOKYO = "Tokyo Metropolitan Government, Poisonous plants easily mistaken for harmless ones (incidents 2003-2015)"


@dataclass(frozen=True)
class Fact:
    """``wanted``: "edible leaf cooked young; toxic fruit": parts, preparations, stages, amount, in this order."""

    taxon: str
    sentence: str
    wanted: str
    source: str


FACTS = [
    Fact(
        "Phytolacca americana",
        "The young shoots and leaves of Phytolacca americana are eaten only cooked; the roots must never be eaten.",
        "edible leaf shoot cooked young; inedible root",
        ARMY,
    ),
    Fact(
        "Phytolacca americana",
        "The berries of Phytolacca americana are regarded as poisonous even when cooked.",
        "toxic fruit cooked",
        ARMY,
    ),
    Fact(
        "Sambucus canadensis",
        "The flowers and fruit of Sambucus canadensis are eaten; every other part of it is poisonous.",
        "edible flower fruit; toxic",
        ARMY,
    ),
    Fact(
        "Sambucus mexicana",
        "Eleven people fell ill after drinking juice pressed from raw berries, leaves and stems of Sambucus mexicana.",
        "toxic fruit leaf stem raw",
        CDC_ELDER,
    ),
    Fact(
        "Sambucus mexicana",
        "The ripe berries of Sambucus mexicana are commonly eaten cooked.",
        "edible fruit cooked ripe",
        CDC_ELDER,
    ),
    Fact(
        "Quercus",
        "The acorns of Quercus are eaten after they have been soaked or boiled in changes of water.",
        "edible nut boiled leached soaked",
        ARMY,
    ),
    Fact(
        "Anacardium occidentale", "The nut of Anacardium occidentale is eaten only roasted.", "edible nut roasted", ARMY
    ),
    Fact(
        "Manihot esculenta",
        "The root of Manihot esculenta, bitter or sweet, has to be grated and cooked for an hour before it is eaten.",
        "edible root cooked",
        ARMY,
    ),
    Fact(
        "Manihot esculenta",
        "Peeled, sliced and thoroughly cooked, the root of sweet Manihot esculenta can be eaten.",
        "edible root cooked peeled",
        FSANZ,
    ),
    Fact("Colocasia", "Colocasia is eaten boiled or roasted.", "edible boiled roasted", ARMY),
    Fact("Xanthosoma caracu", "The tubers of Xanthosoma caracu are eaten cooked.", "edible tuber cooked", ARMY),
    Fact(
        "Arisaema triphyllum",
        "The corm of Arisaema triphyllum is edible only when it has been thoroughly dried or slowly baked.",
        "edible corm baked dried",
        ARMY,
    ),
    Fact(
        "Asparagus officinalis",
        "The young stems of Asparagus officinalis are eaten cooked, but its fruits should not be eaten.",
        "edible stem cooked young; inedible fruit",
        ARMY,
    ),
    Fact(
        "Hemerocallis fulva",
        "Eaten raw in large amounts, the flowers of Hemerocallis fulva can cause diarrhoea.",
        "toxic flower raw large",
        ARMY,
    ),
    Fact(
        "Rumex acetosella",
        "The leaves of Rumex acetosella are harmful when they are eaten raw in large amounts.",
        "toxic leaf raw large",
        ARMY,
    ),
    Fact(
        "Rumex crispus",
        "The leaves of Rumex crispus are eaten cooked in one or two changes of water.",
        "edible leaf cooked leached",
        ARMY,
    ),
    Fact("Oxalis", "Oxalis may be eaten in small amounts only, for it holds oxalic acid.", "edible small", ARMY),
    Fact(
        "Malus",
        "The flesh of Malus fruits is eaten, but the seeds contain cyanide compounds.",
        "edible fruit; toxic seed",
        f"{ARMY}; {MSD}",
    ),
    Fact(
        "Prunus",
        "The kernels of Prunus are poisonous if many are chewed and swallowed, though the flesh of the fruit is eaten.",
        "edible fruit; toxic seed large",
        MSD,
    ),
    Fact(
        "Pachyrhizus erosus",
        "The tuber of Pachyrhizus erosus is eaten raw or cooked; its raw seeds are poisonous.",
        "edible tuber cooked raw; toxic seed raw",
        ARMY,
    ),
    Fact(
        "Podophyllum peltatum",
        "Only the ripe fruit of Podophyllum peltatum is edible, and the green fruit is poisonous.",
        "edible fruit ripe; toxic fruit unripe",
        ARMY,
    ),
    Fact(
        "Solanum tuberosum",
        "The tubers of Solanum tuberosum are eaten, but its sprouts and leaves are toxic.",
        "edible tuber; toxic leaf shoot",
        f"{ARMY}; {MSD}",
    ),
    Fact(
        "Diospyros virginiana", "The unripe fruit of Diospyros virginiana is inedible.", "inedible fruit unripe", ARMY
    ),
    Fact(
        "Antidesma bunius",
        "The fruit of Antidesma bunius is eaten raw; its other parts may be poisonous.",
        "edible fruit raw; toxic",
        ARMY,
    ),
    Fact(
        "Citrullus colocynthis",
        "Wholly freed from the bitter pulp, the seeds of Citrullus colocynthis are edible roasted or boiled.",
        "edible seed boiled roasted",
        ARMY,
    ),
    Fact(
        "Carica papaya",
        "The young leaves and flowers of Carica papaya are eaten cooked, with the water changed.",
        "edible flower leaf cooked leached young",
        ARMY,
    ),
    Fact(
        "Caltha palustris",
        "Caltha palustris is eaten boiled and must never be eaten raw.",
        "edible boiled; inedible raw",
        ARMY,
    ),
    Fact("Claytonia", "The tubers of Claytonia are boiled before they are eaten.", "edible tuber boiled", ARMY),
    Fact("Cirsium", "Peeled and boiled, the stalks of Cirsium are eaten.", "edible stem boiled peeled", ARMY),
    Fact("Pandanus", "The green fruit of Pandanus is inedible.", "inedible fruit unripe", ARMY),
    Fact("Tamarindus indica", "The seeds of Tamarindus indica are edible only if cooked.", "edible seed cooked", ARMY),
    Fact(
        "Matteuccia struthiopteris",
        "The fiddleheads of Matteuccia struthiopteris can make people ill when they are eaten raw.",
        "toxic shoot raw",
        CANADA,
    ),
    Fact(
        "Matteuccia struthiopteris",
        "The fiddleheads of Matteuccia struthiopteris are eaten after they have been boiled for fifteen minutes.",
        "edible shoot boiled",
        CANADA,
    ),
    Fact(
        "Rheum rhabarbarum",
        "The stalks of Rheum rhabarbarum are eaten; its leaves are toxic.",
        "edible stem; toxic leaf",
        f"{MSD}; {ARMY}",
    ),
    Fact(
        "Morchella",
        "Fifty-one people fell ill and two died in an outbreak after eating Morchella.",
        "toxic",
        CDC_MOREL,
    ),
    Fact(
        "Gyromitra esculenta",
        "Gyromitra esculenta is lethal raw; it is eaten in Finland after it has been boiled and the water thrown away.",
        "edible boiled leached; toxic raw",
        MARTAT,
    ),
    Fact(
        "Coprinopsis atramentaria",
        "Coprinopsis atramentaria is poisonous when it is eaten with alcohol.",
        "toxic with alcohol",
        OLSON,
    ),
    Fact("Hosta montana", "The young leaves of Hosta montana are eaten in Japan.", "edible leaf young", TOKYO),
]

# What is still read wrongly, by the words that it turns on.
OWED = {
    "has to be grated and cooked": "'has to be cooked before it is eaten' loses its condition, and 'bitter' is read",
    "if many are chewed": "'if many are eaten' is an amount",
}


def owed(fact: Fact) -> str:
    return next((why for words, why in OWED.items() if words in fact.sentence), "")


def read(fact: Fact) -> set[str]:
    found = set()
    for each in read_document(read_text(fact.sentence, title=fact.taxon), Taxon(fact.taxon)).statements:
        assert each.about in (About.TAXON, About.GENUS)
        amount = [each.amount] if each.amount else []
        found.add(" ".join([str(each.wording), *each.parts, *each.preparations, *each.stages, *amount]))
    return found


@pytest.mark.parametrize("fact", [debt(each, why=owed(each)) if owed(each) else each for each in FACTS])
def test_conditions_are_given_back(fact: Fact) -> None:
    assert fact.taxon in fact.sentence
    assert sorted(read(fact)) == fact.wanted.split("; ")


@pytest.mark.parametrize("fact", [each for each in FACTS if not owed(each)])
def test_edible_never_stands_without_its_condition(fact: Fact) -> None:
    conditions = [set(each.split()) for each in fact.wanted.split("; ") if each.startswith("edible ")]
    for found in read(fact):
        if found.split()[0] == "edible":
            assert any(each <= set(found.split()) for each in conditions)


def test_there_are_twenty_taxa_and_each_names_its_source() -> None:
    assert len({fact.taxon for fact in FACTS}) >= 20
    assert all(fact.source for fact in FACTS)
