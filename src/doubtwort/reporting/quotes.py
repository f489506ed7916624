"""One statement for the reader: its words, where they stand, how they were read."""

from __future__ import annotations

from dataclasses import dataclass

from doubtwort.model import About, Certainty, Eater, Place, Statement, Taxon, Wording
from doubtwort.reporting.links import sentence_link
from doubtwort.reporting.words import ABOUT_SAYS, CERTAINTY_SAYS

_CERTAINTY_FACT = {
    Certainty.STATED: "stated",
    Certainty.HEDGED: "hedged: not said for certain",
    Certainty.HEARSAY: "hearsay: passed on from others",
}


@dataclass(frozen=True, slots=True)
class Quote:
    """One statement in the words of its source, and how it was read. ``conditions`` such as ("root", "raw").

    ``before`` and ``after`` are the words around it on its page, where that is at hand; ``facts`` are (label, value)
    such as ("part", "root"); ``link`` leads to the sentence, "" where there is no address; ``values`` are the parts,
    preparations and stages that were read.
    """

    text: str
    wording: str
    about: str
    conditions: tuple[str, ...]
    place: str
    rules: tuple[str, ...]
    dangerous: bool
    before: str = ""
    after: str = ""
    facts: tuple[tuple[str, str], ...] = ()
    link: str = ""
    values: tuple[str, ...] = ()


def quote_of(statement: Statement, taxon: Taxon, url: str = "", around: tuple[str, str] = ("", "")) -> Quote:
    """A statement for the reader. ``url`` is the page that it stands on, ``around`` the words before and after it.

    >>> said = Statement("Its root is poisonous raw.", Wording.TOXIC, About.TAXON, parts=("root",))
    >>> quote_of(said, Taxon("Fictaria silvana")).conditions
    ('root',)
    """
    about = ABOUT_SAYS[statement.about]
    if statement.about is About.OTHER and statement.subject:
        about = f"another taxon ({statement.subject})"
    elif statement.about is About.GENUS and taxon.genus:
        about = f"the genus {taxon.genus}"
    values = (*statement.parts, *statement.preparations, *statement.stages)
    conditions = list(values)
    if statement.except_parts:
        conditions.append(f"except {', '.join(statement.except_parts)}")
    if statement.amount:
        conditions.append(f"{statement.amount} amounts")
    if statement.eater is Eater.ANIMALS:
        conditions.append("for animals")
    if certainty := CERTAINTY_SAYS[statement.certainty]:
        conditions.append(certainty)
    return Quote(
        text=statement.quote,
        wording=statement.wording.value,
        about=about,
        conditions=tuple(conditions),
        place=place_words(statement.place),
        rules=statement.rules,
        dangerous=is_toxic(statement),
        before=around[0],
        after=around[1],
        facts=_facts(statement, about),
        link=sentence_link(url, statement.quote, statement.place.page if statement.place else None),
        values=values,
    )


def place_words(place: Place | None) -> str:
    """Where a statement stands, for the reader.

    >>> place_words(Place(("Uses", "Food"), 120, 150, page=3))
    'page 3, under “Uses › Food”, characters 120–150'
    """
    if place is None:
        return ""
    parts = [f"page {place.page}"] if place.page is not None else []
    if place.headings:
        parts.append(f"under “{' › '.join(place.headings)}”")
    return ", ".join([*parts, f"characters {place.start}–{place.end}"])


def is_toxic(statement: Statement) -> bool:
    """Poisonous to people, and this taxon, its genus or family, or nobody can tell which."""
    return statement.wording is Wording.TOXIC and statement.eater is Eater.PEOPLE and statement.about is not About.OTHER


def says_of_taxon(statements: tuple[Statement, ...]) -> tuple[str, ...]:
    """What a source says of people eating the taxon, in few words: each wording once, as it comes; the genus or family
    only where nothing is said of the taxon itself.

    >>> says_of_taxon((Statement("Deadly.", Wording.TOXIC, About.GENUS),))
    ('of the genus: toxic',)
    """
    people = [each for each in statements if each.eater is Eater.PEOPLE]
    found = dict.fromkeys(each.wording.value for each in people if each.about is About.TAXON)
    if not found:
        wider = (About.GENUS, About.FAMILY, About.UNCLEAR)
        prefix = {About.GENUS: "of the genus", About.FAMILY: "of the family", About.UNCLEAR: "unclear of what"}
        found = dict.fromkeys(
            f"{prefix[about]}: {each.wording.value}" for about in wider for each in people if each.about is about
        )
    return tuple(found)


def _facts(statement: Statement, about: str) -> tuple[tuple[str, str], ...]:
    named = [
        ("says", statement.wording.value),
        ("of", about),
        ("part", ", ".join(statement.parts) or "none named"),
        ("all but", ", ".join(statement.except_parts)),
        ("preparation", ", ".join(statement.preparations) or "none named"),
        ("stage", ", ".join(statement.stages)),
        ("amount", statement.amount),
        ("eaten by", "animals" if statement.eater is Eater.ANIMALS else "people"),
        ("certainty", _CERTAINTY_FACT[statement.certainty]),
    ]
    return tuple((label, value) for label, value in named if value)
