"""Before a season: what a pairing can give, what it would prove, and which pairing proves most."""

from __future__ import annotations
