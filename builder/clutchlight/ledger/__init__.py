"""Dated records: statements frozen on a day, in a chain that shows where it was changed."""
