"""JATS and NLM article XML (ANSI/NISO Z39.96) → HTML, then the HTML reader.

Body and abstract keep their sections, tables are HTML tables already, <ref> becomes an entry of a bibliography.
"""

from __future__ import annotations

import re
from typing import Any

from lxml import etree

_LINK = "{http://www.w3.org/1999/xlink}href"
_RENAMED = {
    "p": "p", "list": "ul", "list-item": "li", "def-list": "dl", "term": "dt", "def": "dd", "disp-quote": "blockquote",
    "boxed-text": "aside", "fig": "figure", "italic": "i", "bold": "b", "sup": "sup", "sub": "sub", "break": "br",
    "table": "table", "thead": "thead", "tbody": "tbody", "tfoot": "tfoot", "tr": "tr", "th": "th", "td": "td",
    "preformat": "pre", "ref": "li", "fn": "aside", "verse-group": "blockquote", "strike": "s",
}  # fmt: skip
_DROPPED = frozenset(
    {"contrib-group", "aff", "author-notes", "permissions", "graphic", "media", "inline-graphic", "tex-math", "math",
     "supplementary-material", "funding-group", "counts", "object-id", "ack", "kwd-group", "history", "pub-date",
     "journal-meta", "article-categories", "custom-meta-group", "related-article", "processing-meta",
     "self-uri", "volume", "issue", "elocation-id", "fpage", "lpage", "article-id", "title-group",
     "trans-title-group", "support-group", "alternatives"}
)  # fmt: skip
_KEPT_ATTRIBUTES = ("rowspan", "colspan")


def to_html(text: str) -> str:
    """The article as an HTML page with h1, sections, tables and a bibliography."""
    parser = etree.XMLParser(
        recover=True, huge_tree=True, resolve_entities=False, no_network=True, load_dtd=False, remove_comments=True,
        remove_pis=True, encoding="utf-8",
    )  # fmt: skip
    try:
        root = etree.fromstring(_decoded_entities(text).encode("utf-8", "replace"), parser)
    except (etree.LxmlError, ValueError):
        root = None
    if root is None:
        return ""
    page = etree.Element("html")
    language = root.get("{http://www.w3.org/XML/1998/namespace}lang")
    if language:
        page.set("lang", language)
    body = etree.SubElement(page, "body")
    title = _first(root, "article-title")
    if title is not None:
        for tag, parent in (("title", etree.Element("head")), ("h1", body)):
            element = etree.SubElement(parent, tag)
            element.text = " ".join("".join(title.itertext()).split())
            if tag == "title":
                page.insert(0, parent)
    _record(root, page)
    for part in root:
        if isinstance(part.tag, str) and _name(part) in ("front", "body", "back", "floats-group"):
            _convert(part, body)
    return str(etree.tostring(page, encoding="unicode", method="html"))


def _record(root: Any, page: Any) -> None:
    """What <article-meta> says of the article as a work, as meta elements."""
    about = next((each for each in root.iter() if isinstance(each.tag, str) and _name(each) == "article-meta"), None)
    if about is None:
        return
    head = page.find("head")
    head = etree.SubElement(page, "head") if head is None else head
    for each in about.iter():
        if not isinstance(each.tag, str):
            continue
        name, text = _name(each), " ".join("".join(each.itertext()).split())
        if name == "article-id" and each.get("pub-id-type") == "doi":
            etree.SubElement(head, "meta", name="citation_doi", content=text)
        elif name == "surname" and _name(each.getparent().getparent()) == "contrib":
            etree.SubElement(head, "meta", name="citation_author", content=text)
        elif name == "year" and _name(each.getparent()) == "pub-date":
            etree.SubElement(head, "meta", name="citation_year", content=text)
        elif name == "article-title" and _name(each.getparent()) == "title-group":
            etree.SubElement(head, "meta", name="citation_title", content=text)


def _decoded_entities(text: str) -> str:
    """Without the document type: no entity of its own can be expanded."""
    return re.sub(r"<!DOCTYPE[^>\[]*(?:\[.*?\]\s*)?>", "", text, count=1, flags=re.DOTALL)


def _name(element: Any) -> str:
    return str(element.tag).rpartition("}")[2]


