"""Which addresses may become links, and links that lead to one sentence of a page."""

from __future__ import annotations

import re
from urllib.parse import quote as percent_encode
from urllib.parse import urlsplit

LONGEST_ADDRESS = 4_000
# A sentence with more words than this is named by its first and last words: a footnote mark or a line break in its
# middle, which the reading leaves out, then does no harm.
MOST_WORDS = 9
_ENDS = 4
_LONGEST_END = 80
_NOT_IN_ADDRESS = re.compile(
    r"[\x00-\x20\x7f-\x9f\"<>\\^`{|}\u200b-\u200f\u2028-\u202e\u2060-\u206f\ud800-\udfff\ufeff]"
)


def link_address(url: str) -> str:
    """The address if it may stand in a link: http or https, with a host, without control characters; else "".

    >>> link_address("http://herb.example/a?b=c"), link_address("javascript:alert(1)")
    ('http://herb.example/a?b=c', '')
    """
    if len(url) > LONGEST_ADDRESS or _NOT_IN_ADDRESS.search(url):
        return ""
    try:
        parts = urlsplit(url)
        host = parts.hostname
    except ValueError:
        return ""
    if parts.scheme not in ("http", "https") or not host or parts.username is not None or "@" in parts.netloc:
        return ""
    return url


def text_directive(quote: str) -> str:
    """The text directive for a quote: "start" or "start,end", percent-encoded.

    Syntax: WICG, URL Fragment Text Directives, section 3.3 (``&``, ``-`` and ``,`` are always encoded).

    >>> text_directive("non-toxic, they say")
    'text=non%2Dtoxic%2C%20they%20say'
    """
    words = "".join(each if each.isprintable() or each.isspace() else "" for each in quote).split()
    if not words:
        return ""
    if len(words) <= MOST_WORDS and len(" ".join(words)) <= 2 * _LONGEST_END:
        return f"text={_encoded(' '.join(words))}"
    if len(words) < 2 * _ENDS:  # writing without spaces
        whole = " ".join(words)
        return f"text={_encoded(whole[:_LONGEST_END].strip())},{_encoded(whole[-_LONGEST_END:].strip())}"
    start, end = " ".join(words[:_ENDS]), " ".join(words[-_ENDS:])
    return f"text={_encoded(start[:_LONGEST_END].strip())},{_encoded(end[-_LONGEST_END:].strip())}"


def sentence_link(url: str, quote: str, page: int | None = None) -> str:
    """A link to the very sentence: by its words in a page, by its page number in a PDF (RFC 8118, section 3).

    >>> sentence_link("http://herb.example/a#uses", "Fictwort is harmless.")
    'http://herb.example/a#uses:~:text=Fictwort%20is%20harmless.'
    >>> sentence_link("http://herb.example/a.pdf", "Fictwort is harmless.", page=3)
    'http://herb.example/a.pdf#page=3'
    """
    safe = link_address(url)
    if not safe:
        return ""
    address, _, fragment = safe.partition("#")
    if page is not None:
        return f"{address}#page={page}"
    directive = text_directive(quote)
    if not directive:
        return safe
    return f"{address}#{fragment.split(':~:')[0]}:~:{directive}"


def _encoded(text: str) -> str:
    return percent_encode(text, safe="", errors="replace").replace("-", "%2D")
