"""Generic, unbranded parts and standard series, each figure with its source or marked invented."""

from __future__ import annotations

from hydrokit.catalogue.bores import hose_bores
from hydrokit.catalogue.entries import Entry, entry, generic_parts, part

__all__ = ["Entry", "entry", "generic_parts", "hose_bores", "part"]