def _first(root: Any, name: str) -> Any:
    front = next((part for part in root if isinstance(part.tag, str) and _name(part) == "front"), root)
    return next((each for each in front.iter() if isinstance(each.tag, str) and _name(each) == name), None)


def _convert(source: Any, target: Any) -> None:
    """Copies a subtree with HTML names. ``depth`` counts sections, for heading levels."""
    stack: list[tuple[Any, Any, int]] = [(source, target, 1)]
    while stack:
        element, parent, depth = stack.pop()
        made, below = _element(element, parent, depth)
        if made is None:
            _append_text(parent, element.tail)
            continue
        _append_text(made, element.text if below else None)
        # Children are copied in order: each is finished, tail and all, before the next one begins.
        if below:
            children = [child for child in element if isinstance(child.tag, str)]
            inner = depth + (_name(element) in ("sec", "app", "abstract", "ref-list"))
            stack.append((_Tail(element.tail), parent, depth))
            stack.extend((child, made, inner) for child in reversed(children))
        else:
            _append_text(parent, element.tail)


class _Tail:
    """Stands on the stack for the text after an element."""

    tag = ""
    text = None

    def __init__(self, tail: str | None) -> None:
        self.tail = tail


def _append_text(parent: Any, text: str | None) -> None:
    if not text:
        return
    if len(parent):
        parent[-1].tail = (parent[-1].tail or "") + text
    else:
        parent.text = (parent.text or "") + text


def _element(element: Any, parent: Any, depth: int) -> tuple[Any, bool]:
    """The HTML element made for an element, and whether its content is still to be copied."""
    if isinstance(element, _Tail):
        return None, False
    name = _name(element)
    if name in _DROPPED:
        return None, False
    if name == "caption" and _name(element.getparent()) == "table-wrap" and _holds_table(element.getparent()):
        return None, False
    if name == "ref":
        made = etree.SubElement(parent, "li")
        _set_id(element, made)
        _reference(element, made)
        return made, False
    if name in ("title", "subtitle") and _name(element.getparent()) in (
        "sec",
        "app",
        "ref-list",
        "abstract",
        "back",
        "fn-group",
    ):
        made = etree.SubElement(parent, f"h{min(max(depth, 2), 6)}")
    elif name == "ref-list":
        made = etree.SubElement(parent, "section", role="doc-bibliography")
        if not any(_name(child) == "title" for child in element if isinstance(child.tag, str)):
            etree.SubElement(made, "h2").text = "References"
    elif name == "xref":
        kind = element.get("ref-type", "")
        if kind in ("bibr", "fn", "table-fn") and element.get("rid"):
            made = etree.SubElement(parent, "a", href=f"#{element.get('rid').split()[0]}", role="doc-biblioref")
        else:
            made = etree.SubElement(parent, "span")
    elif name in ("ext-link", "uri"):
        made = etree.SubElement(parent, "a", href=element.get(_LINK) or "".join(element.itertext()))
    elif name == "label":
        made = etree.SubElement(parent, "span")
        made.tail = " "
        made.text = "".join(element.itertext())
        return made, False
    elif name == "caption":
        made = etree.SubElement(parent, "figcaption")
    elif name == "title":
        made = etree.SubElement(parent, "p")
    else:
        made = etree.SubElement(parent, _RENAMED.get(name, "div" if name in _SECTIONS else "span"))
    if name == "fn":
        made.set("class", "footnote")
    if name == "abstract" and element[:1] and not any(_name(c) == "title" for c in element if isinstance(c.tag, str)):
        etree.SubElement(made, "h2").text = "Abstract"
    if name == "table":
        _caption(element, made)
    for key in _KEPT_ATTRIBUTES:
        if element.get(key):
            made.set(key, element.get(key))
    _set_id(element, made)
    return made, True


_SECTIONS = frozenset(
    {"front", "body", "back", "sec", "abstract", "article-meta", "table-wrap", "table-wrap-foot", "app", "app-group",
     "fn-group", "glossary", "notes", "fig-group", "statement", "def-item", "floats-group", "disp-formula",
     "verse-line", "trans-abstract", "boxed-text", "speech", "response", "sub-article"}
)  # fmt: skip


