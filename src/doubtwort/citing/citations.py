"""A printed reference → a ``Citation``: authors, year, title, pages, DOI, ISBN, addresses.

References are written in hundreds of styles; what cannot be told apart stays empty, and ``text`` keeps it all.
"""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Iterable, Iterator

from doubtwort.citing.identifiers import Identifier, IdentifierKind, doi_url, find_identifiers, handle_url, pmid_url
from doubtwort.citing.urls import web_address
from doubtwort.model import Citation

_LONGEST = 4000

# RFC 3986 section 2: what an address may hold; closing brackets and stops at its end belong to the sentence.
_URL = re.compile(r"(?:https?://|www\.(?=[a-z0-9]))[^\s<>\"“”«»{}|\\^`]+", re.IGNORECASE)
_DOI = re.compile(r"(?:\bdoi:?\s*)?\b10\.\d{4,9}/\S+", re.IGNORECASE)
_URL_END = re.compile(r"[.,;:!?'’*_…]+$")
_BROKEN_SCHEME = re.compile(r"\b(https?):\s*/\s*/\s*", re.IGNORECASE)
# An address broken over a line: after a hyphen or another mark that may stand in it, or before one.
_HYPHEN_BREAK = re.compile(
    r"((?:https?://|www\.|10\.\d{4,9}/)\S*?)(-|\u2010|\ufffe|\u00ad)[ \t]*(?:\r?\n[ \t]*|(?<=\ufffe))(?=[\w/])"
)
_MARK_BREAK = re.compile(
    r"((?:https?://|www\.|10\.\d{4,9}/)\S*(?:[/_?=&%#~]|\.(?=\s+[a-z]))|10\.\d{4,9}/)"
    r"[ \t]*\r?\n[ \t]*(?=[a-z0-9/?=&%#-])"
)
_NEXT_MARK_BREAK = re.compile(r"((?:https?://|www\.|10\.\d{4,9}/)\S*)[ \t]*\r?\n[ \t]*(?=[/?=&%#._][\w/])")
# Or anywhere, when what begins the next line can only be part of an address.
_FULL_LINE_BREAK = re.compile(
    r"((?:https?://|www\.)\S*[\w+=])[ \t]*\r?\n[ \t]*"
    r"(?=\w[\w.-]*[/_=%&+?#~]\S|[\w-]*\.(?:pdf|html?|aspx?|php)\b|(?=[a-z]*\d)(?=\d*[a-z])[a-z\d]{6,}(?:\s|$))"
)
_EMBEDDED = re.compile(r"^https?://[^/?#]+/.*?((?:https?:/{1,2}|(?<=/)www\.)[^/].*)$", re.IGNORECASE)
_ARCHIVE_HOST = re.compile(r"^https?://[^/]*(?:archiv|wayback|webcite|perma)[^/]*/", re.IGNORECASE)

