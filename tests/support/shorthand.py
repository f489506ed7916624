"""A shorthand for claims and statements, so that tables of cases stay tables.

``edible leaf,root /raw,boiled @young #small -seed ~hedged &genus !animals``: wording, parts, preparations, stages,
amount, excepted parts, certainty, about, eater. ``;`` parts statements, ``+`` puts two into one sentence.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from doubtwort.model import About, Certainty, Claim, Eater, Reading, Statement, Taxon, Wording

TAXON = Taxon("Fictaria silvana", common_names=("fictwort",), family="Fictariaceae")


def statement(text: str, quote: str = "") -> Statement:
    made: dict[str, Any] = {"about": About.TAXON}
    wording, *rest = text.split()
    for word in rest:
        sign, value = (word[0], word[1:]) if word[0] in "/@#-~&!" else ("", word)
        values = tuple(each.replace("_", " ") for each in value.split(","))
        field, kept = {
            "": ("parts", values),
            "/": ("preparations", values),
            "@": ("stages", values),
            "#": ("amount", value),
            "-": ("except_parts", values),
            "~": ("certainty", value),
            "&": ("about", value),
            "!": ("eater", value),
        }[sign]
        if field in ("certainty", "about", "eater"):
            kept = {"certainty": Certainty, "about": About, "eater": Eater}[field](value)
        made[field] = kept
    return Statement(quote or f"Fictaria silvana: {text}.", Wording(wording), **made)


def reading(text: str, named: bool = True, **more: Any) -> Reading:
    """``absent`` alone: the taxon is not named."""
    if text.strip() == "absent":
        return Reading((), named=False)
    said: list[Statement] = []
    for number, sentence in enumerate(each.strip() for each in text.split(";") if each.strip()):
        quote = f"Sentence {number} about Fictaria silvana: {sentence}."
        said += [statement(each.strip(), quote) for each in sentence.split("+")]
    return Reading(tuple(said), named=named, **more)


def claim(text: str, **more: Any) -> Claim:
    said = statement(text)
    made = Claim(
        id="c1",
        taxon=TAXON,
        wording=said.wording,
        quote=said.quote,
        url="http://claims.example/fictaria",
        parts=said.parts,
        preparations=said.preparations,
        stages=said.stages,
    )
    return replace(made, **more)
