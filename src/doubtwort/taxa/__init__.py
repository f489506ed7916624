"""Names of plants and fungi, how they may be misspelt, and published lists of dangerous ones."""
