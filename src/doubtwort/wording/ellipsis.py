"""What a clause leaves unsaid: "… but the seeds are not", "… but not the seeds", "and so is the kernel"."""

from __future__ import annotations

from typing import Final

from doubtwort.wording.clauses import FINITE
from doubtwort.wording.cues import Cue
from doubtwort.wording.drafts import Draft, Sentence
from doubtwort.wording.grammar import word_class
from doubtwort.wording.rules import Role

_NOT: Final = word_class("not")
_ARE: Final = word_class("are")
_NOT_BEFORE: Final = frozenset({"never", "nowhere", "neither", "nor"})


def with_ellipses(sentence: Sentence, drafts: list[Draft]) -> list[Draft]:
    """Adds what "… but the seeds are not" and "… but not the seeds" leave unsaid."""
    if not drafts:
        return drafts
    words, structure = sentence.tokens.words, sentence.structure
    taken = {draft.clause for draft in drafts}
    added: list[Draft] = []
    for clause in range(1, len(structure.parent)):
        if clause in taken:
            continue
        span = [at for at, number in enumerate(structure.number) if number == clause]
        model = next((draft for draft in reversed(drafts) if draft.cue.last <= (span[0] if span else 0)), None)
        if model is None and structure.opener[clause] == "(":
            model = next((draft for draft in drafts if draft.clause == structure.parent[clause]), None)
        if not span or model is None or model.why_silent == "question":
            continue
        own = [at for at in span if words[at] not in (".", ";", ")", "!", "(")]
        if not own:
            continue
        named = any(cue.rule.role in (Role.PART, Role.STAGE) and cue.first in span for cue in sentence.attributes)
        if not named and (model.cue.rule.kind or not {"is", "are"} & {words[at] for at in own}):
            continue
        denied = denies(words, own)
        if denied is None or (model.why_silent == "cancelled" and not denied):
            continue
        rule = model.cue.rule
        cue = Cue(rule, sentence.tokens.starts[own[-1]], sentence.tokens.end(own[-1]), own[-1], own[-1] + 1)
        added.append(
            Draft(
                cue,
                clause,
                rule.negated if denied else rule.says,
                denied,
                model.certainty,
                rules=[rule.id, "ellipsis"],
                model=model,
            )
        )
    return sorted([*drafts, *added], key=lambda draft: draft.cue.first)


def denies(words: list[str], own: list[int]) -> bool | None:
    """True for "but not the seeds" or "the seeds are not", False for "the seeds are", None when it is neither."""
    texts = [words[at] for at in own]
    if texts[0] in ("but", "and", "though", "although", "while", "whereas", ";", "-", ",", "("):
        texts = texts[1:]
    if texts[:1] == [","]:
        texts = texts[1:]
    if not texts:
        return None
    if texts[0] in ("so", "as") and len(texts) > 2 and texts[1] in _ARE:
        return False
    if texts[0] in _NOT and len(texts) < 9 and not any(word in FINITE for word in texts):
        return True
    verb = next((at for at, word in enumerate(texts) if word in _ARE), -1)
    if verb < 1 or verb > 8:
        return None
    rest = texts[verb + 1 :]
    denied = texts[verb].endswith("n't") or any(word in _NOT_BEFORE for word in texts[:verb])
    if rest and rest[0] == "not":
        denied, rest = True, rest[1:]
    return denied if not rest or rest[0] == "," else None