_YEAR = re.compile(r"(?<![\d/.-])((?:1[5-9]|20)\d\d)([a-z])?(?![\d/]|-\d{2}-)")
_YEAR_IN_BRACKETS = re.compile(
    r"[(\[]\s*(?:\d{1,2}\s+)?(?:[A-Za-zÀ-ž.]+\s+)?(?:\d{1,2}[ ,]+)?((?:1[5-9]|20)\d\d)([a-z])?[^)\]]{0,30}[)\]]"
)
_NO_YEAR = re.compile(r"(?:\bpp?\.?|\bpages?|\bno\.?|:|[–-])\s*$")  # what stands before a number that is no year
_PAGES = re.compile(
    r"\b(?:pp?|[Pp]ages?|S|Seiten?|págs?)(?:\.\s*|\s+)(?!(?:1[5-9]|20)\d\d\b)(\d{1,5}(?:\s*[-–—]\s*\d{1,5})?)\b"
)
_VOLUME_PAGES = re.compile(r"\d\s*(?:\(\s*[\w./–-]{1,12}\s*\))?\s*[:,]\s*(\d{1,5}\s*[-–—]\s*\d{1,5})\b")
_QUOTED = re.compile(r"[“„\"«](.{3,300}?)[”“\"»]|(?<![\w’'])[‘'](?=[A-Z])(.{8,300}?)[’'](?=[\s.,;])")
_LABEL = re.compile(r"^\s*(?:[\[(]\s*\w{1,6}\s*[\])]\.?|\d{1,3}\s*[.)]|[*†‡§¶^↑•]+)\s+(?=\S)")
_PARTICLES = frozenset(
    {
        "van",
        "von",
        "der",
        "den",
        "de",
        "del",
        "della",
        "di",
        "da",
        "du",
        "la",
        "le",
        "ter",
        "ten",
        "zu",
        "af",
        "dos",
        "el",
    }
)
_SURNAME = (
    rf"(?P<surname>(?:(?:{'|'.join(sorted(_PARTICLES))}|Van|Von|De|Mc|Mac|St\.)\s){{0,3}}"
    r"(?:[A-ZÀ-ŽĀ-ſ][’'`])?[A-ZÀ-ŽĀ-ſ][^\W\d_]+(?:[-–’'][^\W\d_]+){0,2})"
)
_INITIALS = r"(?:(?:[A-ZÀ-Ž][a-z]?\.[ -]?){1,4}|[A-ZÀ-Ž]{1,3}(?![\w’'])|(?:[A-ZÀ-Ž] ){1,3}(?![\w’'.]))"
_JUNIOR = r"(?:,?\s(?:Jr|Sr|II|III)\b\.?)?"
# "Alder, B. C." or "Alder BC" or "Alder. B."; then "B. C. Alder".
_NAMED = (
    re.compile(rf"{_SURNAME}[,.]?\s+{_INITIALS}{_JUNIOR}"),
    re.compile(rf"{_INITIALS}\s*{_SURNAME}{_JUNIOR}"),
)
_GIVEN_IN_FULL = re.compile(rf"{_SURNAME},\s+[A-ZÀ-Ž][^\W\d_]+(?:\s+{_INITIALS})?(?=[.,;]|\s*[(&]|\s+and\s)")
_ALONE = re.compile(
    rf"{_SURNAME}(?=,?\s*(?:&|and\s|et\sal|[(\[]?\s*(?:1[5-9]|20)\d\d|;)|,\s[A-ZÀ-Ž][^\W\d_]+\s(?:&|and)\s)"
)
_BETWEEN = re.compile(r"\s*(?:[,;]\s*(?:&|and\s|und\s)?|&|(?:(?<=\s)|\s)(?:and|und|et|y|e|og|och|en)\s)\s*(?=\S)")
_OTHERS = re.compile(r"(?:and\s+|&\s*)?(?:et\s+al\b\.?|others\b)", re.IGNORECASE)
_NO_NAME = frozenset(
    {"the", "see", "from", "in", "on", "of", "retrieved", "archived", "accessed", "edible", "wild", "flora"}
)
_MOST_AUTHORS = 40
_NO_TITLE = re.compile(r"(?:pp?\.?\s*\d|ibid|op\. cit)", re.IGNORECASE)
# "577–82.10.1000/x": a DOI glued to what stands before it.
_GLUED_DOI = re.compile(r"(?<=\d)\.(?=10\.\d{4,9}/)")


def citation_from(key: str, text: str, urls: Iterable[str] = ()) -> Citation:
    """Reads one printed reference. ``urls`` are the addresses that it links to; those printed in it are added.

    >>> c = citation_from("r1", "Alder, B. & Birk, C. (1998). Fictive herbs. Demo Press, pp. 12–15.")
    >>> c.authors, c.year, c.title, c.pages, c.urls
    (('Alder', 'Birk'), '1998', 'Fictive herbs', '12–15', ())
    """
    text = text[:_LONGEST].strip()
    joined = _GLUED_DOI.sub(". ", _joined(text))
    linked = list(urls)
    addresses = [*linked, *(found for found in printed_urls(text) if not _known(found, linked))]
    plain = _LABEL.sub("", " ".join(_without_urls(joined).split())).lstrip("? *•–-")
    year, at = _year(plain)
    authors, title_at = _authors(plain)
    originals, archived = _archives(addresses)
    known = find_identifiers(" ".join(joined.split()) + " \n" + " \n".join(originals[:20]))
    doi = next((each.value for each in known if each.kind is IdentifierKind.DOI), "")
    if not doi:  # the DOI leads to the work itself; a record in PubMed holds an abstract at best
        originals += [each for each in _resolvers(known) if not any(each.rstrip("/") in url for url in originals)]
    return Citation(
        key,
        " ".join(joined.split()),
        urls=tuple(dict.fromkeys(originals)),
        doi=doi,
        isbn=next((each.value for each in known if each.kind is IdentifierKind.ISBN), ""),
        authors=authors,
        year=year,
        title=_title(plain, at, title_at),
        pages=_pages(plain),
        archived_url=archived,
    )


