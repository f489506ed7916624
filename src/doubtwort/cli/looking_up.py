"""``doubtwort taxon lookup``: names from a public names service, shown, and with ``--add`` recorded."""

from __future__ import annotations

from dataclasses import dataclass, replace
from pathlib import Path

from doubtwort.cli.auditing import page_cache
from doubtwort.cli.keeping import interactive, known_taxon, opened, which
from doubtwort.cli.lookup_shown import Recorded, print_lookup, print_lookup_json
from doubtwort.cli.progress import Progress
from doubtwort.errors import CallError, ManyTaxa, NamesError, NameUnknown, NotInNotebook
from doubtwort.fetching.names_service import NamesService, many
from doubtwort.notebook.looked_up import MOST_NAMES, Addition, Conflict, FoundNames, add_names, compare_names
from doubtwort.settings import Settings, default_notebook
from doubtwort.taxa.hazards import load_hazards
from doubtwort.taxa.languages import language_tag
from doubtwort.taxa.names import parse_name, reads_as_english, same_family, taxon_from_user
from doubtwort.taxa.usages import LookedUp
from doubtwort.text import one_line

_LONGEST = 200


@dataclass(frozen=True, slots=True)
class Question:
    """As the user typed it. ``key`` is 0 for none."""

    name: str
    key: int = 0
    kingdom: str = ""
    languages: tuple[str, ...] = ()


def lookup_command(
    question: Question,
    *,
    ask: bool,
    service: str,
    offline: bool,
    refresh: bool,
    add: bool,
    rename: bool,
    allow_private: bool,
    notebook: Path | None,
    as_json: bool,
) -> None:
    """The service is asked only with ``ask`` or when it is named; else kept answers have to do."""
    asks = (ask or bool(service)) and not offline
    if offline and ask:
        raise CallError("Give --ask or --offline, not both.")
    if refresh and not asks:
        raise CallError("--refresh asks the service again: give --ask or --service too.")
    languages = tuple(_language(each) for each in question.languages)
    scientific = _scientific(question.name)
    settings = Settings(allow_private=allow_private, names_service=service or Settings().names_service)
    with NamesService(settings, page_cache(), ask=asks, refresh=refresh) as names, Progress() as tell:
        tell(f"asking {names.address}")
        found = _look_up(names, question, scientific, notebook, must_be_sure=add)
    if languages:
        kept = tuple(each for each in found.vernacular_names if each.language in languages)
        found = replace(found, vernacular_names=kept)
    recorded = _recorded(found, scientific, notebook, add=add, rename=rename)
    if as_json:
        print_lookup_json(found, recorded)
    else:
        print_lookup(found, recorded)


def _language(typed: str) -> str:
    tag = language_tag(typed)
    if not tag:
        raise CallError(f"{one_line(typed, 40)} is no code of a language. Write for example: en, de, haw.")
    return tag


def _scientific(name: str) -> str:
    """The scientific name, "" for a common one. What begins with a capital letter is meant as a scientific one."""
    if not name.strip() or len(name) > _LONGEST:
        raise CallError(f"Give a name of 1 to {_LONGEST} characters.")
    if name.strip()[0].islower() or not name.strip()[0].isascii():
        return ""
    try:
        return taxon_from_user(name).scientific_name
    except CallError:
        try:
            if reads_as_english(parse_name(name)):
                return ""
        except CallError:
            pass
        raise


def _look_up(
    names: NamesService, question: Question, scientific: str, notebook: Path | None, *, must_be_sure: bool
) -> LookedUp:
    """The answer; where several taxa bear the name, the user is asked which, or told where nobody can answer."""
    key, kingdom = question.key, question.kingdom.strip()
    try:
        if not scientific and not key:
            scientific = _known_here(question.name, notebook)
        if not scientific and not key:
            bearers = names.bearers(question.name.strip())
            if not bearers:
                raise NameUnknown(
                    f"The names service knows nothing called {one_line(question.name, 80)}. Give the scientific name."
                )
            if len(bearers) > 1:
                raise many(question.name, bearers)
            key = bearers[0].key
        found = names.look_up(scientific or question.name.strip(), key=key, kingdom=kingdom)
        if must_be_sure and found.homonyms:
            raise many(found.asked, (found.usage, *found.homonyms))
    except ManyTaxa as error:
        if not (error.keys and interactive()):
            raise
        chosen = which(question.name, error.candidates)
        key = error.keys[error.candidates.index(chosen)]
        found = names.look_up(scientific or question.name.strip(), key=key)
    if scientific and key and found.usage.name != scientific:
        raise CallError(
            f"Key {key} is {one_line(found.usage.scientific_name, 80)}, not {scientific}. Look that name up, or leave "
            "--key out."
        )
    return found


