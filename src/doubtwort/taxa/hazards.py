"""Published lists of dangerous taxa, look-alikes, names shared by several taxa, and the standing cautions.

The tables lie in ``claims_db/hazards`` with their sources; see the README there. A taxon that is missing from them is
not thereby harmless.
"""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from functools import cache
from pathlib import Path
from typing import Final

from doubtwort.errors import CallError, TableError
from doubtwort.model import Taxon
from doubtwort.shipped import shipped
from doubtwort.taxa.lexicon import KnownNames, key, plural
from doubtwort.taxa.names import parse_name

UNTRACED: Final = "not traced to a source yet"

_COLUMNS: Final = {
    "sources": ("key", "citation", "address", "seen"),
    "poisonous": (
        "taxon",
        "rank",
        "synonyms",
        "family",
        "common_names",
        "parts",
        "poison",
        "note",
        "sources",
        "traced",
    ),
    "lookalikes": ("taxon", "dangerous", "stage", "how", "sources", "traced"),
    "ambiguous_names": ("name", "taxa", "dangerous", "note", "sources", "traced"),
    "cautions": ("code", "text", "sources"),
}
_SEEN: Final = frozenset({"original", "abstract", "excerpt", "transcription", "copy", "quoted", "no"})
_GOOD: Final = frozenset({"original", "abstract", "excerpt", "transcription"})
_MAY_BE_EMPTY: Final = frozenset(
    {"synonyms", "family", "common_names", "parts", "poison", "note", "stage", "how", "address", "sources", "dangerous"}
)


@dataclass(frozen=True, slots=True)
class HazardSource:
    """A published work. ``seen``: how it was read (original, abstract, excerpt, transcription, copy, quoted, no)."""

    key: str
    citation: str
    address: str
    seen: str


@dataclass(frozen=True, slots=True)
class HazardRow:
    """A dangerous taxon. ``match`` tells how the asked taxon met the row: species, synonym, genus, or member (the
    row is a species of the genus that was asked for)."""

    taxon: str
    rank: str
    synonyms: tuple[str, ...]
    family: str
    common_names: tuple[str, ...]
    parts: str
    poison: str
    note: str
    sources: tuple[HazardSource, ...]
    traced: bool
    match: str = ""

    @property
    def citation(self) -> str:
        """The row's sources in one line; an untraced row says so.

        >>> HazardRow("Fictaria", "genus", (), "", (), "", "", "", (), False).citation
        'not traced to a source yet'
        """
        return _cited(self.sources, self.traced)


@dataclass(frozen=True, slots=True)
class LookAlike:
    """``dangerous`` has been confused with ``taxon``. ``match`` is species, synonym or genus; ``asked`` is "taxon" or
    "dangerous": which of the two was asked for."""

    taxon: str
    dangerous: str
    stage: str
    how: str
    sources: tuple[HazardSource, ...]
    traced: bool
    match: str = ""
    asked: str = ""

    @property
    def citation(self) -> str:
        return _cited(self.sources, self.traced)


@dataclass(frozen=True, slots=True)
class AmbiguousName:
    """One common name and the taxa that bear it; ``dangerous`` are those of them that are listed as such."""

    name: str
    taxa: tuple[str, ...]
    dangerous: tuple[str, ...]
    note: str
    sources: tuple[HazardSource, ...]
    traced: bool

    @property
    def citation(self) -> str:
        return _cited(self.sources, self.traced)


@dataclass(frozen=True, slots=True)
class StandingCaution:
    """A caution that is printed with every result."""

    code: str
    text: str
    sources: tuple[HazardSource, ...]

    @property
    def citation(self) -> str:
        return "; ".join(each.citation for each in self.sources)