def _resolvers(known: Iterable[Identifier]) -> Iterator[str]:
    """Public addresses of handles and PubMed records."""
    for each in known:
        if each.kind is IdentifierKind.HANDLE:
            yield handle_url(each.value)
        elif each.kind is IdentifierKind.PMID:
            yield pmid_url(each.value)


def printed_urls(text: str) -> tuple[str, ...]:
    """Addresses printed in a text, also over a line end.

    A hyphen at a line's end belongs to the address (style guides forbid to add one); the reading without it follows.

    >>> printed_urls("At http://herb.example/fic-\\ntive, seen 2001")
    ('http://herb.example/fic-tive', 'http://herb.example/fictive')
    """
    if "http" not in text.lower() and "www." not in text.lower():
        return ()
    text = _BROKEN_SCHEME.sub(r"\1://", text[:200_000])
    found: list[str] = []
    mended = _mend(text, keep=True)
    for reading in dict.fromkeys((_FULL_LINE_BREAK.sub(r"\1", mended), mended, _mend(text, keep=False))):
        for match in _URL.finditer(reading):
            address = _trimmed(match.group())
            if address.lower().startswith("www."):
                address = f"http://{address}"
            if len(address) > 10 and "." in address[8:]:
                found.append(address)
    return tuple(dict.fromkeys(found))


def printed_addresses(text: str) -> Iterator[tuple[int, int, str]]:
    """Where addresses and DOIs are printed in running text: (start, end, address to ask for).

    >>> list(printed_addresses("See www.herb.example/a. Also doi:10.1000/182."))
    [(4, 22, 'http://www.herb.example/a'), (33, 44, 'https://doi.org/10.1000/182')]
    """
    text = text.replace("\ufffe", "-")
    found: list[tuple[int, int]] = []
    if "://" in text or "www." in text:
        for match in _URL.finditer(text):
            address = _trimmed(match.group())
            full = web_address(address if "://" in address else f"http://{address}")
            if full and "." in full[8:]:
                found.append((match.start(), match.start() + len(address)))
                yield *found[-1], full
    if "10." in text:
        for each in find_identifiers(text):
            if each.kind is IdentifierKind.DOI and not any(start <= each.start < end for start, end in found):
                yield each.start, each.end, doi_url(each.value)


def _joined(text: str) -> str:
    """The text with line-end hyphens of words and addresses mended."""
    text = _FULL_LINE_BREAK.sub(r"\1", _mend(_BROKEN_SCHEME.sub(r"\1://", text), keep=True))
    text = re.sub(r"(?<=[a-zà-ÿ])(?:\u00ad|\ufffe|[-\u2010][ \t]*\r?\n)\s*(?=[a-zà-ÿ])", "", text)
    return text.replace("\u00ad", "").replace("\ufffe", "-")


def _mend(text: str, keep: bool) -> str:
    for _ in range(4):
        before = text
        text = _HYPHEN_BREAK.sub(lambda m: m[1] + ("-" if keep and m[2] != "\u00ad" else ""), text)
        text = _NEXT_MARK_BREAK.sub(r"\1", _MARK_BREAK.sub(r"\1", text))
        if text == before:
            break
    return text


def _trimmed(address: str) -> str:
    """Without the sentence's punctuation at its end; a closing bracket stays if the address opened one."""
    while True:
        shorter = _URL_END.sub("", address)
        if shorter[-1:] in (")", "]") and shorter.count("(") + shorter.count("[") < shorter.count(")") + shorter.count(
            "]"
        ):
            shorter = shorter[:-1]
        if shorter == address:
            return address
        address = shorter


def _without_urls(text: str) -> str:
    return _DOI.sub(" ", _URL.sub(" ", text))


