"""One validated object with every limit and place. Nothing else in the program holds a limit of its own."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, fields
from pathlib import Path

from platformdirs import user_data_path

from doubtwort import __version__
from doubtwort.errors import CallError


def default_notebook() -> Path:
    """Where the notebook lies when ``--notebook`` is not given, e.g. ~/.local/share/doubtwort/notebook.sqlite."""
    return user_data_path("doubtwort", appauthor=False) / "notebook.sqlite"


@dataclass(frozen=True, slots=True)
class Settings:
    """Limits of one run. Times in seconds, sizes in bytes.

    ``memento_gate`` is the address of a TimeGate (RFC 7089) that is asked for kept copies of pages that are gone, ""
    for none; the page's address is appended to it, or put where it says "{uri}".
    ``proxies`` maps "http"/"https" to a proxy address; None means that HTTP_PROXY, HTTPS_PROXY and NO_PROXY decide.
    ``resolvers`` maps the beginning of a public resolver's address to another place that answers for it, such as
    {"https://doi.org/": "http://127.0.0.1:8000/doi/"}; what is shown and kept stays the public address.
    ``revalidate`` asks the site about every kept page anew, conditionally. ``accept`` is the Accept field (RFC 9110,
    12.5.1). ``names_service`` is where a look-up of names asks, which answers by the species API that
    techdocs.gbif.org/en/openapi/v1/species describes; its answers are used again for ``names_days``.

    >>> Settings(depth=-1)
    Traceback (most recent call last):
    doubtwort.errors.CallError: depth must be 0 or more, not -1.
    """

    user_agent: str = f"doubtwort/{__version__} (reads cited sources one by one for a person; obeys robots.txt)"
    connect_timeout: float = 10.0
    read_timeout: float = 20.0
    total_timeout: float = 60.0
    max_body: int = 20_000_000
    max_redirects: int = 10
    delay: float = 1.0
    retries: int = 2
    retry_after_max: float = 30.0
    host_connections: int = 1
    allow_private: bool = False
    proxies: Mapping[str, str] | None = None
    resolvers: Mapping[str, str] | None = None
    offline: bool = False
    revalidate: bool = False
    depth: int = 3
    max_sources: int = 200
    max_seconds: float = 900.0
    max_passages: int = 50_000
    max_pdf_pages: int = 2_000
    memento_gate: str = ""
    accept: str = "text/html, application/xhtml+xml, application/pdf, text/plain;q=0.9, */*;q=0.5"
    names_service: str = "https://api.gbif.org/v1"
    names_pages: int = 5
    names_days: int = 30

    def __post_init__(self) -> None:
        for each in fields(self):
            value = getattr(self, each.name)
            if isinstance(value, (int, float)) and not isinstance(value, bool) and value < 0:
                raise CallError(f"{each.name} must be 0 or more, not {value}.")
