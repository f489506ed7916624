"""What a user types for a page, a part or a preparation, checked before any work begins."""

from __future__ import annotations

from doubtwort.sharing.typed import page_address
from doubtwort.sharing.vocabulary import parts_from_user, preparations_from_user, stages_from_user

__all__ = ["page_address", "parts_from_user", "preparations_from_user", "stages_from_user"]
