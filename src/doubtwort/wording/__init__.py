"""What statements say about eating: rule tables, scope, and whose statement each one is."""

from doubtwort.wording.reader import read_document

__all__ = ["read_document"]
