"""A season, from its plans to its end: what pairings can give and would prove, what is due, what does not fit, and what came of it."""

from __future__ import annotations
