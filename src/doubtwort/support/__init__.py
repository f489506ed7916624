"""The decision tables: what one source is worth to a claim, where a trail ends, which roots are independent, how far
the claim is supported, and of what to warn. All of it is data and named reasons; nothing here reads or fetches."""

from typing import Final

# What stands for the claim among the ids of its sources.
CLAIM: Final = "claim"
