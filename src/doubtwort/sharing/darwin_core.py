"""Names as Simple Darwin Core (TDWG, dwc.tdwg.org/simple): CSV with a column for each term, a row for each name.

A synonym's row points to the accepted name (``acceptedNameUsage``); a common name has a row with the accepted
scientific name, its ``vernacularName`` and ``language``. ``taxonRemarks`` carries what warns of the taxon, and the
standing cautions.
"""

from __future__ import annotations

import csv
from collections.abc import Iterator, Mapping
from typing import Final, TextIO

from doubtwort.errors import CallError
from doubtwort.notebook.notebook import Notebook
from doubtwort.notebook.taxa import KeptTaxon
from doubtwort.sharing.gather import named
from doubtwort.sharing.guard import guarded
from doubtwort.sharing.linked import urn
from doubtwort.sharing.warnings import REMEMBER, in_words, standing
from doubtwort.taxa.names import parse_name

TERMS: Final = tuple(
    """taxonID scientificName acceptedNameUsageID acceptedNameUsage taxonomicStatus taxonRank family genus
    specificEpithet infraspecificEpithet vernacularName language taxonRemarks""".split()
)
# Standard forms of ranks (TDWG, GBIF rank vocabulary) for the marks that stand in names.
_RANKS: Final = {
    "subsp.": "subspecies", "var.": "variety", "f.": "form", "subvar.": "subvariety", "subf.": "subform",
    "convar.": "convariety", "nothosubsp.": "subspecies", "nothovar.": "variety",
}  # fmt: skip


def write_darwin_core(notebook: Notebook, out: TextIO) -> int:
    """Gives how many names were written."""
    writer = csv.writer(out, quoting=csv.QUOTE_ALL, lineterminator="\r\n")
    writer.writerow(TERMS)
    always = " ".join((REMEMBER, *(each.text for each in standing())))
    count = 0
    for taxon, warns in named(notebook):
        for row in names_of(taxon, " ".join(filter(None, (in_words(warns), taxon.remarks, always)))):
            writer.writerow([guarded(row.get(term, "")) for term in TERMS])
            count += 1
    return count


def names_of(taxon: KeptTaxon, remarks: str) -> Iterator[Mapping[str, str]]:
    """A row for the accepted name, each synonym and former name, each common name."""
    accepted = {"acceptedNameUsageID": _id(taxon, taxon.scientific_name), "acceptedNameUsage": taxon.scientific_name}
    shared = accepted | {"family": taxon.family, "taxonRemarks": remarks}
    yield shared | _name(taxon, taxon.scientific_name) | {"taxonomicStatus": "accepted"}
    for synonym in taxon.taxon.synonyms:
        yield shared | _name(taxon, synonym) | {"taxonomicStatus": "synonym"}
    for name, language in taxon.common_names:
        words = {"vernacularName": name, "language": language, "taxonomicStatus": "accepted"}
        yield shared | _name(taxon, taxon.scientific_name) | words


def _id(taxon: KeptTaxon, name: str) -> str:
    return urn("name", taxon.scientific_name, name)


def _name(taxon: KeptTaxon, name: str) -> dict[str, str]:
    row = {"taxonID": _id(taxon, name), "scientificName": name}
    try:
        parsed = parse_name(name)
    except CallError:  # kept under a name that is none of the code's: it goes out as it is
        return row
    row["genus"] = parsed.genus
    if parsed.epithet:
        row["specificEpithet"] = parsed.epithet
    if parsed.infraspecific:
        rank, epithet = parsed.infraspecific[-1]
        row |= {"infraspecificEpithet": epithet, "taxonRank": _RANKS.get(rank, "")}
    else:
        row["taxonRank"] = "species" if parsed.epithet else "genus"
    return row
