"""A notebook as one Markdown document (CommonMark) to read, print or put into a wiki.

Cautions first, then the vetted list, then the claims with what each source says. Text from the web is escaped: it can
make no link, no heading and no markup.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from dataclasses import replace
from typing import Final, TextIO

from doubtwort.model import Audit, Statement
from doubtwort.notebook.dangers import Danger
from doubtwort.notebook.notebook import Notebook
from doubtwort.notebook.places import SITE_SAYS, Place, places
from doubtwort.notebook.vetted import Entry
from doubtwort.reporting.links import link_address
from doubtwort.reporting.words import OUTCOME_SAYS, RATING_SAYS
from doubtwort.sharing.gather import Told, discreet, listed, noted, told
from doubtwort.sharing.warnings import REMEMBER, standing
from doubtwort.text import one_line

# What could begin markup inside a line (CommonMark 0.31, sections 2.4 and 6), or make a bare address a link, as some
# readers do; the text of a line never begins one.
_MARKS: Final = re.compile(r"[\\`*_{}\[\]<>#+!|~&@]|:(?=//)|(?<=www)\.", re.IGNORECASE)


def escaped(text: str) -> str:
    """One line in which nothing is markup.

    >>> print(escaped("see [x](http://a.example) <b> *now*"))
    see \\[x\\](http\\://a.example) \\<b\\> \\*now\\*
    """
    return _MARKS.sub(r"\\\g<0>", one_line(text))


def write_markdown(notebook: Notebook, out: TextIO, *, exact_places: bool = False) -> int:
    """Gives how many claims were written. Places are coarsened unless ``exact_places``."""
    _lines(out, ["# Notebook on claims about eating plants and fungi", "", f"**{escaped(REMEMBER)}**", ""])
    _section(out, "Always", [f"- {escaped(each.text)}" for each in standing()])
    _section(
        out,
        "The vetted list",
        [line for each, warns in listed(notebook, exact=exact_places) for line in _entry(each, warns)],
    )
    count = 0
    _lines(out, ["## Claims", ""])
    for each in told(notebook, exact=exact_places):
        _lines(out, [*_claim(each), ""])
        count += 1
    _section(out, "Own experience (no evidence, raises no rating)", _tastings(notebook, exact_places))
    _section(out, "Places", _places(notebook, exact_places))
    return count


def _lines(out: TextIO, lines: Iterable[str]) -> None:
    for line in lines:
        out.write(line + "\n")


def _section(out: TextIO, heading: str, lines: Sequence[str]) -> None:
    if lines:
        _lines(out, [f"## {heading}", "", *lines, ""])


def _warned(found: Iterable[Danger]) -> list[str]:
    return [
        f"- **{escaped(each.code)}**: {escaped(each.text)}" + (f" ({escaped(each.source)})" if each.source else "")
        for each in found
    ]


def _entry(each: Entry, warns: tuple[Danger, ...]) -> list[str]:
    warned = _warned(warns)
    lines = [f"### {escaped(each.what)}: {each.status.value}", "", *warned]
    said = (
        ("Accepted all the same, because", each.despite), ("Waiting because", each.waiting_because),
        ("Reason", each.reason), ("Stands against it", "; ".join(each.objections)),
        ("Rests on", ", ".join(_rated(each))), ("Decided by", f"{each.decided_by}, {each.decided_at[:10]}"),
        ("To be looked at again", each.review_on), ("Season", ", ".join(str(month) for month in each.months)),
    )  # fmt: skip
    return [*lines, *(f"- {name}: {escaped(text)}" for name, text in said if text), ""]


def _rated(each: Entry) -> list[str]:
    return [f"{one.claim} ({one.rated_now.value if one.rated_now else 'not audited'})" for one in each.claims]


def _claim(each: Told) -> list[str]:
    claim, audit = each.claim, each.audit
    limits = ", ".join((*claim.parts, *claim.preparations, *claim.stages))
    rating = audit.rating.value if audit else "not audited"
    of = f"{each.taxon.scientific_name} [{limits}]" if limits else each.taxon.scientific_name
    lines = [f"### {escaped(of)}: {claim.wording.value} — {rating}", "", *_warned(each.dangers)]
    lines += [f"- Claimed: “{escaped(claim.quote)}”{_address(claim.url)}"]
    if each.origin:
        origin = each.origin
        told_of = (origin.work, origin.locator, origin.role, origin.region, origin.heard_on, origin.remarks)
        heard = (origin.medium.value, *told_of)
        lines.append(f"- Heard or read: {escaped(', '.join(filter(None, heard)))}")
    if audit is None:
        lines += [f"- Cites: {escaped(one.text or ', '.join(one.urls))}" for one in claim.citations]
        return lines
    lines.append(f"- Rated {escaped(each.rated_at[:10])}: {RATING_SAYS[audit.rating]}")
    lines += [f"- {escaped(reason)}" for reason in audit.reasons]
    lines += [f"- Mind ({escaped(code)}): {escaped(text)}" for code, text in _cautions(each, audit)]
    for source in audit.sources:
        title = escaped(source.title or source.url)
        lines.append(f"- {source.outcome.value} ({OUTCOME_SAYS[source.outcome]}): {title}{_address(source.url)}")
        lines += [f"    - “{escaped(one.quote)}” ({_read_as(one)})" for one in source.statements]
    return lines


def _cautions(each: Told, audit: Audit) -> dict[tuple[str, str], None]:
    """(code, text) of what the audit warns of that is not told above already."""
    above = {one.text for one in each.dangers}
    above |= {one.text for one in (*standing(audit.claim.wording), *standing())}
    return dict.fromkeys((one.code, one.text) for one in audit.cautions if one.text not in above)


def _read_as(statement: Statement) -> str:
    limits = (*statement.parts, *statement.preparations, *statement.stages)
    return escaped(", ".join((statement.wording.value, statement.about.value, statement.certainty.value, *limits)))


def _address(url: str) -> str:
    """An autolink (CommonMark, section 6.5) for an address that may be one."""
    address = link_address(url)
    return f" <{address}>" if address else ""


def _tastings(notebook: Notebook, exact: bool) -> list[str]:
    lines = []
    for each in noted(notebook, exact=exact):
        kept = each.tasting
        said = (
            each.taxon, kept.part, kept.preparation, kept.tasted_on, kept.prepared, kept.amount, kept.taste,
            kept.texture, kept.remarks,
        )  # fmt: skip
        reaction = f"**Reaction: {escaped(kept.reaction)}** " if kept.reaction else ""
        lines.append(f"- {reaction}{escaped(', '.join(filter(None, said)))}")
    return lines


def _places(notebook: Notebook, exact: bool) -> list[str]:
    hide = discreet(notebook, exact=exact)
    return [
        f"- {escaped(each.taxon)}: {escaped(_where(replace(each.place, region=hide(each.place.region)), exact))}"
        for each in places(notebook, exact=exact)
    ]


def _where(place: Place, exact: bool) -> str:
    spot = f"{place.latitude}, {place.longitude} ({place.precision.value})" if place.latitude is not None else ""
    said = [place.region, spot, place.found_on, *(SITE_SAYS[each] for each in place.cautions)]
    return "; ".join(filter(None, [*said, place.spot, place.remarks] if exact else said))
