"""Studies: one question a file; each returns an answer."""

from __future__ import annotations

from hydrokit.studies.checking import Arrival, Check, check
from hydrokit.studies.conditions import Corner, Envelope, GivesWay, envelope
from hydrokit.studies.hosing import BoreRow, Hosing, hose
from hydrokit.studies.lift_limits import LiftLimit
from hydrokit.studies.lifting import Depth, Lift, lift
from hydrokit.studies.limiting import Limit, limit
from hydrokit.studies.shifts import Shift
from hydrokit.studies.surroundings import Surroundings

__all__ = [
    "Arrival",
    "BoreRow",
    "Check",
    "Corner",
    "Depth",
    "Envelope",
    "GivesWay",
    "Hosing",
    "Lift",
    "LiftLimit",
    "Limit",
    "Shift",
    "Surroundings",
    "check",
    "envelope",
    "hose",
    "lift",
    "limit",
]
