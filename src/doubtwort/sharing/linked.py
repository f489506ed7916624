"""What the exports in JSON-LD share: ids that stay the same, times, the end of the file."""

from __future__ import annotations

import json
from collections.abc import Iterable
from typing import Any, TextIO
from uuid import NAMESPACE_URL, uuid5


def urn(*parts: str) -> str:
    """A name for something without an address: the same parts give the same one (RFC 9562, version 5).

    >>> urn("claim", "c1") == urn("claim", "c1"), urn("claim", "c1")[:9]
    (True, 'urn:uuid:')
    """
    name = "\x00".join(("doubtwort", *parts)).encode("utf-8", "replace").decode()
    return f"urn:uuid:{uuid5(NAMESPACE_URL, name)}"


def write_array(out: TextIO, head: dict[str, Any], key: str, items: Iterable[Any]) -> int:
    """A JSON object whose last member is a long array, written item by item. Gives how many."""
    before = json.dumps(head, ensure_ascii=False, indent=1).removesuffix("\n}")
    out.write(f'{before},\n "{key}": [')
    count = 0
    for item in items:
        out.write((",\n  " if count else "\n  ") + json.dumps(item, ensure_ascii=False))
        count += 1
    out.write("\n ]\n}\n")
    return count
