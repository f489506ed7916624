"""Rechecking: a claim's sources visited again, and what has changed since the audit before."""

from doubtwort.recheck.compare import Difference, differences
from doubtwort.recheck.revisit import Rechecked, due_claims, recheck_claim, take_claim

__all__ = ["Difference", "Rechecked", "differences", "due_claims", "recheck_claim", "take_claim"]
