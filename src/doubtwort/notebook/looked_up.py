"""Names that a names service gave, beside those that a person wrote down: what is new, what differs, and keeping it.

What is there already is never changed. The origin of what is added, an address and a day, stands in its event of the
history, and is read from there.
"""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Final

from sqlite_utils import Database

from doubtwort.errors import CallError
from doubtwort.notebook.history import Change, changing
from doubtwort.notebook.labels import some_text
from doubtwort.notebook.rows import given, stored
from doubtwort.notebook.store import Store
from doubtwort.notebook.write import put_name
from doubtwort.text import one_line

MOST_NAMES: Final = 200  # of a kind taken at once
_ACCORDING = re.compile(r" according to (\S+), (\d{4}-\d{2}-\d{2})$")


@dataclass(frozen=True, slots=True)
class FoundNames:
    """Names of one taxon as a service gives them, scientific ones without author. ``asked`` is the name that was looked
    up, "" when it was a common one; ``source`` an address, ``retrieved`` a date."""

    asked: str
    accepted: str
    family: str
    synonyms: tuple[str, ...]
    common_names: tuple[tuple[str, str], ...]
    source: str
    retrieved: str


@dataclass(frozen=True, slots=True)
class Conflict:
    """Where notebook and service differ. ``kept`` says what is done about it."""

    what: str
    here: str
    there: str
    kept: str


@dataclass(frozen=True, slots=True)
class Addition:
    """What a look-up adds to the notebook. ``taxon`` is the accepted name under which the names go, ``former`` the one
    that it had before, "" where that stays; ``known`` says whether the notebook had the taxon."""

    taxon: str
    known: bool
    former: str = ""
    family: str = ""
    synonyms: tuple[str, ...] = ()
    common_names: tuple[tuple[str, str], ...] = ()
    conflicts: tuple[Conflict, ...] = ()

    @property
    def is_empty(self) -> bool:
        return self.known and not (self.former or self.family or self.synonyms or self.common_names)


@dataclass(frozen=True, slots=True)
class NameOrigin:
    """Where a name of a taxon came from: a names service's address and a date."""

    name: str
    source: str
    retrieved: str


@dataclass(slots=True)
class _Work:
    db: Database
    found: FoundNames
    taxon_id: int | None = None
    accepted: str = ""
    conflicts: list[Conflict] = field(default_factory=list)

    def tell(self, what: str, here: str, there: str, kept: str) -> None:
        self.conflicts.append(Conflict(what, here, there, kept))


def compare_names(
    store: Store, found: FoundNames, *, rename: bool, same_family: Callable[[str, str], bool] = str.__eq__
) -> Addition:
    """What ``add_names`` would do. ``same_family`` tells whether two family names mean one family."""
    with store.reading() as db:
        return _compared(db, found, rename, same_family)[0]


def add_names(
    store: Store, found: FoundNames, *, rename: bool, same_family: Callable[[str, str], bool] = str.__eq__
) -> Addition:
    """Adds what is new, as one event of the history. ``rename`` takes the service's accepted name over; the one of
    before goes into the taxon's history."""
    planned = compare_names(store, found, rename=rename, same_family=same_family)
    if planned.is_empty:
        return planned
    with changing(store, f"names of {planned.taxon} according to {found.source}, {found.retrieved}") as change:
        added, taxon_id = _compared(change.db, found, rename, same_family)
        _write(change, found, added, taxon_id)
    return added


def origins(store: Store) -> dict[int, tuple[NameOrigin, ...]]:
    """By taxon number: where its present names came from, as far as a service gave them. Told by the history, so that
    a name that is taken away and put back keeps its origin, and one that a person wrote has none."""
    asked = """
        SELECT names.taxon_id, names.name, history.what FROM history
        CROSS JOIN changes ON changes.history_id = history.id
        CROSS JOIN names ON names.id = changes.row_id
        WHERE history.what LIKE '%names of % according to %' AND history.undone_by IS NULL
            AND changes.table_name = 'names' AND changes.before IS NULL
            AND json_extract(changes.after, '$.name') = names.name
        ORDER BY names.id, history.id
    """
    found: dict[int, dict[str, NameOrigin]] = {}
    with store.reading() as db:
        for taxon_id, name, what in db.execute(asked).fetchall():
            if said := _ACCORDING.search(given(what)):
                found.setdefault(int(taxon_id), {})[name] = NameOrigin(given(name), said[1], said[2])
    return {taxon_id: tuple(names.values()) for taxon_id, names in found.items()}


