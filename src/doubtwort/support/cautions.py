"""Of what to warn, whatever the rating: danger first, and nothing left out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import Final

from doubtwort.model import (
    About,
    Caution,
    Certainty,
    Claim,
    Eater,
    Grounds,
    Notice,
    Outcome,
    Reading,
    Source,
    UnreadReason,
    Wording,
)
from doubtwort.support import CLAIM
from doubtwort.support.coverage import conditions_of
from doubtwort.taxa.hazards import UNTRACED, Hazards
from doubtwort.text import one_line

LONGEST_QUOTE: Final = 300
# The order in which cautions are given.
DANGER_FIRST: Final = (
    "toxic-stated",
    "listed-poisonous",
    "look-alike",
    "condition-dropped",
    "ambiguous-common-name",
    "contact-irritant",
    "toxic-to-animals",
    "sources-unread",
    "own-word-only",
    "standing",
)


@dataclass(frozen=True, slots=True)
class OnTrail:
    """What one page of the trail says: ``id`` is "claim" or a source's id, ``conditions`` those that it makes for
    the claim's wording and that the claim leaves out."""

    id: str
    reading: Reading
    conditions: tuple[str, ...] = ()


_ABOUT: Final = {
    About.TAXON: "this taxon",
    About.GENUS: "its genus",
    About.FAMILY: "its family",
    About.UNCLEAR: "a taxon that is not clear",
}
_CERTAINTY: Final = {
    Certainty.STATED: "says",
    Certainty.HEDGED: "says, if not for certain,",
    Certainty.HEARSAY: "passes on from others",
}


def cautions_for(
    claim: Claim, sources: Sequence[Source], trail: Sequence[OnTrail], hazards: Hazards
) -> tuple[Caution, ...]:
    """Every caution, danger first; within a code in the order of the trail."""
    found = [
        *_toxic_stated(trail),
        *_listed(claim, hazards),
        *_look_alikes(claim, hazards),
        *_condition_dropped(claim, trail),
        *_ambiguous(claim, hazards),
        *_noticed(trail),
        *_sources_unread(sources),
        *_own_word_only(sources),
        *(Caution(each.code, each.text, each.citation) for each in hazards.standing),
    ]
    known = {code: number for number, code in enumerate(DANGER_FIRST)}
    return tuple(sorted(dict.fromkeys(found), key=lambda each: known.get(each.code, len(known) - 1)))


def _who(page: OnTrail) -> str:
    return "The claim's own page" if page.id == CLAIM else page.id


def _toxic_stated(trail: Iterable[OnTrail]) -> Iterator[Caution]:
    """One for each source and each thing that it calls toxic to people; other taxa are left to themselves."""
    for page in trail:
        told: set[tuple[object, ...]] = set()
        for said in page.reading.statements:
            if said.wording is not Wording.TOXIC or said.eater is not Eater.PEOPLE or said.about is About.OTHER:
                continue
            of = conditions_of(said)
            if (key := (said.about, said.certainty, of)) in told:
                continue
            told.add(key)
            limits = f" ({', '.join(of)})" if of else ""
            yield Caution(
                "toxic-stated",
                f"{_who(page)} {_CERTAINTY[said.certainty]} that {_ABOUT[said.about]} is toxic{limits}: "
                f"“{one_line(said.quote, LONGEST_QUOTE)}”",
                page.id,
            )


def _listed(claim: Claim, hazards: Hazards) -> Iterator[Caution]:
    asked = claim.taxon.scientific_name
    for row in hazards.poisonous(claim.taxon):
        who = {
            "species": row.taxon,
            "synonym": f"{asked}, as {row.taxon},",
            "genus": f"{row.taxon}, the genus of {asked},",
            "member": f"{row.taxon}, of the genus asked for,",
        }[row.match]
        about = "; ".join(each for each in (row.parts, row.poison, row.note) if each)
        yield _from_list(
            "listed-poisonous",
            f"{who} stands in a published list of poisonous taxa{f' ({about})' if about else ''}.",
            row.citation,
            row.traced,
        )


def _look_alikes(claim: Claim, hazards: Hazards) -> Iterator[Caution]:
    for pair in hazards.lookalikes(claim.taxon):
        about = "; ".join(each for each in (pair.stage, pair.how) if each)
        if pair.asked == "dangerous":
            said = f"{pair.dangerous} is the dangerous one of two that are confused; the other is {pair.taxon}"
        else:
            said = f"{pair.taxon} has been confused with {pair.dangerous}, which is dangerous"
        yield _from_list("look-alike", f"{said}{f' ({about})' if about else ''}.", pair.citation, pair.traced)


def _ambiguous(claim: Claim, hazards: Hazards) -> Iterator[Caution]:
    for row in hazards.ambiguous(claim.taxon.common_names):
        said = f"“{row.name}” is a name of several taxa: {', '.join(row.taxa)}"
        if row.dangerous:
            said += f"; dangerous among them: {', '.join(row.dangerous)}"
        note = f" {row.note}" if row.note else ""
        yield _from_list("ambiguous-common-name", f"{said}.{note}", row.citation, row.traced)


def _from_list(code: str, text: str, citation: str, traced: bool) -> Caution:
    """A caution from a row of the lists; one that is not traced to a source says so in its own sentence."""
    return Caution(code, text if traced else f"{text} ({UNTRACED})", citation)


def _condition_dropped(claim: Claim, trail: Iterable[OnTrail]) -> Iterator[Caution]:
    for page in trail:
        if page.conditions:
            yield Caution(
                "condition-dropped",
                f"{_who(page)} says {claim.wording.value!r} only under a condition that the claim leaves out: "
                f"{'; '.join(page.conditions)}.",
                page.id,
            )


def _noticed(trail: Iterable[OnTrail]) -> Iterator[Caution]:
    """Skin irritation, and poison to animals: one of each a source."""
    words = {"contact-irritant": "can harm the skin or eyes", "toxic-to-animals": "is toxic to animals"}
    for page in trail:
        notices = [each for each in page.reading.notices if each.about is not About.OTHER]
        notices += [
            Notice("toxic-to-animals", said.quote, said.about)
            for said in page.reading.statements
            if said.wording is Wording.TOXIC and said.eater is Eater.ANIMALS and said.about is not About.OTHER
        ]
        first: dict[str, Notice] = {}
        for each in notices:
            first.setdefault(each.code, each)
        for code, each in first.items():
            what = words.get(code, code)
            quote = one_line(each.quote, LONGEST_QUOTE)
            yield Caution(code, f"{_who(page)} says that {_ABOUT[each.about]} {what}: “{quote}”", page.id)


def _sources_unread(sources: Sequence[Source]) -> Iterator[Caution]:
    unread = [each for each in sources if each.outcome is Outcome.UNREAD]
    if unread:
        by_reason: dict[UnreadReason | None, list[str]] = {}
        for each in unread:
            by_reason.setdefault(each.reason, []).append(each.id)
        said = "; ".join(f"{why.value if why else 'unknown'}: {', '.join(ids)}" for why, ids in by_reason.items())
        yield Caution("sources-unread", f"{len(unread)} of {len(sources)} sources were not read ({said}).")


def _own_word_only(sources: Sequence[Source]) -> Iterator[Caution]:
    bearing = [each for each in sources if each.outcome in (Outcome.SUPPORTS, Outcome.NARROWER)]
    if bearing and all(each.grounds is Grounds.OWN_WORD for each in bearing):
        ids = ", ".join(each.id for each in bearing)
        yield Caution(
            "own-word-only",
            f"What bears the claim out stands on its own word alone and cites nothing for it: {ids}.",
        )
