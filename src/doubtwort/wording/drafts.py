"""A statement in the making."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Final

from doubtwort.model import About, Certainty, Eater, Wording
from doubtwort.wording.clauses import Clauses
from doubtwort.wording.cues import Cue, Tokens
from doubtwort.wording.second.opinion import Opinion

PRAISE: Final = (Wording.EDIBLE, Wording.NON_TOXIC)


@dataclass(slots=True)
class Sentence:
    """One sentence with everything found in it: offsets are those of the folded passage."""

    text: str
    lower: str
    start: int
    end: int
    tokens: Tokens
    cues: list[Cue]
    attributes: list[Cue]
    structure: Clauses
    opinion: Opinion | None = None

    def clause(self, cue: Cue) -> int:
        return self.structure.number[cue.first]


@dataclass(slots=True)
class Draft:
    """One assertion with what modifies it. ``wording`` None: nothing is stated after all."""

    cue: Cue
    clause: int
    wording: Wording | None
    negated: bool = False
    certainty: Certainty = Certainty.STATED
    eaters: list[Eater] = field(default_factory=list)
    parts: list[str] = field(default_factory=list)
    except_parts: list[str] = field(default_factory=list)
    preparations: list[str] = field(default_factory=list)
    stages: list[str] = field(default_factory=list)
    amount: str = ""
    rules: list[str] = field(default_factory=list)
    modifiers: list[Cue] = field(default_factory=list)
    why_silent: str = ""
    subjects: list[tuple[About, str]] = field(default_factory=list)
    why_subject: str = ""
    model: Draft | None = None

    def silence(self, reason: str) -> None:
        """States nothing after all, for a named reason."""
        self.wording = None
        self.why_silent = self.why_silent or reason
