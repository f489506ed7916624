"""The sources of a notebook for reference managers: BibTeX, or CSL-JSON (the JSON of the Citation Style Language).

A work that several claims cite stands there once. Each entry's note says what warns of the taxon, and what the work was
worth to which claim, since a list of references alone looks as if every one of them bore its claim out.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass, field, replace
from typing import Any, Final, TextIO

from doubtwort.model import Citation
from doubtwort.notebook.notebook import Notebook
from doubtwort.notebook.write import work_keys
from doubtwort.reporting.links import link_address
from doubtwort.sharing.extras import bibtex_writer
from doubtwort.sharing.gather import told
from doubtwort.sharing.warnings import REMEMBER, in_words, standing
from doubtwort.text import one_line

_YEAR: Final = re.compile(r"\d{4}")


@dataclass(slots=True)
class Work:
    """A cited work: how it is cited, what warns of the taxa that it is cited for ("Fictaria silvana: toxic-stated" →
    in full), and what it was worth to each claim ("c1: supports")."""

    id: str
    citation: Citation
    warns: dict[str, str] = field(default_factory=dict)
    worth: dict[str, None] = field(default_factory=dict)

    @property
    def note(self) -> str:
        warned = [f"DANGER {each}" for each in self.warns]
        return "; ".join([*warned, *self.worth])


def works(notebook: Notebook) -> tuple[Work, ...]:
    """Every work that a claim cites, or that was found on a trail, once."""
    found: list[Work] = []
    by_key: dict[str, Work] = {}
    for each in told(notebook):
        claim = f"claim {each.claim.id} ({each.claim.taxon.scientific_name}, {each.claim.wording.value})"
        cited = [(one, f"cited by {claim}") for one in each.claim.citations]
        for source in each.audit.sources if each.audit else ():
            base = source.citation or Citation(source.id, "")
            urls = dict.fromkeys(filter(None, (source.url, *base.urls)))
            cited.append(
                (
                    replace(base, urls=tuple(urls), title=base.title or source.title),
                    f"{source.outcome.value} for {claim}",
                )
            )
        for citation, worth in cited:
            keys = work_keys(citation, notebook.key) or (f"text:{one_line(citation.text).lower()}",)
            work = next((by_key[key] for key in keys if key in by_key), None)
            if work is None:
                work = Work(f"s{len(found) + 1}", citation)
                found.append(work)
            else:
                work.citation = _fuller(work.citation, citation)
            work.worth[worth] = None
            if each.dangers:
                codes = dict.fromkeys(danger.code for danger in each.dangers)
                name = each.taxon.scientific_name
                work.warns[f"{name}: {', '.join(codes)}"] = f"{name}: {in_words(each.dangers)}"
            by_key |= dict.fromkeys(keys, work)
    return tuple(found)


def _fuller(one: Citation, other: Citation) -> Citation:
    """What the first leaves empty is taken from the second."""
    empty = {
        name: getattr(other, name)
        for name in ("text", "urls", "doi", "isbn", "authors", "year", "title", "pages")
        if not getattr(one, name)
    }
    return replace(one, **empty)


def write_csl_json(notebook: Notebook, out: TextIO) -> int:
    """Gives how many works were written. What CSL has no field for stands in ``custom``."""
    found = works(notebook)
    json.dump([_csl(each) for each in found], out, ensure_ascii=False, indent=1)
    out.write("\n")
    return len(found)


def _always() -> list[str]:
    return [REMEMBER, *(each.text for each in standing())]


def _csl(work: Work) -> dict[str, Any]:
    """An item by the schema of CSL 1.0.2 (csl-data.json)."""
    citation = work.citation
    address = _address(citation)
    kind = "book" if citation.isbn else "webpage" if address and not citation.doi else "document"
    item: dict[str, Any] = {"id": work.id, "type": kind, "title": citation.title or one_line(citation.text, 300)}
    if citation.authors:
        item["author"] = [{"literal": each} for each in citation.authors]
    if _YEAR.fullmatch(citation.year):
        item["issued"] = {"date-parts": [[int(citation.year)]]}
    for name, value in (("page", citation.pages), ("DOI", citation.doi), ("ISBN", citation.isbn), ("URL", address)):
        if value:
            item[name] = value
    custom = {"dangers": [*work.warns.values()], "reference": citation.text, "cautions": _always()}
    return item | {"note": f"{work.note}. {REMEMBER}", "custom": custom}


def _address(citation: Citation) -> str:
    return next(filter(None, (link_address(each) for each in citation.urls)), "")


def write_bibtex(notebook: Notebook, out: TextIO) -> int:
    """Gives how many works were written. What warns of the taxa, and the cautions, stand in comments at the top."""
    found = works(notebook)
    warned = dict.fromkeys(said for each in found for said in each.warns.values())
    out.write(bibtex_writer()([_bibtex(each) for each in found], [*warned, *_always()]))
    return len(found)


def _bibtex(work: Work) -> tuple[str, str, dict[str, str]]:
    """(kind, key, fields); values are plain text."""
    citation = work.citation
    fields = {
        "author": " and ".join(f"{{{each}}}" if " " in each or "," in each else each for each in citation.authors),
        "title": citation.title or one_line(citation.text, 300),
        "year": citation.year,
        "pages": citation.pages,
        "doi": citation.doi,
        "isbn": citation.isbn,
        "url": _address(citation),
        "note": f"{work.note}. {REMEMBER}",
    }
    return ("book" if citation.isbn else "misc"), work.id, {name: value for name, value in fields.items() if value}
