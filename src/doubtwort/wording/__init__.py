"""What statements say about eating: rule tables, scope, and whose statement each one is."""

from doubtwort.wording.explain import Explained, explain_document
from doubtwort.wording.reader import read_document

__all__ = ["Explained", "explain_document", "read_document"]
