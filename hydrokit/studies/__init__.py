"""Studies: one question a file; each returns an answer."""

from __future__ import annotations

from hydrokit.studies.checking import Arrival, Check, check
from hydrokit.studies.surroundings import Surroundings

__all__ = ["Arrival", "Check", "Surroundings", "check"]