def _holds_table(wrap: Any) -> bool:
    return wrap.find(".//{*}table") is not None


def _caption(table: Any, made: Any) -> None:
    """The caption of a <table-wrap> goes into its table, so that the rows stand under it."""
    wrap = next((each for each in table.iterancestors() if _name(each) == "table-wrap"), None)
    caption = None if wrap is None else next((each for each in wrap if _name(each) == "caption"), None)
    if caption is not None:
        etree.SubElement(made, "caption").text = " ".join(" ".join(caption.itertext()).split())


def _set_id(element: Any, made: Any) -> None:
    if element.get("id"):
        made.set("id", element.get("id"))


def _reference(ref: Any, made: Any) -> None:
    """A reference as it would be printed; one made of fields is put in order: authors, year, title, source, pages."""
    label = next((each for each in ref if isinstance(each.tag, str) and _name(each) == "label"), None)
    if label is not None:
        text = "".join(label.itertext()).strip().strip("[]().")
        if text.isdigit():
            _append_text(made, f"{text}. ")
    for citation in ref.iter():
        if not isinstance(citation.tag, str):
            continue
        name = _name(citation)
        if name == "element-citation" or (name == "citation" and not (citation.text or "").strip()):
            _append_text(made, _composed(citation) + " ")
        elif name in ("mixed-citation", "citation", "note"):
            _append_text(made, _glued(citation) + " ")
        else:
            continue
        for each in citation.iter():
            if isinstance(each.tag, str):
                _reference_link(each, made)


def _glued(citation: Any) -> str:
    """Text of a mixed citation. Fields set without anything between them are parted by a space."""
    pieces: list[str] = []
    for piece in citation.itertext():
        if pieces and pieces[-1][-1:].isalnum() and piece[:1].isalnum():
            pieces.append(" ")
        pieces.append(piece)
    return " ".join("".join(pieces).split())


def _reference_link(each: Any, made: Any) -> None:
    name = _name(each)
    address = ""
    if name == "pub-id" and each.get("pub-id-type") == "doi":
        address = f"https://doi.org/{''.join(each.itertext()).strip()}"
    elif name in ("ext-link", "uri"):
        address = each.get(_LINK) or "".join(each.itertext())
        if each.get("ext-link-type") == "doi" and not address.startswith("http"):
            address = f"https://doi.org/{address}"
    if address:
        link = etree.SubElement(made, "a", href=address.strip())
        link.text = "".join(each.itertext()).strip() or address


def _composed(citation: Any) -> str:
    def field(*names: str) -> str:
        for name in names:
            for each in citation.iter():
                if isinstance(each.tag, str) and _name(each) == name:
                    return " ".join("".join(each.itertext()).split())
        return ""

    people: list[str] = []
    for each in citation.iter():
        if isinstance(each.tag, str) and _name(each) in ("name", "string-name", "collab"):
            parts = {
                _name(part): " ".join("".join(part.itertext()).split()) for part in each if isinstance(part.tag, str)
            }
            given = "".join(word[0] for word in parts.get("given-names", "").replace("-", " ").split() if word)
            people.append(f"{parts.get('surname', '')} {given}".strip() or " ".join("".join(each.itertext()).split()))
    pages = "–".join(filter(None, (field("fpage"), field("lpage"))))
    place = "".join(
        filter(None, (field("volume"), f"({field('issue')})" if field("issue") else "", f":{pages}" if pages else ""))
    )
    year = field("year")
    authors = ", ".join(people[:40])
    pieces = [
        f"{authors} ({year})" if authors and year else authors or year,
        field("article-title", "chapter-title", "data-title", "part-title"),
        " ".join(filter(None, (field("source"), place))),
        field("publisher-name"),
        f"doi:{doi}" if (doi := field_doi(citation)) else "",
    ]
    return ". ".join(filter(None, pieces)) + "."


def field_doi(citation: Any) -> str:
    for each in citation.iter():
        if isinstance(each.tag, str) and _name(each) == "pub-id" and each.get("pub-id-type") == "doi":
            return "".join(each.itertext()).strip()
    return ""
