"""What a lesson asks and teaches: its questions with their choices, and the kinds of error with a sentence each."""

from __future__ import annotations

from dataclasses import dataclass
from enum import StrEnum
from typing import Final

from doubtwort.model import About, Outcome, Wording

NOTHING: Final = "nothing"

# Said with every lesson, before its first exercise.
INTRODUCTION: Final = (
    "Each exercise shows a claim and a sentence of a source on its trail. Say what the sentence states, whose "
    "statement it is, and how far it bears the claim out: this one sentence, by itself, whatever else you know.",
    "Three things go wrong most often: less is said than was cited, it is said of something else, or a condition is "
    "lost on the way.",
)
NEVER_ENOUGH: Final = (
    "Whoever answers everything right can read sources. Nobody learns here whether a plant may be eaten."
)
NO_WARNING: Final = (
    "Nothing that was read for these claims warns of their plants. That shows nothing: what was not read may warn, and "
    "so may what was never cited."
)


class Kind(StrEnum):
    """The one thing that an exercise teaches, in the order in which a lesson takes them up."""

    LESS = "less"
    FAITHFUL = "faithful"
    OTHER_TAXON = "other-taxon"
    CONDITION = "condition"
    HEARSAY = "hearsay"
    NEGATION = "negation"
    GENUS = "genus"
    OPPOSITE = "opposite"
    BORROWED = "borrowed"
    ANIMALS = "animals"


KIND_TITLE: Final = {
    Kind.LESS: "less than is claimed",
    Kind.FAITHFUL: "a source that says it",
    Kind.OTHER_TAXON: "another taxon's statement",
    Kind.CONDITION: "a dropped condition",
    Kind.HEARSAY: "hearsay or a guess",
    Kind.NEGATION: "a negation",
    Kind.GENUS: "a statement on the genus",
    Kind.OPPOSITE: "the opposite of what is claimed",
    Kind.BORROWED: "a borrowed statement",
    Kind.ANIMALS: "animals eat it",
}

KIND_TEACHES: Final = {
    Kind.LESS: "Harmless, tasteless or not worth eating is less than food: none of them says that people eat it.",
    Kind.FAITHFUL: "Some sources do say what they are cited for. Whether they are right is another question.",
    Kind.OTHER_TAXON: "A statement belongs to the taxon that it names. A relative or a neighbour lends nothing.",
    Kind.CONDITION: "Part, preparation, stage and amount belong to the statement. Without them it says something else.",
    Kind.HEARSAY: "“Is said to” and “may be” pass a statement on without vouching for it.",
    Kind.NEGATION: "Find what the negation reaches. “Not known to be poisonous” is no word on food, "
    "and “but the seeds are not” denies the seeds.",
    Kind.GENUS: "What is said of a genus or family is not said of each of its species.",
    Kind.OPPOSITE: "A source may be cited for the opposite of what it says. Read it before you count it.",
    Kind.BORROWED: "A statement is only as strong as the sources that it leans on in its turn.",
    Kind.ANIMALS: "That animals eat it, or fall ill of it, says nothing of people eating it.",
}


@dataclass(frozen=True, slots=True)
class Choice:
    """One answer that can be ticked: its word, and what the word means."""

    word: str
    says: str


@dataclass(frozen=True, slots=True)
class Question:
    """One question of every exercise. ``several``: more than one choice may be right, and all of them are wanted."""

    key: str
    asks: str
    choices: tuple[Choice, ...]
    several: bool = False


QUESTIONS: Final = (
    Question(
        "wording",
        "What does the sentence say of people eating it? Tick all that it says.",
        (
            Choice(Wording.EDIBLE.value, "people eat it, or can"),
            Choice(Wording.NON_TOXIC.value, "it does no harm; no word on food"),
            Choice(Wording.UNPALATABLE.value, "bad to eat, or not worth it"),
            Choice(Wording.INEDIBLE.value, "not food; no reason given"),
            Choice(Wording.TOXIC.value, "poisonous or harmful when eaten"),
            Choice(NOTHING, "no word on people eating it"),
        ),
        several=True,
    ),
    Question(
        "whose",
        "Whose statement is it? Tick every taxon that it speaks of.",
        (
            Choice(About.TAXON.value, "the claim's taxon"),
            Choice(About.GENUS.value, "its genus as a whole"),
            Choice(About.FAMILY.value, "its family as a whole"),
            Choice(About.OTHER.value, "another taxon"),
            Choice(About.UNCLEAR.value, "nobody can tell"),
        ),
        several=True,
    ),
    Question(
        "support",
        "How far does it bear the claim out?",
        (
            Choice(Outcome.SUPPORTS.value, "it says the same, of the same"),
            Choice(Outcome.NARROWER.value, "only under a condition, unsure, or of the genus"),
            Choice(Outcome.WEAKER.value, "it says less than the claim"),
            Choice(Outcome.ELSEWHERE.value, "of another part or preparation"),
            Choice(Outcome.MIXED.value, "it says so and the opposite"),
            Choice(Outcome.CONTRADICTS.value, "it says the opposite"),
            Choice(NOTHING, "it says nothing of what is claimed"),
        ),
    ),
)
KEYS: Final = tuple(each.key for each in QUESTIONS)
