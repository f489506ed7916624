"""Sentences, where names occur in them, and whose sentence each one is."""