def _known(address: str, others: Iterable[str]) -> bool:
    flat = address.rstrip("/").lower().removeprefix("https://").removeprefix("http://")
    return any(flat == o.rstrip("/").lower().removeprefix("https://").removeprefix("http://") for o in others)


def _archives(urls: list[str]) -> tuple[list[str], str]:
    """Original addresses and the first archived copy. A copy's address holds the original's."""
    originals: list[str] = []
    inside: list[str] = []
    archived = ""
    for url in urls:
        found = _EMBEDDED.match(url)
        if found and (_ARCHIVE_HOST.match(url) or re.search(r"/\d{4,14}(?:[a-z]{2}_)?/https?:", url)):
            archived = archived or url
            original = re.sub(r"^(https?):/+", r"\1://", found[1], flags=re.IGNORECASE)
            inside.append(original if "://" in original else f"http://{original}")
        else:
            originals.append(url)
    originals += [each for each in inside if not _known(each, originals)]
    return originals, archived


def _year(text: str) -> tuple[str, int]:
    """Year and its offset: the first in brackets near the beginning, else the first that is no page or number."""
    match = _YEAR_IN_BRACKETS.search(text[:400])
    if match is None:
        for found in _YEAR.finditer(text):
            before = text[max(0, found.start() - 6) : found.start()]
            if not _NO_YEAR.search(before) and text[found.end() : found.end() + 1] != "–":
                match = found
                break
    return (match[1], match.start()) if match else ("", -1)


def _authors(text: str) -> tuple[tuple[str, ...], int]:
    """Surnames at the beginning of a reference, and the offset where they end (-1 when there are none)."""
    surnames: list[str] = []
    at = end = 0
    while len(surnames) < _MOST_AUTHORS:
        others = _OTHERS.match(text, at)
        if others:
            end = others.end()
            break
        match = next(filter(None, (pattern.match(text, at) for pattern in _NAMED)), None)
        if match is None and not surnames:
            match = _GIVEN_IN_FULL.match(text)
        if match is None:
            match = _ALONE.match(text, at)
        if match is None or match["surname"].lower() in _NO_NAME:
            break
        surnames.append(match["surname"])
        at = end = match.end()
        between = _BETWEEN.match(text, at)
        if between is None:
            break
        at = between.end()
    if not surnames:
        return (), -1
    return tuple(dict.fromkeys(surnames)), end


def _title(text: str, year_at: int, authors_end: int) -> str:
    quoted = _QUOTED.search(text)
    if quoted:
        return (quoted[1] or quoted[2]).strip(" ,.")
    rest = text
    if year_at >= 0 and (authors_end < 0 or text[authors_end:year_at].strip(" .,;:([") == ""):
        after = re.match(r"[(\[]?[^)\].,:]{0,40}(?:,\s[A-Z][a-z]+\s\d{1,2})?[)\]]?[.,:;\s]*", text[year_at:])
        rest = text[year_at + (after.end() if after else 4) :]
    elif authors_end >= 0:
        rest = text[authors_end:].lstrip(" .,:;")
    end = re.search(r"(?<=[^\W\d_]{2})[.?!](?:\s|$)|(?<=\))\.\s|(?<=\d)\.\s|\s[-–—]\s(?=[A-Z])", rest)
    title = rest[: end.start()] if end else rest
    title = title.strip(" .,;:“”\"'()[]")
    return title[:300] if len(title) > 2 and not _NO_TITLE.match(title) else ""


def _pages(text: str) -> str:
    match = _PAGES.search(text) or _VOLUME_PAGES.search(text)
    return re.sub(r"\s+", "", match[1]) if match else ""


def name_key(surname: str) -> str:
    """A surname as it is compared: "Łuczaj" and "Luczaj" fall together; particles and marks go.

    >>> name_key("van der Ålder"), name_key("O’Birk")
    ('alder', 'obirk')
    """
    words = [word for word in surname.split() if word.lower() not in _PARTICLES] or [surname]
    flat = unicodedata.normalize("NFKD", "".join(words).translate(str.maketrans("łŁøØđĐßı", "lLoOdDsi")))
    return re.sub(r"[^a-z]", "", flat.lower())