# --------------------------------------------------------------------------- what is new, what differs


def _compared(
    db: Database, found: FoundNames, rename: bool, same_family: Callable[[str, str], bool]
) -> tuple[Addition, int | None]:
    work = _Work(db, found)
    former = _find(work, rename)
    known = work.taxon_id is not None
    family = _family(work, same_family)
    addition = Addition(
        work.accepted, known, former, family, _synonyms(work, former), _common_names(work), tuple(work.conflicts)
    )
    return addition, work.taxon_id


def _find(work: _Work, rename: bool) -> str:
    """The notebook's taxon, if it has it; gives the accepted name that it is to lose, "" for none."""
    db, found = work.db, work.found
    there, asked = _accepted_id(db, found.accepted), _accepted_id(db, found.asked) if found.asked else None
    work.accepted = found.accepted
    if there is not None:
        work.taxon_id = there
        if asked not in (None, there):
            work.tell(
                "accepted name", f"{found.asked} and {found.accepted} are two taxa", f"both are {found.accepted}",
                f"both are kept apart; if they are one: doubtwort taxon join '{found.asked}' '{found.accepted}'",
            )  # fmt: skip
        return ""
    if asked is None:
        bearers = _bearers(db, found.accepted, "synonym") or (
            _bearers(db, found.asked, "synonym") if found.asked else {}
        )
        if len(bearers) > 1:
            raise CallError(
                f"{one_line(found.accepted, 80)} is a synonym of several taxa in this notebook: "
                f"{', '.join(sorted(bearers.values()))}. Sort that out first: doubtwort taxon unname."
            )
        asked = next(iter(bearers), None)
    if asked is None:
        return ""
    work.taxon_id, here = asked, _name(db, asked)
    if rename:
        return here
    work.accepted = here
    work.tell("accepted name", here, found.accepted, f"{here} stays; to take the other over: --rename")
    return ""


def _family(work: _Work, same_family: Callable[[str, str], bool]) -> str:
    if work.taxon_id is None:
        return work.found.family
    here = given(work.db.execute("SELECT family FROM taxa WHERE id = ?", (work.taxon_id,)).fetchone()[0])
    if not here:
        return work.found.family
    if work.found.family and here != work.found.family and not same_family(here, work.found.family):
        work.tell("family", here, work.found.family, f"{here} stays")
    return ""


def _synonyms(work: _Work, former: str) -> tuple[str, ...]:
    """Those that are new here and belong to no other taxon of the notebook."""
    have = _own(work, "synonym") | {work.accepted.casefold(), former.casefold()}
    new: dict[str, None] = {}
    for name in (work.found.accepted, *work.found.synonyms):
        if name.casefold() in have or len(new) >= MOST_NAMES:
            continue
        others = _others(work, _bearers(work.db, name, "synonym"))
        if (other := _accepted_id(work.db, name)) not in (None, work.taxon_id):
            others |= {_name(work.db, other or 0)}
        if others:
            work.tell(
                f"synonym {name}", f"a name of {', '.join(sorted(others))}", f"a synonym of {work.found.accepted}",
                "left out; if the two are one taxon: doubtwort taxon join",
            )  # fmt: skip
            continue
        new[name] = None
    return tuple(new)


