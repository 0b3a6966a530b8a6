"""Studies: one question a file; each returns an answer. A study is loaded when it is first asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
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

_NAMES_OF: Final = {
    "chance.foremost": "MeasureFirst Moves",
    "checking": "Arrival Check check",
    "comparing": "Comparison Side compare",
    "conditions": "Corner Envelope GivesWay envelope",
    "course.times_to_fill": "fill_times",
    "diagnosing": "Diagnosis diagnose",
    "drawing": "Draw DrawnTank OutletFlow draw",
    "expecting": "ExpectedReading ReadingsToTake expected_readings",
    "facts.surroundings": "Surroundings",
    "filling": "Fill FilledTank fill",
    "hosing": "BoreRow Hosing hose",
    "lifting": "Depth Lift lift",
    "limiting": "Limit limit",
    "matching": "Match PumpTried match",
    "sizing": "Bore bore",
    "spreading": "Outcome Risk Spread spread",
    "suction.lift_limits": "LiftLimit",
    "suction.shifts": "Shift",
    "sweeping": "LimitCount Setting Sweep SweptVariant ValueCount sweep",
    "wearing": "FilterWear LimitReached PrefilterGain Wear WearPoint wear",
}
_FILE_OF: Final = {name: file for file, names in _NAMES_OF.items() for name in names.split()}


def __getattr__(name: str) -> object:
    from importlib import import_module

    if name not in _FILE_OF:
        raise AttributeError(f"module 'hydrokit.studies' has no attribute {name!r}")
    value: object = getattr(import_module(f"hydrokit.studies.{_FILE_OF[name]}"), name)
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
