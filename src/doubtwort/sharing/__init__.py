"""Giving a notebook out and taking one in: exports in formats that others read, imports, references of libraries.

Every export carries the dangers that are known of its taxa, and the standing cautions.
"""
