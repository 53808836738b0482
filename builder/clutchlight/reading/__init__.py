"""From a folder of plain-text records to one checked collection, every mistake with its file, line and column."""

from __future__ import annotations
