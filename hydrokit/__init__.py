"""Hydraulics of portable filtration rigs: will it lift, what flows, what limits it, what to change first.

Nothing is loaded until it is used: each public name is fetched from its room on first use. The rooms themselves
(``hydrokit.parts``, ``hydrokit.laws`` and so on) are imported as any package is.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

if TYPE_CHECKING:
    from hydrokit.answers import Answer, Finding, Verdict
    from hydrokit.bounds import Dimension
    from hydrokit.catalogue import generic_parts, part
    from hydrokit.errors import HydrokitError, InputError, MissingExtra, OutputError, SolverError
    from hydrokit.files import demonstration, load_pumps, load_readings, load_rig, read_rig, save_rig, write_rig
    from hydrokit.network import Solution, solve, speed_up
    from hydrokit.parts import (
        Battery,
        CentrifugalPump,
        Coupler,
        DiaphragmPump,
        Elbow,
        Filter,
        Fitting,
        FloatValve,
        FootValve,
        HandPump,
        Hose,
        HoseTail,
        Joint,
        Lamp,
        Load,
        NonReturnValve,
        Outlet,
        Source,
        Strainer,
        Tank,
        Tee,
        Valve,
        Vehicle,
        read_part,
    )
    from hydrokit.rig import Line, Mode, Reading, Rig, Site, Targets, replaced
    from hydrokit.sheets import plot, render
    from hydrokit.sheets.pages import report
    from hydrokit.sheets.schematic import rig_drawing
    from hydrokit.studies import (
        Bore,
        Check,
        Comparison,
        Diagnosis,
        Draw,
        Envelope,
        Fill,
        Hosing,
        Lift,
        Limit,
        Match,
        Spread,
        Sweep,
        Wear,
        bore,
        check,
        compare,
        diagnose,
        draw,
        envelope,
        expected_readings,
        fill,
        hose,
        lift,
        limit,
        match,
        spread,
        sweep,
        wear,
    )
    from hydrokit.terms import explain
    from hydrokit.units import quantity, show, si

    __version__: str

__all__ = [
    "Answer",
    "Battery",
    "Bore",
    "CentrifugalPump",
    "Check",
    "Comparison",
    "Coupler",
    "Diagnosis",
    "DiaphragmPump",
    "Dimension",
    "Draw",
    "Elbow",
    "Envelope",
    "Fill",
    "Filter",
    "Finding",
    "Fitting",
    "FloatValve",
    "FootValve",
    "HandPump",
    "Hose",
    "HoseTail",
    "Hosing",
    "HydrokitError",
    "InputError",
    "Joint",
    "Lamp",
    "Lift",
    "Limit",
    "Line",
    "Load",
    "Match",
    "MissingExtra",
    "Mode",
    "NonReturnValve",
    "Outlet",
    "OutputError",
    "Reading",
    "Rig",
    "Site",
    "Solution",
    "SolverError",
    "Source",
    "Spread",
    "Strainer",
    "Sweep",
    "Tank",
    "Targets",
    "Tee",
    "Valve",
    "Vehicle",
    "Verdict",
    "Wear",
    "__version__",
    "bore",
    "check",
    "compare",
    "demonstration",
    "diagnose",
    "draw",
    "envelope",
    "expected_readings",
    "explain",
    "fill",
    "generic_parts",
    "hose",
    "lift",
    "limit",
    "load_pumps",
    "load_readings",
    "load_rig",
    "match",
    "part",
    "plot",
    "quantity",
    "read_part",
    "read_rig",
    "render",
    "replaced",
    "report",
    "rig_drawing",
    "save_rig",
    "show",
    "si",
    "solve",
    "speed_up",
    "spread",
    "sweep",
    "wear",
    "write_rig",
]

_NAMES_OF: Final = {
    "answers": "Answer Finding Verdict",
    "bounds": "Dimension",
    "catalogue": "generic_parts part",
    "errors": "HydrokitError InputError MissingExtra OutputError SolverError",
    "files": "demonstration load_pumps load_readings load_rig read_rig save_rig write_rig",
    "network": "Solution solve speed_up",
    "parts": "Battery CentrifugalPump Coupler DiaphragmPump Elbow Filter Fitting FloatValve FootValve HandPump"
    " Hose HoseTail Joint Lamp Load NonReturnValve Outlet Source Strainer Tank Tee Valve Vehicle read_part",
    "rig": "Line Mode Reading Rig Site Targets replaced",
    "sheets": "plot render",
    "sheets.pages": "report",
    "sheets.schematic": "rig_drawing",
    "studies": "Bore Check Comparison Diagnosis Draw Envelope Fill Hosing Lift Limit Match Spread Sweep Wear bore"
    " check compare diagnose draw envelope expected_readings fill hose lift limit match spread sweep wear",
    "terms": "explain",
    "units": "quantity show si",
}
_ROOM_OF: Final = {name: room for room, names in _NAMES_OF.items() for name in names.split()}


def __getattr__(name: str) -> object:
    from importlib import import_module

    if name == "__version__":
        from importlib.metadata import version

        value: object = version("hydrokit")
    elif name in _ROOM_OF:
        value = getattr(import_module(f"hydrokit.{_ROOM_OF[name]}"), name)
    else:
        raise AttributeError(f"module 'hydrokit' has no attribute {name!r}")
    globals()[name] = value
    return value


def __dir__() -> list[str]:
    return sorted(__all__)
