"""Studies: one question a file; each returns an answer."""

from __future__ import annotations

from hydrokit.studies.checking import Arrival, Check, Surroundings, check

__all__ = ["Arrival", "Check", "Surroundings", "check"]