@dataclass(frozen=True, slots=True)
class Hazards:
    """All hazard tables."""

    rows: tuple[HazardRow, ...]
    pairs: tuple[LookAlike, ...]
    names: tuple[AmbiguousName, ...]
    standing: tuple[StandingCaution, ...]
    sources: Mapping[str, HazardSource]

    def poisonous(self, taxon: Taxon) -> tuple[HazardRow, ...]:
        """Rows on the taxon, nearest first: by its name, by a synonym on either side, by its genus as a whole."""
        asked = _Asked(taxon)
        found = [replace(row, match=match) for row in self.rows if (match := asked.row(row))]
        order = ("species", "synonym", "genus", "member")
        return tuple(sorted(found, key=lambda row: order.index(row.match)))

    def lookalikes(self, taxon: Taxon) -> tuple[LookAlike, ...]:
        """Pairs that hold the taxon on either side."""
        asked = _Asked(taxon)
        found = []
        for pair in self.pairs:
            for side in ("taxon", "dangerous"):
                match = asked.name(pair.taxon if side == "taxon" else pair.dangerous)
                if match:
                    found.append(replace(pair, match=match, asked=side))
                    break
        order = ("species", "synonym", "genus", "member")
        return tuple(sorted(found, key=lambda pair: order.index(pair.match)))

    def ambiguous(self, names: Iterable[str]) -> tuple[AmbiguousName, ...]:
        """Rows on any of the common names, singular or plural, in any spelling of hyphens and spaces."""
        wanted = {key(name) for name in names}
        return tuple(row for row in self.names if wanted & {key(row.name), key(plural(row.name.lower()))})


class _Asked:
    """The names of the asked taxon, for comparison with those of the tables."""

    def __init__(self, taxon: Taxon) -> None:
        accepted = parse_name(taxon.scientific_name)
        self.genus_only = not accepted.epithet
        self.first = accepted.binomial or accepted.genus
        others = [parse_name(each) for each in taxon.synonyms]
        self.synonyms = {each.binomial or each.genus for each in others}
        self.genera = {accepted.genus}

    def name(self, printed: str) -> str:
        """How a name of the table ("Allium", "Allium ursinum") meets the asked taxon; "" when it does not."""
        if printed == self.first:
            return "species"
        if printed in self.synonyms:
            return "synonym"
        if " " not in printed and printed in self.genera:
            return "genus"
        if self.genus_only and printed.split()[0] == self.first:
            return "member"
        return ""

    def row(self, row: HazardRow) -> str:
        first = self.name(row.taxon)
        if first:
            return first
        others = {self.name(each) for each in row.synonyms}
        if others & {"species", "synonym"}:
            return "synonym"
        return "genus" if "genus" in others and row.rank == "genus" else ""


def _cited(sources: tuple[HazardSource, ...], traced: bool) -> str:
    cited = "; ".join(each.citation for each in sources)
    if traced:
        return cited
    return f"{UNTRACED} (to be checked in: {cited})" if cited else UNTRACED


@cache
def load_hazards() -> Hazards:
    """The shipped tables, read and checked once."""
    return read_hazards(shipped("claims_db") / "hazards")


def read_hazards(folder: Path) -> Hazards:
    """The tables of a folder. A missing or empty table, an unknown column or source key is a ``TableError``."""
    sources = {row["key"]: HazardSource(**row) for row in _table(folder, "sources")}
    for source in sources.values():
        if source.seen not in _SEEN:
            raise TableError(f"sources.csv: {source.key} has an unknown way of being seen: {source.seen!r}.")
    rows = []
    for row in _table(folder, "poisonous"):
        cited, traced = _sources(row, sources, "poisonous", row["taxon"])
        if row["rank"] not in {"species", "genus"}:
            raise TableError(f"poisonous.csv: {row['taxon']} has an unknown rank: {row['rank']!r}.")
        _checked(row["taxon"], "poisonous", genus=row["rank"] == "genus")
        synonyms = _list(row["synonyms"])
        for each in synonyms:
            _checked(each, "poisonous")
        rows.append(
            HazardRow(
                row["taxon"],
                row["rank"],
                synonyms,
                row["family"],
                _list(row["common_names"]),
                row["parts"],
                row["poison"],
                row["note"],
                cited,
                traced,
            )
        )
    pairs = []
    for row in _table(folder, "lookalikes"):
        cited, traced = _sources(row, sources, "lookalikes", row["taxon"])
        for side in ("taxon", "dangerous"):
            if not row[side]:
                raise TableError(f"lookalikes.csv: a row has no {side}.")
            _checked(row[side], "lookalikes")
        pairs.append(LookAlike(row["taxon"], row["dangerous"], row["stage"], row["how"], cited, traced))
    names = []
    for row in _table(folder, "ambiguous_names"):
        cited, traced = _sources(row, sources, "ambiguous_names", row["name"])
        taxa, dangerous = _list(row["taxa"]), _list(row["dangerous"])
        for each in (*taxa, *dangerous):
            _checked(each, "ambiguous_names")
        if set(dangerous) - set(taxa):
            raise TableError(f"ambiguous_names.csv: {row['name']} has a dangerous taxon that is not among its taxa.")
        names.append(AmbiguousName(row["name"], taxa, dangerous, row["note"], cited, traced))
    standing = tuple(
        StandingCaution(row["code"], row["text"], _cited_keys(row["sources"], sources, "cautions", row["code"]))
        for row in _table(folder, "cautions")
    )
    return Hazards(tuple(rows), tuple(pairs), tuple(names), standing, sources)


