"""Taxa as a person keeps them: accepted name with its history, family, synonyms, common names by language."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass

from sqlite_utils import Database

from doubtwort.errors import CallError, ManyTaxa, NotInNotebook
from doubtwort.model import Taxon
from doubtwort.notebook.history import Change, changing
from doubtwort.notebook.labels import a_date, some_text, today
from doubtwort.notebook.rows import given, stored
from doubtwort.notebook.store import Store
from doubtwort.notebook.write import put_name, put_taxon
from doubtwort.text import one_line

# Tables whose rows belong to a taxon, moved when two taxa turn out to be one.
_BELONGING = ("claims", "tastings", "places")


@dataclass(frozen=True, slots=True)
class FormerName:
    """An accepted name of before: until which day, and why it was changed."""

    name: str
    until: str
    reason: str


@dataclass(frozen=True, slots=True)
class KeptTaxon:
    """``common_names`` are (name, language) pairs; the language is a tag such as "en" or ""."""

    id: int
    scientific_name: str
    family: str
    synonyms: tuple[str, ...]
    common_names: tuple[tuple[str, str], ...]
    former_names: tuple[FormerName, ...]
    remarks: str
    claims: int

    @property
    def taxon(self) -> Taxon:
        """For the reading of sources: former names are synonyms."""
        synonyms = dict.fromkeys([*self.synonyms, *(each.name for each in self.former_names)])
        synonyms.pop(self.scientific_name, None)
        common = dict.fromkeys(name for name, _ in self.common_names)
        return Taxon(self.scientific_name, tuple(synonyms), tuple(common), self.family)


def find_taxon(store: Store, name: str) -> KeptTaxon:
    """The taxon of any of its names. ``ManyTaxa`` when several bear it, ``NotInNotebook`` when none does."""
    with store.reading() as db:
        return _kept(db, taxon_id_of(db, name))


def taxon_id_of(db: Database, name: str) -> int:
    """An accepted name counts before all; former names, synonyms and common names may be shared."""
    said = stored(" ".join(name.split()))
    spellings = tuple(dict.fromkeys((said, said.lower(), said.capitalize(), said.title())))
    marks = ", ".join("?" for _ in spellings)
    found = db.execute(f"SELECT id FROM taxa WHERE scientific_name COLLATE NOCASE IN ({marks})", spellings).fetchall()
    if len(found) != 1:
        asked = f"""
            SELECT taxon_id FROM former_names WHERE name COLLATE NOCASE IN ({marks})
            UNION SELECT taxon_id FROM names WHERE name COLLATE NOCASE IN ({marks})
        """
        found = found or db.execute(asked, spellings * 2).fetchall()
    if not found:
        raise NotInNotebook(
            f"The notebook knows no taxon {one_line(name, 80)}. Add it: doubtwort taxon add NAME, or audit a claim."
        )
    if len(found) > 1:
        raise ManyTaxa(one_line(name, 80), tuple(sorted(_name(db, int(row[0])) for row in found)))
    return int(found[0][0])


def taxa(store: Store, *, limit: int | None = None) -> tuple[KeptTaxon, ...]:
    """All taxa by accepted name."""
    with store.reading() as db:
        asked = "SELECT id FROM taxa ORDER BY scientific_name LIMIT ?"
        return tuple(_kept(db, int(row[0])) for row in db.execute(asked, (-1 if limit is None else limit,)).fetchall())


def add_taxon(store: Store, taxon: Taxon, *, language: str = "", remarks: str = "") -> KeptTaxon:
    """Keeps a taxon with its names; one that is there already gets what is new. ``language`` is that of the common
    names."""
    with changing(store, f"taxon {taxon.scientific_name} written down") as change:
        with change.noting_new("taxa"):
            taxon_id = put_taxon(change.db, taxon)
        values = {"family": stored(taxon.family), "remarks": some_text(remarks, "remark")}
        change.update("taxa", taxon_id, {column: value for column, value in values.items() if value})
        _add_names(change, taxon_id, "synonym", taxon.synonyms, "")
        _add_names(change, taxon_id, "common", taxon.common_names, _language(language))
        return _kept(change.db, taxon_id)


def _add_names(change: Change, taxon_id: int, kind: str, names: Iterable[str], language: str) -> None:
    with change.noting_new("names"):
        for name in names:
            put_name(change.db, taxon_id, kind, some_text(name, "name", 200), language)


def _language(typed: str) -> str:
    """A language tag (RFC 5646) by its form, "" for none: "de", "pt-BR"."""
    said = typed.strip()
    if said and not all(part.isascii() and part.isalnum() and len(part) <= 8 for part in said.split("-")):
        raise CallError(f"{one_line(typed, 40)} is no language tag. Write for example: en, de, pt-BR.")
    return said


def rename_taxon(store: Store, name: str, accepted: str, *, reason: str = "", on: str = "") -> KeptTaxon:
    """Another accepted name; the one of before goes into the taxon's history, and its claims stay with it.

    Where the new name is an accepted one already, the two become one taxon; that needs ``join_taxa``.
    """
    until = a_date(on) or today()
    with changing(store, f"taxon {name} renamed to {accepted}") as change:
        taxon_id = taxon_id_of(change.db, name)
        old = _name(change.db, taxon_id)
        if accepted == old:
            raise CallError(f"{one_line(accepted, 80)} is its accepted name already.")
        if change.db.execute("SELECT 1 FROM taxa WHERE scientific_name = ?", (stored(accepted),)).fetchone():
            raise CallError(
                f"{one_line(accepted, 80)} is a taxon of its own in this notebook. If both are one: "
                "doubtwort taxon join OLD NEW."
            )
        _into_history(change, taxon_id, old, until, reason)
        change.update("taxa", taxon_id, {"scientific_name": stored(accepted)})
        return _kept(change.db, taxon_id)


def join_taxa(store: Store, name: str, into: str, *, reason: str = "", on: str = "") -> KeptTaxon:
    """Two taxa become one under the accepted name of the second; all that belonged to the first goes over. Entries of
    both for one part and preparation have to be sorted out by the user first."""
    until = a_date(on) or today()
    with changing(store, f"taxon {name} joined to {into}") as change:
        db = change.db
        old, new = taxon_id_of(db, name), taxon_id_of(db, into)
        if old == new:
            raise CallError("Both names are of one taxon already.")
        asked = """
            SELECT 1 FROM entries AS one JOIN entries AS other USING (part, preparation)
            WHERE one.taxon_id = ? AND other.taxon_id = ?
        """
        if db.execute(asked, (old, new)).fetchone():
            raise CallError("Both taxa have an entry for the same part and preparation. Delete one of the two first.")
        for table in (*_BELONGING, "entries", "former_names"):
            for (row_id,) in db.execute(f"SELECT id FROM {table} WHERE taxon_id = ?", (old,)).fetchall():
                change.update(table, row_id, {"taxon_id": new})
        for row in list(db.query("SELECT * FROM names WHERE taxon_id = ?", (old,))):
            same = "taxon_id = ? AND kind = ? AND name = ? AND language = ?"
            values = (new, row["kind"], row["name"], row["language"])
            twin = db.execute(f"SELECT id FROM names WHERE {same}", values).fetchone()
            if twin is None:
                change.update("names", row["id"], {"taxon_id": new})
                continue
            for (used,) in db.execute("SELECT id FROM claim_names WHERE name_id = ?", (row["id"],)).fetchall():
                change.update("claim_names", used, {"name_id": twin[0]})
            change.delete("names", row["id"])
        _into_history(change, new, _name(db, old), until, reason)
        change.delete("taxa", old)
        _settle(change)
        return _kept(db, new)


def _settle(change: Change) -> None:
    from doubtwort.notebook.ruling import settle

    settle(change)


def _into_history(change: Change, taxon_id: int, name: str, until: str, reason: str) -> None:
    row = {"taxon_id": taxon_id, "name": stored(name), "until": until, "reason": some_text(reason, "reason")}
    change.insert("former_names", row)


def remove_name(store: Store, taxon: str, name: str) -> KeptTaxon:
    """Takes a synonym or common name away from a taxon, unless a claim was audited with it."""
    with changing(store, f"name {name} taken from {taxon}") as change:
        taxon_id = taxon_id_of(change.db, taxon)
        where = "taxon_id = ? AND name = ? AND id NOT IN (SELECT name_id FROM claim_names)"
        found = change.db.execute(f"SELECT id FROM names WHERE {where}", (taxon_id, stored(name))).fetchall()
        if not found:
            raise CallError(
                f"{one_line(name, 80)} is no name of that taxon that can go: unknown, or a claim was taken in with it."
            )
        for (row_id,) in found:
            change.delete("names", row_id)
        return _kept(change.db, taxon_id)


def _name(db: Database, taxon_id: int) -> str:
    return given(db.execute("SELECT scientific_name FROM taxa WHERE id = ?", (taxon_id,)).fetchone()[0])


def _kept(db: Database, taxon_id: int) -> KeptTaxon:
    row = next(iter(db.query("SELECT * FROM taxa WHERE id = ?", (taxon_id,))))
    names = list(db.query("SELECT * FROM names WHERE taxon_id = ? ORDER BY id", (taxon_id,)))
    former = db.query("SELECT * FROM former_names WHERE taxon_id = ? ORDER BY until, id", (taxon_id,))
    told = {each["name"] for each in names if each["language"]}
    return KeptTaxon(
        taxon_id,
        given(row["scientific_name"]),
        given(row["family"]),
        tuple(given(each["name"]) for each in names if each["kind"] == "synonym"),
        tuple(
            (given(each["name"]), given(each["language"]))
            for each in names
            # A name that an audit brought along without its language is told once its language is known.
            if each["kind"] == "common" and (each["language"] or each["name"] not in told)
        ),
        tuple(FormerName(given(each["name"]), each["until"], given(each["reason"])) for each in former),
        given(row["remarks"]),
        int(db.execute("SELECT count(*) FROM claim_ratings WHERE taxon_id = ?", (taxon_id,)).fetchone()[0]),
    )