def _common_names(work: _Work) -> tuple[tuple[str, str], ...]:
    """Those that are new here and fit no other taxon of the notebook."""
    have: dict[str, set[str]] = {}
    if work.taxon_id is not None:
        asked = "SELECT name, language FROM names WHERE taxon_id = ? AND kind = 'common'"
        for name, language in work.db.execute(asked, (work.taxon_id,)).fetchall():
            have.setdefault(given(name).casefold(), set()).add(given(language).casefold())
    new: dict[tuple[str, str], tuple[str, str]] = {}
    for name, language in work.found.common_names:
        languages = have.get(name.casefold(), set())
        if language.casefold() in languages or (languages and not language) or len(new) >= MOST_NAMES:
            continue
        if told := languages - {""}:
            work.tell(f"language of {name}", ", ".join(sorted(told)), language, "left out; what is here stays")
        elif others := _others(work, _bearers(work.db, name, "common")):
            work.tell(
                f"common name {name}", f"also of {', '.join(sorted(others))}", f"of {work.found.accepted}",
                "left out, since it fits several taxa; if you want it: doubtwort taxon add --common-name",
            )  # fmt: skip
        else:
            new.setdefault((name.casefold(), language.casefold()), (name, language))
    return tuple(new.values())


def _own(work: _Work, kind: str) -> set[str]:
    if work.taxon_id is None:
        return set()
    asked = """
        SELECT name FROM names WHERE taxon_id = ? AND kind = ?
        UNION SELECT name FROM former_names WHERE taxon_id = ?
    """
    return {given(row[0]).casefold() for row in work.db.execute(asked, (work.taxon_id, kind, work.taxon_id)).fetchall()}


def _others(work: _Work, bearers: dict[int, str]) -> set[str]:
    return {name for taxon_id, name in bearers.items() if taxon_id != work.taxon_id}


def _accepted_id(db: Database, name: str) -> int | None:
    asked = "SELECT id FROM taxa WHERE scientific_name COLLATE NOCASE = ? ORDER BY id"
    found = db.execute(asked, (stored(name),)).fetchone()
    return None if found is None else int(found[0])


def _bearers(db: Database, name: str, kind: str) -> dict[int, str]:
    """The taxa that bear a name, by number, with their accepted names. A former name counts as a synonym."""
    asked = """
        SELECT taxa.id, taxa.scientific_name FROM names JOIN taxa ON taxa.id = names.taxon_id
        WHERE names.kind = ? AND names.name COLLATE NOCASE = ?
        UNION SELECT taxa.id, taxa.scientific_name FROM former_names JOIN taxa ON taxa.id = former_names.taxon_id
        WHERE ? = 'synonym' AND former_names.name COLLATE NOCASE = ?
    """
    values = (kind, stored(name), kind, stored(name))
    return {int(taxon_id): given(accepted) for taxon_id, accepted in db.execute(asked, values).fetchall()}


def _name(db: Database, taxon_id: int) -> str:
    return given(db.execute("SELECT scientific_name FROM taxa WHERE id = ?", (taxon_id,)).fetchone()[0])


# --------------------------------------------------------------------------- keeping it


def _write(change: Change, found: FoundNames, added: Addition, taxon_id: int | None) -> None:
    if taxon_id is None:
        taxon_id = change.insert("taxa", {"scientific_name": stored(added.taxon), "family": "", "remarks": ""})
    if added.former:
        reason = f"according to {found.source}"
        row = {"taxon_id": taxon_id, "name": stored(added.former), "until": found.retrieved, "reason": stored(reason)}
        change.insert("former_names", row)
        change.update("taxa", taxon_id, {"scientific_name": stored(added.taxon)})
        # The name that is accepted now is no synonym any more, unless a claim was taken in with it.
        same = "taxon_id = ? AND kind = 'synonym' AND name = ? AND id NOT IN (SELECT name_id FROM claim_names)"
        change.delete_where("names", same, (taxon_id, stored(added.taxon)))
    if added.family:
        change.update("taxa", taxon_id, {"family": some_text(added.family, "family", 200)})
    with change.noting_new("names"):
        for name in added.synonyms:
            put_name(change.db, taxon_id, "synonym", name)
        for name, language in added.common_names:
            put_name(change.db, taxon_id, "common", name, language)
