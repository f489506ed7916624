"""The user's notebook: claims, what their sources say, and the pages as fetched, in one SQLite file."""

from doubtwort.notebook.kept import KeptFetcher
from doubtwort.notebook.notebook import Notebook, open_notebook
from doubtwort.notebook.query import AuditRow, ClaimRow
from doubtwort.notebook.write import NotebookKeeper, keep_audit

__all__ = ["AuditRow", "ClaimRow", "KeptFetcher", "Notebook", "NotebookKeeper", "keep_audit", "open_notebook"]
