"""Writes a view as one HTML file that needs nothing else: no network, no script, its own style sheet inside.

Every text goes through the template's escaping and loses its control characters; the only links are http and https
ones and those within the file. The file's own policy forbids every request.
"""

from __future__ import annotations

from base64 import b64encode
from collections.abc import Sequence
from functools import cache
from hashlib import sha256
from importlib.resources import files
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from doubtwort import __version__
from doubtwort.reporting.cuemarks import marked
from doubtwort.reporting.drawing import NARROW_COLUMNS, Picture, draw_trail
from doubtwort.reporting.links import link_address
from doubtwort.reporting.plaintext import anchor, clean
from doubtwort.reporting.quotes import Quote
from doubtwort.reporting.reasons import why_of
from doubtwort.reporting.steps import MOST_SHOWN, risings
from doubtwort.reporting.view import AuditView, SourceView
from doubtwort.text import one_line

LONGEST_QUOTE = 900
LONGEST_TEXT = 400
MOST_DANGERS = 12
# Statements shown of each source: the more sources, the fewer, so that a file stays within its size.
MOST_QUOTES = 12
FEWEST_QUOTES = 2
_ALL_QUOTES = 400
_MOST_EDGES = 400
# A picture wider than this is drawn a second time for narrow screens.
_WIDE = 640


def report_page(view: AuditView, home: str = "") -> str:
    """The whole report of one audit as an HTML file. ``home`` is the file name of the list that it belongs to."""
    name = one_line(clean(f"{view.taxon}: {view.wording}, {view.rating}"), 200)
    ladders = risings(view.ladders)
    return page(
        "report.html",
        name,
        view=view,
        home=home,
        pictures=_pictures(view),
        reasons=why_of(view.reasons),
        most=quotes_each(len(view.sources)),
        most_dangers=MOST_DANGERS,
        edges=view.edges[:_MOST_EDGES],
        more_edges=max(0, len(view.edges) - _MOST_EDGES),
        ladders=ladders[:MOST_SHOWN],
        more_ladders=max(0, len(ladders) - MOST_SHOWN),
        outcomes={each.id: each.outcome for each in (*view.sources, *view.unread)},
    )


def page(
    template: str, title: str, *, script: str = "", sheets: Sequence[str] = ("page.css", "trail.css"), **values: Any
) -> str:
    """One page from a template of this package, with its style sheets (and a script, if it must have one) inside."""
    style = "\n".join(sheet(each) for each in sheets)
    policy = ["default-src 'none'", f"style-src '{_hash(style)}'", "base-uri 'none'", "form-action 'none'"]
    if script:
        policy.append(f"script-src '{_hash(script)}'")
    made = environment().get_template(template)
    return made.render(
        title=title,
        policy="; ".join(policy),
        style=Markup(style),
        script=Markup(script),
        version=__version__,
        **values,
    )


@cache
def sheet(name: str) -> str:
    """A style sheet or script of this package."""
    return files("doubtwort.reporting").joinpath(f"templates/{name}").read_text("utf-8")


def _hash(text: str) -> str:
    """As a content security policy names it (W3C, Content Security Policy Level 3, section 2.3.1)."""
    return f"sha256-{b64encode(sha256(text.encode()).digest()).decode()}"


@cache
def environment() -> Environment:
    """Templates with escaping on, whatever their names end in."""
    made = Environment(
        loader=PackageLoader("doubtwort.reporting", "templates"),
        autoescape=True,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
        finalize=_finalize,
    )
    made.filters |= {"short": _short, "anchor": anchor, "web": link_address, "pieces": _pieces, "telling": _telling}
    return made


def _finalize(value: object) -> object:
    """What every ``{{ … }}`` goes through before it is escaped."""
    return clean(value) if isinstance(value, str) and not isinstance(value, Markup) else value


def _short(text: str, most: int = LONGEST_TEXT) -> str:
    return one_line(clean(text), most)


def _pieces(quote: Quote) -> tuple[tuple[str, str], ...]:
    """The quote in pieces, each with its mark (see ``cuemarks.marked``)."""
    return marked(one_line(clean(quote.text), LONGEST_QUOTE), quote.rules, quote.values)


def _telling(source: SourceView, most: int) -> tuple[Quote, ...]:
    """The statements of a source that are shown: warnings before all, else in the order of the page."""
    first = sorted(range(len(source.quotes)), key=lambda number: not source.quotes[number].dangerous)[:most]
    return tuple(source.quotes[number] for number in sorted(first))


def quotes_each(sources: int) -> int:
    """How many statements are shown of each of so many sources.

    >>> quotes_each(3), quotes_each(200)
    (12, 2)
    """
    return max(FEWEST_QUOTES, min(MOST_QUOTES, _ALL_QUOTES // max(1, sources)))


def _pictures(view: AuditView) -> list[Picture]:
    """The trail, and once more with fewer boxes in a row where it is too wide for a narrow screen."""
    wide = draw_trail(view)
    if wide.width <= _WIDE:
        return [wide]
    narrow = draw_trail(view, NARROW_COLUMNS, name="trail-narrow")
    return [wide, narrow] if narrow.width < wide.width else [wide]
