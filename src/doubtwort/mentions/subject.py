"""What a page and a heading are about: the topic that statements without a name fall to."""

from __future__ import annotations

import re
import tomllib
from dataclasses import dataclass
from functools import cache
from importlib.resources import files

from doubtwort.errors import TableError
from doubtwort.mentions.find import Finder, Mention
from doubtwort.mentions.page import PageNames
from doubtwort.mentions.review import ends_own_name, names_in
from doubtwort.model import About, Document
from doubtwort.text import fold

_BY = re.compile(r"(?:,|\s)\s*by\s(?=[A-Z])")
_VERB = re.compile(r"\b(?:is|are|was|were|has|have|can|may|include|includes|eat|like|unlike)\b")


@cache
def _titles() -> dict[str, list[str]]:
    table = tomllib.loads(files("doubtwort.mentions").joinpath("tables/titles.toml").read_text("utf-8"))
    if set(table) != {"general", "others"} or not all(table.values()):
        raise TableError("The table of titles needs general words and headings on other plants.")
    return {"general": table["general"].split(), "others": table["others"]}


@dataclass(frozen=True, slots=True)
class Topic:
    """A subject and why it is one: Topic(About.TAXON, "Fictaria silvana", "the page's title")."""

    about: About
    name: str = ""
    why: str = "nothing on the page tells whose statement it is"


def page_topic(document: Document, finder: Finder, names: PageNames | None) -> Topic:
    """The page's subject: a name in its title, in its own metadata, in its first heading, or before the verb of its
    first sentence."""
    for title in (document.title, *document.subjects):
        mention = leading_mention(finder, _BY.split(title)[0], names)
        if mention is not None:
            return Topic(mention.whose, mention.name, "the page's title")
    for passage in document.passages[:3]:
        mention = leading_mention(finder, passage.text[:300], names)
        if mention is not None and mention.start < 60 and not _VERB.search(passage.text[: mention.start]):
            return Topic(mention.whose, mention.name, "the page's first sentence")
        if passage.kind == "paragraph":
            break
    title = fold(document.title).text.strip()
    if title.lower() == finder.taxon.genus.lower() or ends_own_name(title, finder):
        return Topic(About.GENUS, title, "the page's title")
    words = title.lower().replace(",", " ").split()
    if 0 < len(words) <= 3 and not set(words) & set(_titles()["general"]) and not title.endswith((".", "?", ":", "!")):
        return Topic(About.OTHER, title, "the page's title, which names something else")
    return Topic(About.UNCLEAR)


def heading_topic(headings: tuple[str, ...], finder: Finder, names: PageNames | None, page: Topic) -> Topic:
    """The subject under a heading path: its deepest heading with a name, "other" under "Similar species"."""
    for heading in reversed(headings):
        mention = leading_mention(finder, heading, names)
        if mention is not None:
            return Topic(mention.whose, mention.name, "the heading above")
        if any(phrase in heading.lower() for phrase in _titles()["others"]):
            return Topic(About.OTHER, heading, "a heading on other plants")
    return page


def leading_mention(finder: Finder, text: str, names: PageNames | None) -> Mention | None:
    """The name that a title or heading is about: the target if it is named first or in brackets, else the first."""
    if not text:
        return None
    mentions = [each for each in names_in(fold(text).text, finder, names) if not each.comparison]
    if not mentions:
        return None
    first = mentions[0]
    if first.whose is not About.TAXON:
        folded = fold(text).text
        for mention in mentions[1:]:
            between = folded[first.end : mention.start]
            if mention.whose is About.TAXON and (
                first.whose is About.GENUS or (len(between) < 4 and ("(" in between or "-" in between))
            ):
                return mention
    return first
