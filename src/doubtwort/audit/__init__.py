"""One claim through all stages. A killed audit goes on where it was if a keeper keeps its steps."""

from doubtwort.audit.keeper import Keeper, NullKeeper, Progress
from doubtwort.audit.page import audit_claim, audit_page
from doubtwort.audit.reader import Readers
from doubtwort.audit.shelf import Shelf, Slip, slip_of

__all__ = ["Keeper", "NullKeeper", "Progress", "Readers", "Shelf", "Slip", "audit_claim", "audit_page", "slip_of"]