def _table(folder: Path, name: str) -> list[dict[str, str]]:
    """Rows of one table with exactly the columns that it must have."""
    try:
        text = (folder / f"{name}.csv").read_text("utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise TableError(f"The hazard table {name}.csv cannot be read: {error}.") from None
    reader = csv.DictReader(io.StringIO(text), strict=True)
    columns = _COLUMNS[name]
    if reader.fieldnames is None or tuple(reader.fieldnames) != columns:
        unknown = sorted(set(reader.fieldnames or ()) - set(columns))
        said = f"unknown column {unknown[0]!r}" if unknown else f"columns other than {', '.join(columns)}"
        raise TableError(f"The hazard table {name}.csv has {said}.")
    rows = []
    try:
        for row in reader:
            if None in row or any(value is None for value in row.values()):
                raise TableError(f"{name}.csv, line {reader.line_num}: too many or too few cells.")
            empty = [each for each in columns if not row[each].strip() and each not in _MAY_BE_EMPTY]
            if empty:
                raise TableError(f"{name}.csv, line {reader.line_num}: {empty[0]} is empty.")
            rows.append({column: value.strip() for column, value in row.items()})
    except csv.Error as error:
        raise TableError(f"{name}.csv, line {reader.line_num}: {error}.") from None
    if not rows:
        raise TableError(f"The hazard table {name}.csv is empty.")
    return rows


def _list(cell: str) -> tuple[str, ...]:
    return tuple(each.strip() for each in cell.split(";") if each.strip())


def _cited_keys(cell: str, sources: Mapping[str, HazardSource], table: str, row: str) -> tuple[HazardSource, ...]:
    for each in _list(cell):
        if each not in sources:
            raise TableError(f"{table}.csv: {row} cites an unknown source: {each}.")
    return tuple(sources[each] for each in _list(cell))


def _sources(
    row: Mapping[str, str], sources: Mapping[str, HazardSource], table: str, name: str
) -> tuple[tuple[HazardSource, ...], bool]:
    cited = _cited_keys(row["sources"], sources, table, name)
    if row["traced"] not in {"yes", "no"}:
        raise TableError(f"{table}.csv: {name} must be traced yes or no, not {row['traced']!r}.")
    traced = row["traced"] == "yes"
    if traced and not any(each.seen in _GOOD for each in cited):
        raise TableError(f"{table}.csv: {name} is called traced, but none of its sources was read.")
    return cited, traced


def _checked(name: str, table: str, *, genus: bool = False) -> None:
    try:
        parsed = parse_name(name)
    except CallError as error:
        raise TableError(f"{table}.csv: {error}") from None
    if parsed.abbreviated or parsed.genus_wide or (genus and parsed.epithet):
        raise TableError(f"{table}.csv: {name} is not a name in full of its rank.")


@cache
def known_names() -> KnownNames:
    """Every name in the tables, as names of taxa only."""
    hazards = load_hazards()
    latin = {name for row in hazards.rows for name in (row.taxon, *row.synonyms)}
    latin |= {name for pair in hazards.pairs for name in (pair.taxon, pair.dangerous)}
    latin |= {name for row in hazards.names for name in row.taxa}
    parsed = [parse_name(name) for name in latin]
    common = {name.lower() for row in hazards.rows for name in row.common_names}
    return KnownNames(
        genera=frozenset(each.genus for each in parsed),
        binomials=frozenset(each.binomial.lower() for each in parsed if each.binomial),
        common=frozenset(name for name in common if len(name) >= 4),
    )
