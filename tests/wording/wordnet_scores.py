"""How well the reader reads WordNet's plant glosses.

By hand: ``PYTHONPATH=tests python tests/wording/wordnet_scores.py`` prints scores, misread glosses, floors to paste.
"""

from __future__ import annotations

import hashlib
from dataclasses import dataclass
from functools import cache

from doubtwort.errors import CallError
from doubtwort.model import About, Eater, Statement, Taxon
from doubtwort.reading import read_text
from doubtwort.taxa.names import parse_name
from doubtwort.wording import read_document
from wording.gold import WORDINGS, Count, floored
from wording.wordnet import LABELS, Synset, labelled_synsets


@dataclass(frozen=True)
class GlossScores:
    """``exact``: share of the glosses whose set of wordings is the labelled one, statements that are given to another
    taxon left out, as the labels do. ``exact_of_any``: the same, whoever they are given to: what is lost between the
    two is lost by attribution. ``misread``: a line for each gloss that is not exact."""

    glosses: int
    exact: float
    exact_of_any: float
    by_wording: dict[str, Count]
    misread: tuple[str, ...]

    @property
    def rates(self) -> dict[str, float]:
        found = {"exact": self.exact, "exact_of_any": self.exact_of_any}
        for wording, count in self.by_wording.items():
            if count.right + count.missed:
                found |= {f"precision_{wording}": count.precision, f"recall_{wording}": count.recall}
        return found

    @property
    def counts(self) -> dict[str, int]:
        return {"false_edible": self.by_wording["edible"].wrong, "missed_toxic": self.by_wording["toxic"].missed}


def taxon_of(synset: Synset) -> Taxon:
    """The lemmas as common names. Scientific name: the first lemma of two words that can be one, else the first lemma.

    >>> taxon_of(Synset("13003254", "20", ("death_cap", "Amanita_phalloides"), "...")).scientific_name
    'Amanita phalloides'
    """
    names = tuple(lemma.replace("_", " ") for lemma in synset.lemmas)
    return Taxon(next((name for name in names if _is_binomial(name)), names[0].capitalize()), (), names)


def _is_binomial(name: str) -> bool:
    try:
        return len(name.split()) == 2 and bool(parse_name(name))
    except CallError:
        return False


def said_of(synset: Synset) -> list[Statement]:
    """What is read of people; the page's title is the first lemma."""
    title = synset.lemmas[0].replace("_", " ")
    found = read_document(read_text(synset.gloss, title=title), taxon_of(synset)).statements
    return [each for each in found if each.eater is Eater.PEOPLE]


@cache
def gloss_scores() -> GlossScores:
    by_wording = {wording: Count() for wording in WORDINGS}
    misread = []
    of_any = 0
    pairs = labelled_synsets()
    for synset, label in pairs:
        said = said_of(synset)
        found = {str(each.wording) for each in said if each.about is not About.OTHER}
        of_any += {str(each.wording) for each in said} == label.wordings
        for wording in WORDINGS:
            by_wording[wording].add({wording} & found, {wording} & label.wordings)
        if found != label.wordings:
            shown = f"labelled {sorted(label.wordings)}, read {[(str(each.wording), str(each.about)) for each in said]}"
            misread.append(f"{synset.offset} {synset.lemmas[0]}: {shown}: {synset.gloss}")
    return GlossScores(len(pairs), 1 - len(misread) / len(pairs), of_any / len(pairs), by_wording, tuple(misread))


def labels_sha256() -> str:
    return hashlib.sha256(LABELS.read_bytes()).hexdigest()


def gloss_table(found: GlossScores) -> str:
    lines = [f"{found.glosses} glosses, exact {found.exact:.4f}, whoever they are given to {found.exact_of_any:.4f}"]
    lines += [f"  {'':12} precision  recall  (right, wrong, missed)"]
    for wording, each in found.by_wording.items():
        numbers = f"({each.right}, {each.wrong}, {each.missed})"
        lines.append(f"  {wording:12} {each.precision:9.4f} {each.recall:7.4f}  {numbers}")
    return "\n".join([*lines, *(f"  {line}" for line in found.misread)])


def main() -> None:
    found = gloss_scores()
    print(gloss_table(found))
    print(f'\n[wordnet]\nsha256 = "{labels_sha256()}"\n\n[wordnet.at_least]')
    print("\n".join(floored(found.rates)))
    print("\n[wordnet.at_most]\n" + "\n".join(f"{count} = {value}" for count, value in found.counts.items()))


if __name__ == "__main__":
    main()
