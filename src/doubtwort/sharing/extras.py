"""Reference lists in BibTeX and RIS, through well-kept libraries that are loaded only when they are needed."""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Sequence
from typing import Any, Final

from doubtwort.errors import CallError, DoubtwortError
from doubtwort.text import one_line

BibEntry = tuple[str, str, dict[str, str]]  # kind, key, fields
# Fields that hold no LaTeX: a "%" in an address begins no comment.
_VERBATIM: Final = frozenset({"url", "doi", "isbn", "issn", "eprint"})
_LONGEST: Final = 4_000  # characters of a field that are read
# As they are written in LaTeX, a stand-in from the private use area while LaTeX is read as text, and the sign itself.
_SIGNS: Final = (
    (r"\textbraceleft{}", "\ue000", "{"),
    (r"\textbraceright{}", "\ue001", "}"),
    (r"{\textasciicircum}", "\ue002", "^"),
)
_UNFIT: Final = re.compile(r"[{}\\\s\x00-\x1f]")


def _missing(what: str) -> DoubtwortError:
    return DoubtwortError(
        f"{what} needs libraries that are missing here. Install them: pip install bibtexparser pylatexenc rispy"
    )


def bibtex_writer() -> Callable[[Sequence[BibEntry], Sequence[str]], str]:
    """Gives (entries, comments) → the text of a BibTeX file."""
    try:
        from bibtexparser.entrypoint import write_string
        from bibtexparser.library import Library
        from bibtexparser.model import Entry, ExplicitComment, Field
        from pylatexenc.latexencode import unicode_to_latex  # type: ignore[import-untyped, import-not-found, unused-ignore]
    except ImportError as error:
        raise _missing("BibTeX") from error

    def plain(name: str, value: str) -> str:
        if name in _VERBATIM:
            return _UNFIT.sub(lambda m: f"%{ord(m[0]):02X}", value)
        return " ".join(f"{_tex(unicode_to_latex, each)}" for each in value.split())

    def write(entries: Sequence[BibEntry], comments: Sequence[str]) -> str:
        library = Library()
        for comment in comments:
            library.add(ExplicitComment(re.sub(r"[{}@\\]", "", comment)))
        for kind, key, fields in entries:
            written = [Field(name, "{" + plain(name, value) + "}") for name, value in fields.items()]
            library.add(Entry(kind, key, written))
        return str(write_string(library, unparse_stack=[]))

    return write


def _tex(encode: Callable[..., str], text: str) -> str:
    """Plain text as LaTeX. A brace of the text itself would upset BibTeX, which counts them whatever stands before."""
    pieces = re.split(r"([{}])", text)
    names = {"{": r"\textbraceleft{}", "}": r"\textbraceright{}"}
    told = {"unknown_char_policy": "keep", "unknown_char_warning": False}
    return "".join(names.get(each) or encode(each, **told) for each in pieces)


def read_bibtex(text: str, said: str) -> list[dict[str, Any]]:
    """The entries' fields, names in lower case, authors as a list of family names; LaTeX is read as text."""
    try:
        from bibtexparser.entrypoint import parse_string
        from bibtexparser.middlewares import NormalizeFieldKeys, SeparateCoAuthors, SplitNameParts
        from bibtexparser.model import ParsingFailedBlock
        from pylatexenc.latex2text import LatexNodes2Text  # type: ignore[import-untyped, import-not-found, unused-ignore]
    except ImportError as error:
        raise _missing("BibTeX") from error
    layers = [NormalizeFieldKeys(), SeparateCoAuthors(), SplitNameParts()]
    logging.getLogger("bibtexparser").addHandler(logging.NullHandler())  # it would write beside our one line
    library = parse_string(text, append_middleware=layers)
    if library.failed_blocks:
        broken = library.failed_blocks[0]
        line = (broken.start_line or 0) + 1
        twice = type(broken) is not ParsingFailedBlock  # a key, or a field of an entry
        why = f" ({one_line(str(broken.error).partition('.')[0], 100)})" if twice else ""
        raise CallError(f"{said}, line {line}: an entry of BibTeX that cannot be read{why}. Nothing was taken in.")
    decoder = LatexNodes2Text()

    def decoded(value: str) -> str:
        shown = value[:_LONGEST]
        for written, private, _ in _SIGNS:
            shown = shown.replace(written, private)
        try:
            shown = str(decoder.latex_to_text(shown))
        except (RecursionError, ValueError, IndexError):  # braces within braces without end
            shown = re.sub(r"[{}]", "", shown)
        for _, private, sign in _SIGNS:
            shown = shown.replace(private, sign)
        return " ".join(shown.split())

    found = []
    for entry in library.entries:
        fields: dict[str, Any] = {"kind": entry.entry_type.lower()}
        for each in entry.fields:
            if each.key == "author" and isinstance(each.value, list):
                fields["author"] = [decoded(" ".join([*one.von, *one.last])) for one in each.value]
            elif isinstance(each.value, str):
                fields[each.key] = each.value.strip() if each.key in _VERBATIM else decoded(each.value)
        found.append(fields)
    return found


def read_ris(text: str, said: str) -> list[dict[str, Any]]:
    """The records' fields by the names that rispy gives them."""
    try:
        import rispy  # type: ignore[import-untyped, import-not-found, unused-ignore]
    except ImportError as error:
        raise _missing("RIS") from error
    text = text.replace("\r\n", "\n").replace("\r", "\n")
    begun, ended = (len(re.findall(rf"^{tag}  -", text, re.MULTILINE)) for tag in ("TY", "ER"))
    if begun != ended:  # rispy would leave out what does not end
        raise CallError(f"{said}: {begun} records begin (TY) and {ended} end (ER). Nothing was taken in.")
    try:
        return [dict(each) for each in rispy.loads(text)]
    except (OSError, ValueError, KeyError, IndexError, TypeError) as error:
        raise CallError(f"{said}: not RIS ({str(error)[:120]}). Nothing was taken in.") from error