def _known_here(common_name: str, notebook: Path | None) -> str:
    """The accepted name of the notebook's taxon that bears a common name, "" for none."""
    if not (notebook or default_notebook()).exists():
        return ""
    with opened(notebook) as kept:
        try:
            return known_taxon(kept, common_name).scientific_name
        except NotInNotebook:
            return ""


# --------------------------------------------------------------------------- the notebook's side


def _recorded(found: LookedUp, scientific: str, notebook: Path | None, *, add: bool, rename: bool) -> Recorded:
    """What is recorded, or would be; or why nothing can be."""
    why_not = _why_not(found)
    if why_not and add:
        raise NamesError(f"{why_not} Nothing was recorded.")
    if why_not:
        return Recorded(None, why_not=why_not)
    names, left_out, doubtful = _names_of(found, scientific)
    if add:
        with opened(notebook, create=True) as kept:
            addition = add_names(kept, names, rename=rename, same_family=same_family)
    elif (notebook or default_notebook()).exists():
        with opened(notebook) as kept:
            addition = compare_names(kept, names, rename=rename, same_family=same_family)
    else:
        synonyms = tuple(each for each in names.synonyms if each != names.accepted)
        addition = Addition(
            names.accepted, False, "", names.family, synonyms[:MOST_NAMES], names.common_names[:MOST_NAMES]
        )
    addition = replace(addition, conflicts=(*addition.conflicts, *doubtful))
    return Recorded(addition, left_out=left_out, done=add and not addition.is_empty)


def _why_not(found: LookedUp) -> str:
    """Why names of this answer cannot be recorded, "" when they can."""
    if not found.is_exact:
        said = found.match.match_type if found.match else ""
        return (
            f"The service took {one_line(found.asked, 80)} for {one_line(found.usage.scientific_name, 80)} ({said}). "
            "If that is meant, look that name up."
        )
    if not found.accepted.name:
        return f"{one_line(found.accepted.scientific_name, 80)} is no name that this program can read surely."
    if found.usage.key != found.accepted.key and not found.usage.is_plain_synonym:
        status = found.usage.taxonomic_status.replace("_", " ").lower() or "of no known status"
        return (
            f"{one_line(found.usage.scientific_name, 80)} is {status}: it does not simply mean "
            f"{one_line(found.accepted.scientific_name, 80)}. If that is meant, look that name up."
        )
    return ""


def _names_of(found: LookedUp, scientific: str) -> tuple[FoundNames, tuple[str, ...], tuple[Conflict, ...]]:
    """Names fit to be recorded, those that are not with the reason, and common names that published lists doubt."""
    left_out, synonyms = [], dict[str, None]()
    accepted = found.accepted.name
    if found.usage.name and found.usage.name != accepted:
        synonyms[found.usage.name] = None
    for each in found.synonyms:
        if each.name == accepted:
            left_out.append(f"{each.scientific_name} (the same words as the accepted name)")
        elif not each.is_plain_synonym:
            left_out.append(
                f"{each.scientific_name} ({each.taxonomic_status.replace('_', ' ').lower() or 'no status'})"
            )
        elif not each.name:
            left_out.append(f"{each.scientific_name} (cannot be read surely)")
        else:
            synonyms[each.name] = None
    hazards, common, doubtful = load_hazards(), [], []
    for said in found.vernacular_names:
        listed = hazards.ambiguous([said.name.lower()])
        if listed:
            bearers = ", ".join(dict.fromkeys(taxon for row in listed for taxon in row.taxa))
            doubtful.append(
                Conflict(
                    f"common name {said.name}",
                    f"in published lists a name of: {bearers}",
                    f"of {accepted}",
                    "left out, since it fits several taxa; if you want it: doubtwort taxon add --common-name",
                )
            )
        else:
            common.append((said.name, said.language))
    names = FoundNames(
        scientific, accepted, found.accepted.family, tuple(synonyms), tuple(common), found.source, found.retrieved[:10]
    )
    return names, tuple(left_out), tuple(doubtful)
