"""The invented demo web: its pages on loopback, and the claims that the demo audits."""

from doubtwort.demo.claims import DemoClaim, demo_claims
from doubtwort.demo.server import DemoWeb

__all__ = ["DemoClaim", "DemoWeb", "demo_claims"]
