"""What a page and a heading are about: the topic that statements without a name fall to."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Final

from doubtwort.mentions.find import Finder, Mention
from doubtwort.mentions.page import PageNames
from doubtwort.model import About, Document
from doubtwort.text import fold

_OTHERS_HEADINGS: Final = (
    "similar species", "look-alike", "look alike", "lookalike", "confusion", "related species", "other species",
    "similar plants", "possible confusion", "may be confused", "mistaken for", "similar mushrooms", "relatives",
    "differentiation", "confused with", "other members", "comparison species", "similar fungi", "not to be confused",
    "doubles", "dangerous doubles", "similar looking",
)  # fmt: skip


# Words of titles that name no single plant: a short title with none of them is taken as another plant's name.
_GENERAL: Final = frozenset(
    "plants plant mushrooms mushroom fungi fungus herbs trees shrubs weeds flora food foods foraging wild edible edibles poisonous toxic "
    "toxicity poison poisons guide list index home page notes note garden gardens journal diary blog review report study "
    "case cases recipes recipe walks walk uses use handbook manual chapter appendix table introduction about contact "
    "news survival medicine medicinal berries fruits nuts roots greens leaflet safety identification the a an of and in "
    "for to how what why when is are our my species genus family january february march april may june july august "
    "september october november december spring summer autumn winter glossary key results description discussion "
    "ethnobotany botany history ecology habitat distribution references untitled article".split()
)


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
        mention = leading_mention(finder, title, names)
        if mention is not None:
            return Topic(mention.whose, mention.name, "the page's title")
    for passage in document.passages[:3]:
        mention = leading_mention(finder, passage.text[:300], names)
        if mention is not None and mention.start < 60:
            return Topic(mention.whose, mention.name, "the page's first sentence")
        if passage.kind == "paragraph":
            break
    title = fold(document.title).text.strip()
    words = title.lower().replace(",", " ").split()
    if 0 < len(words) <= 4 and not _GENERAL.intersection(words) and not title.endswith((".", "?", ":")):
        return Topic(About.OTHER, title, "the page's title, which names something else")
    return Topic(About.UNCLEAR)


def heading_topic(headings: tuple[str, ...], finder: Finder, names: PageNames | None, page: Topic) -> Topic:
    """The subject under a heading path: its deepest heading with a name, "other" under "Similar species"."""
    for heading in reversed(headings):
        mention = leading_mention(finder, heading, names)
        if mention is not None:
            return Topic(mention.whose, mention.name, "the heading above")
        if any(phrase in heading.lower() for phrase in _OTHERS_HEADINGS):
            return Topic(About.OTHER, heading, "a heading on other plants")
    return page


def leading_mention(finder: Finder, text: str, names: PageNames | None) -> Mention | None:
    """The name that a title or heading is about: the target if it is named first or in brackets, else the first."""
    if not text:
        return None
    mentions = [each for each in finder.find(fold(text).text, names) if not each.comparison]
    if not mentions:
        return None
    first = mentions[0]
    if first.whose is not About.TAXON:
        folded = fold(text).text
        for mention in mentions[1:]:
            between = folded[first.end : mention.start]
            if mention.whose is About.TAXON and len(between) < 4 and ("(" in between or "-" in between):
                return mention
    return first
