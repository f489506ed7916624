"""Plain words for what a reading is made of: roles of phrases, whose a name is, why a phrase states nothing."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from doubtwort.model import Certainty
from doubtwort.wording.rules import Role


@dataclass(frozen=True, slots=True)
class RoleWords:
    """What a phrase of this role does. ``label`` stands under the phrase, {value} being what the table records for it
    and {words} the phrase itself; ``says`` tells it in a clause. ``kind`` is the group it is drawn as."""

    label: str
    says: str
    kind: str


ROLE_WORDS: Final[dict[Role, RoleWords]] = {
    Role.SAYS: RoleWords("says {value}", "says something about eating", "says"),
    Role.NEGATE: RoleWords("turns it round: {words}", "turns what it reaches into its opposite", "turns"),
    Role.NEGATE_HEDGED: RoleWords(
        "turns it round, in doubt: {words}", "turns what it reaches round, in doubt", "turns"
    ),
    Role.CANCEL: RoleWords("takes it back: {words}", "takes back what it reaches: nothing is stated", "turns"),
    Role.HEDGE: RoleWords("weakens: {words}", "what it reaches is not said for certain", "weakens"),
    Role.HEARSAY: RoleWords("heard from others", "what it reaches is passed on from others", "weakens"),
    Role.DETOXIFY: RoleWords("says the poison goes", "says that a treatment takes the poison away", "turns"),
    Role.ANIMALS: RoleWords("who: {words}", "tells that animals eat it or are harmed", "who"),
    Role.PEOPLE: RoleWords("who: {words}", "tells that people eat it or are harmed", "who"),
    Role.MEDICINE: RoleWords("used as medicine", "a use as medicine, which is not eating", "use"),
    Role.CRAFT: RoleWords("used, but not as food", "another use, which is not eating", "use"),
    Role.TRAP: RoleWords("only looks like it", "looks like a statement about eating and is none", "use"),
    Role.NOTICE: RoleWords("a caution: {value}", "a caution that is no statement about eating", "notice"),
    Role.PART: RoleWords("part: {value}", "names a part", "limits"),
    Role.PREPARATION: RoleWords("prepared: {value}", "names a preparation", "limits"),
    Role.STAGE: RoleWords("stage: {value}", "names a stage or season", "limits"),
    Role.AMOUNT: RoleWords("amount: {value}", "names an amount", "limits"),
}

# The roles that reach over other words; one that reaches none is said to.
REACHING: Final = frozenset({"turns", "weakens"})

NOTICE_WORDS: Final = {
    "contact-irritant": "contact with the skin",
    "special-groups": "for some people",
}

SILENCE_SAYS: Final = {
    "no instruction": "These words are an instruction only where they begin a clause, and they do not begin one here.",
    "another statement in its clause": "Another phrase beside it says more, and this one yields to it.",
    "a taste alone": "It tells of a taste, and nothing beside it says that people eat it.",
    "a condition, not a statement": "It only tells when or how the rest holds (“if eaten …”, “after eating …”).",
    "contact alone": "It is about touching, not about eating.",
    "medicine or craft": "The use is medicine or craft, not food.",
    "no animal that eats it": "It counts only with an animal that eats it, and none is named.",
    "a taste of something else": "The taste is not said of the plant itself.",
    "a good taste of something poisonous": "A good taste makes no food of what the sentence calls poisonous.",
    "said of animals that are eaten": "What is eaten here is an animal.",
    "said of plants in general": "It speaks of plants or fungi in general, not of one.",
    "sowing and growing": "It tells how the plant is sown or grown; nothing is cooked.",
    "a dish that made people ill": "What was eaten there made people ill; that it was served makes no food of it.",
    "question": "It is a question, and a question states nothing.",
    "a caution for some people": "It warns some people only; of the plant in general it says nothing.",
    "taken back in the next sentence": "The next sentence takes it back.",
    "cancelled": "Other words of the sentence take it back, or say that nobody knows.",
    "a case of poisoning told": "It tells what someone ate before they fell ill, and that makes no food of it.",
    "negated": "Turned round, these words state nothing: their opposite is no wording of its own.",
    "negated twice": "It is turned round twice, and nothing favourable is read from that.",
    "the second reader finds no such statement": "The tables find a statement in these words; the second reader, a "
    "network taught on sentences, finds none in the whole sentence, so none is made.",
    "the value answers its label": "The label asks and the whole value answers it; that answer counts instead.",
}
SILENCE_UNNAMED: Final = "Read in this sentence, these words state nothing."

CERTAINTY_SAYS: Final = {
    Certainty.STATED: "stated",
    Certainty.HEDGED: "hedged: not said for certain",
    Certainty.HEARSAY: "hearsay: passed on from others",
}

LEGEND: Final = (
    "A line over the words shows how far one word reaches.",
    "A bracket under them shows what a word does; (1), (2) … are the decisions below.",
    "Sentences without any phrase about eating are left out: they state nothing.",
)
NOTHING_FOUND: Final = "No sentence of the text holds a phrase about eating: it states nothing. That shows nothing."


def chance_words(chance: float, telling: tuple[str, ...]) -> str:
    """How sure the second reader is, and at which words it sees it.

    >>> chance_words(0.97, ("jam", "make"))
    '97 in 100 that the sentence says so, seen most at “jam”, “make”'
    """
    seen = f", seen most at {', '.join(f'“{word}”' for word in telling)}" if telling else ""
    return f"{_percent(chance)} in 100 that the sentence says so{seen}"


def _percent(chance: float) -> str:
    """A chance in words that never claim to be sure."""
    return "under 1" if chance < 0.01 else "over 99" if chance > 0.99 else f"{chance * 100:.0f}"


def silence_words(reason: str) -> str:
    """Why a phrase states nothing, in a sentence.

    >>> silence_words("question")
    'It is a question, and a question states nothing.'
    """
    return SILENCE_SAYS.get(reason, SILENCE_UNNAMED)
