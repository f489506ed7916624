"""Typed links as header field (RFC 8288 §3, appendix B) and as document (application/link-format, RFC 6690).

One parser for both: line breaks are white space. It goes over the text once and never raises; what is no link value
is passed over.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass
from urllib.parse import unquote_to_bytes

MOST_LINKS = 200_000
_TARGET = re.compile(r"[\s,]*<([^>]*)>\s*")
_NAME = re.compile(r"[\s;]*([^\s=;,\"<>]+)\s*(=?)\s*")
_QUOTED = re.compile(r'"((?:[^"\\]|\\.)*)"?', re.DOTALL)
_TOKEN = re.compile(r"[^\s;,]*")
_ESCAPED = re.compile(r"\\(.)", re.DOTALL)
_NEXT = re.compile(r"[^,\"]*(?:\"(?:[^\"\\]|\\.)*\"?[^,\"]*)*,?", re.DOTALL)


@dataclass(frozen=True, slots=True)
class Link:
    """``target`` as written, maybe relative. ``relations`` in lower case; ``parameters`` have lower-case names, of
    several with one name the first counts (RFC 8288 §3.3, §3.4.1). ``anchor`` None: the link is of the page itself."""

    target: str
    relations: tuple[str, ...]
    parameters: tuple[tuple[str, str], ...]

    def get(self, name: str) -> str:
        """Value of a parameter, "" when there is none."""
        return next((value for each, value in self.parameters if each == name), "")

    @property
    def anchor(self) -> str | None:
        return next((value for each, value in self.parameters if each == "anchor"), None)


def links(text: str, most: int = MOST_LINKS) -> Iterator[Link]:
    """The links of a Link field or a link-format document, in order.

    >>> one, two = links('</a,b>; rel="next last"; title="x, \\\\"y\\\\"", </c>; rel=prev')
    >>> one.target, one.relations, one.get("title"), two.target
    ('/a,b', ('next', 'last'), 'x, "y"', '/c')
    """
    at = 0
    for _ in range(most):
        found = _TARGET.match(text, at)
        if found is None:
            skipped = _NEXT.match(text, at)
            if skipped is None or skipped.end() >= len(text):
                return
            at = skipped.end()
            continue
        parameters, at = _parameters(text, found.end())
        relations = next((value for name, value in parameters if name == "rel"), "")
        yield Link(found[1].strip(), tuple(relations.lower().split()), tuple(parameters))
        skipped = _NEXT.match(text, at)
        at = skipped.end() if skipped else len(text)
        if at >= len(text):
            return


def _parameters(text: str, at: int) -> tuple[list[tuple[str, str]], int]:
    """Parameters from ``at`` to the comma that ends the link value, and where that is."""
    found: dict[str, str] = {}
    while at < len(text) and text[at] == ";":
        name = _NAME.match(text, at)
        if name is None:
            at += 1
            continue
        at = name.end()
        value = ""
        if name[2]:
            quoted = _QUOTED.match(text, at)
            if quoted:
                value, at = _ESCAPED.sub(r"\1", quoted[1]), quoted.end()
            else:
                token = _TOKEN.match(text, at)
                value, at = (token.group(), token.end()) if token else ("", at)
        key = name[1].lower()
        found.setdefault(key, _extended(value) if key.endswith("*") else value)
        while at < len(text) and text[at].isspace():
            at += 1
    return list(found.items()), at


def _extended(value: str) -> str:
    """The value of a parameter such as title* (RFC 8187 §3.2): charset'language'percent-encoded.

    >>> _extended("UTF-8'de'n%c3%a4chstes%20Kapitel")
    'nächstes Kapitel'
    """
    charset, _, rest = value.partition("'")
    octets = unquote_to_bytes(rest.partition("'")[2])
    try:
        return octets.decode(charset.strip().lower() if charset.strip().lower() in ("utf-8", "iso-8859-1") else "utf-8")
    except UnicodeDecodeError:
        return ""
