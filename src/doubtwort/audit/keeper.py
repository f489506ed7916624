"""Where an audit's steps are kept, so that a killed audit goes on where it was."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Protocol

from doubtwort.model import Audit, Claim, Fetched, NotFetched, Source


class Keeper(Protocol):
    """Keeps the steps of one audit, each call one transaction. ``keep_fetch`` and ``kept`` are called from several
    threads, never two calls at a time; ``keep_fetch`` of the claim's own page comes before ``start``."""

    def start(self, claim: Claim) -> None:
        """An audit of this claim begins, or an unfinished one goes on."""

    def keep_fetch(self, fetch: Fetched | NotFetched, /) -> None:
        """Something came from an address, or did not."""

    def kept(self, url: str) -> Fetched | NotFetched | None:
        """What this unfinished audit fetched from the address before; None: nothing, fetch it."""

    def keep_source(self, source: Source) -> None:
        """A source as far as it is known. Called again with the same id when more is known."""

    def finish(self, audit: Audit) -> None:
        """The audit is done."""


class NullKeeper:
    """Keeps nothing."""

    def start(self, claim: Claim) -> None: ...

    def keep_fetch(self, fetch: Fetched | NotFetched, /) -> None: ...

    def kept(self, url: str) -> Fetched | NotFetched | None:
        return None

    def keep_source(self, source: Source) -> None: ...

    def finish(self, audit: Audit) -> None: ...


@dataclass(frozen=True, slots=True)
class Progress:
    """How far an audit is: ``done`` of ``known`` sources, at which depth, and the address just done."""

    done: int
    known: int
    depth: int
    url: str
