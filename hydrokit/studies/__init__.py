"""Studies: one question a file; each returns an answer."""

from __future__ import annotations

from hydrokit.studies.chance.foremost import MeasureFirst, Moves
from hydrokit.studies.checking import Arrival, Check, check
from hydrokit.studies.comparing import Comparison, Side, compare
from hydrokit.studies.conditions import Corner, Envelope, GivesWay, envelope
from hydrokit.studies.course.times_to_fill import fill_times
from hydrokit.studies.diagnosing import Diagnosis, diagnose
from hydrokit.studies.drawing import Draw, DrawnTank, OutletFlow, draw
from hydrokit.studies.expecting import ExpectedReading, ReadingsToTake, expected_readings
from hydrokit.studies.facts.surroundings import Surroundings
from hydrokit.studies.filling import Fill, FilledTank, fill
from hydrokit.studies.hosing import BoreRow, Hosing, hose
from hydrokit.studies.lifting import Depth, Lift, lift
from hydrokit.studies.limiting import Limit, limit
from hydrokit.studies.matching import Match, PumpTried, match
from hydrokit.studies.sizing import Bore, bore
from hydrokit.studies.spreading import Outcome, Risk, Spread, spread
from hydrokit.studies.suction.lift_limits import LiftLimit
from hydrokit.studies.suction.shifts import Shift
from hydrokit.studies.sweeping import LimitCount, Setting, Sweep, SweptVariant, ValueCount, sweep
from hydrokit.studies.wearing import FilterWear, LimitReached, PrefilterGain, Wear, WearPoint, wear

__all__ = [
    "Arrival",
    "Bore",
    "BoreRow",
    "Check",
    "Comparison",
    "Corner",
    "Depth",
    "Diagnosis",
    "Draw",
    "DrawnTank",
    "Envelope",
    "ExpectedReading",
    "Fill",
    "FilledTank",
    "FilterWear",
    "GivesWay",
    "Hosing",
    "Lift",
    "LiftLimit",
    "Limit",
    "LimitCount",
    "LimitReached",
    "Match",
    "MeasureFirst",
    "Moves",
    "Outcome",
    "OutletFlow",
    "PrefilterGain",
    "PumpTried",
    "ReadingsToTake",
    "Risk",
    "Setting",
    "Shift",
    "Side",
    "Spread",
    "Surroundings",
    "Sweep",
    "SweptVariant",
    "ValueCount",
    "Wear",
    "WearPoint",
    "bore",
    "check",
    "compare",
    "diagnose",
    "draw",
    "envelope",
    "expected_readings",
    "fill",
    "fill_times",
    "hose",
    "lift",
    "limit",
    "match",
    "spread",
    "sweep",
    "wear",
]
