"""What can go wrong, drawn.

DoubtwortError                 one clear line: what is wrong, and what to do
├── CallError                  the call was wrong (exit status 2)
│   └── ManyTaxa               a name that several taxa bear; ``candidates`` are their accepted names
├── PageError                  the claim's own page could not be taken in
│   ├── PageUnread             it could not be fetched or read; ``reason`` says why
│   └── NoClaimFound           it was read and makes no such claim about the taxon
├── NamesError                 the look-up of names
│   ├── NotAsked               nothing is kept of it, and the service may not be asked
│   ├── NamesUnread            the service could not be reached or not be understood; ``reason`` says why
│   └── NameUnknown            the service knows no such name
├── TableError                 a rule table or hazard table shipped with the program is broken
└── NotebookError              the user's notebook
    ├── NotebookTooNew         written by a later version; left as it was
    ├── NotebookBusy           another process holds it
    ├── NotebookReadOnly       no permission to write, or the disk is full
    ├── NotebookDamaged        not SQLite, or its integrity check failed
    ├── NotInNotebook          no such claim, source or audit
    ├── NotAccepted            an entry that the vetted list's rule does not let be accepted
    └── AlreadyKept            a claim that the notebook holds already, in the same words or nearly

A cited source that cannot be read is no error: it is a row in the result (``model.UnreadReason``).
"""

from __future__ import annotations


class DoubtwortError(Exception):
    """Root of the tree. ``str(error)`` is one line that a user can act on."""

    exit_status = 1


class CallError(DoubtwortError):
    """The call was wrong: an option's value, a taxon's name, an address."""

    exit_status = 2


class ManyTaxa(CallError):
    """A name that several taxa bear: the user has to say which. ``keys`` are those of a names service.

    >>> str(ManyTaxa("fictwort", ("Fictaria silvana", "Vaguelia aspera")))
    "'fictwort' may be Fictaria silvana or Vaguelia aspera. Give the scientific name."
    """

    def __init__(
        self,
        name: str,
        candidates: tuple[str, ...],
        advice: str = "Give the scientific name.",
        keys: tuple[int, ...] = (),
    ) -> None:
        self.candidates, self.keys = candidates, keys
        super().__init__(f"{name!r} may be {' or '.join(candidates)}. {advice}")


class PageError(DoubtwortError):
    """The page that makes the claim could not be taken in."""


class PageUnread(PageError):
    """The claim's page could not be fetched or read.

    >>> str(PageUnread("http://herb.example/x", "not-found", "HTTP 404"))
    'http://herb.example/x could not be read: not-found (HTTP 404). Check the address, or try again later.'
    """

    def __init__(self, url: str, reason: str, detail: str = "", advice: str = "") -> None:
        self.url, self.reason, self.detail = url, reason, detail
        said = f"{reason} ({detail})" if detail else reason
        advice = advice or "Check the address, or try again later."
        super().__init__(f"{url} could not be read: {said}. {advice}")


class NoClaimFound(PageError):
    """The page was read, and says nothing of the wanted wording about the taxon."""


class NamesError(DoubtwortError):
    """Something about looking up names at a names service."""


class NotAsked(NamesError):
    """Nothing is kept of that question, and the service was not to be asked."""


class NamesUnread(NamesError):
    """The names service gave no answer that can be used.

    >>> str(NamesUnread("http://names.example/v1/species/7", "unreachable", "HTTP 500"))
    'The names service gave no answer: unreachable (HTTP 500) at http://names.example/v1/species/7. Try again later.'
    """

    def __init__(self, url: str, reason: str, detail: str = "", advice: str = "Try again later.") -> None:
        self.url, self.reason, self.detail = url, reason, detail
        said = f"{reason} ({detail})" if detail else reason
        super().__init__(f"The names service gave no answer: {said} at {url}. {advice}")


class NameUnknown(NamesError):
    """The names service knows no such name, or none that it is sure of."""


class TableError(DoubtwortError):
    """A table shipped with the program is broken: empty, or with an unknown key or direction."""


class NotebookError(DoubtwortError):
    """Something about the notebook file."""


class NotebookTooNew(NotebookError):
    """The notebook was written by a later version; it was left unchanged."""


class NotebookBusy(NotebookError):
    """Another process is writing to the notebook."""


class NotebookReadOnly(NotebookError):
    """The notebook cannot be written to: permission, or a full disk."""


class NotebookDamaged(NotebookError):
    """The file is not a notebook, or SQLite's integrity check failed."""


class NotInNotebook(NotebookError):
    """The notebook holds no such claim, source or audit."""


class NotAccepted(NotebookError):
    """The rule of the vetted list stands against accepting an entry; ``objections`` say what."""

    def __init__(self, what: str, objections: tuple[str, ...], advice: str) -> None:
        self.objections = objections
        super().__init__(f"{what} is not accepted: {'; '.join(objections)}. {advice}")


class AlreadyKept(NotebookError):
    """The notebook holds this claim already, in the same words or nearly; ``claim`` is its id."""

    def __init__(self, claim: str, said: str) -> None:
        self.claim = claim
        super().__init__(said)
