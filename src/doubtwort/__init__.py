"""doubtwort: is "edible" backed by the source that it cites?

It checks what sources say. It never says that anything is safe to eat.
"""

__version__ = "0.1.0"
