"""Studies: one question a file; each returns an answer."""

from __future__ import annotations

from hydrokit.studies.checking import Arrival, Check, check
from hydrokit.studies.comparing import Comparison, Side, compare
from hydrokit.studies.conditions import Corner, Envelope, GivesWay, envelope
from hydrokit.studies.hosing import BoreRow, Hosing, hose
from hydrokit.studies.lift_limits import LiftLimit
from hydrokit.studies.lifting import Depth, Lift, lift
from hydrokit.studies.limiting import Limit, limit
from hydrokit.studies.matching import Match, PumpTried, match
from hydrokit.studies.shifts import Shift
from hydrokit.studies.sizing import Bore, bore
from hydrokit.studies.surroundings import Surroundings

__all__ = [
    "Arrival",
    "Bore",
    "BoreRow",
    "Check",
    "Comparison",
    "Corner",
    "Depth",
    "Envelope",
    "GivesWay",
    "Hosing",
    "Lift",
    "LiftLimit",
    "Limit",
    "Match",
    "PumpTried",
    "Shift",
    "Side",
    "Surroundings",
    "bore",
    "check",
    "compare",
    "envelope",
    "hose",
    "lift",
    "limit",
    "match",
]
