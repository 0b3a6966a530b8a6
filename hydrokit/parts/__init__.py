"""Parts: frozen data about one thing bought, by family.

``PART_KINDS`` and ``END_KINDS`` list every kind by the word that a rig file uses for it.
"""

from __future__ import annotations

from typing import Final

from hydrokit.parts.barriers import Filter, Lamp
from hydrokit.parts.base import Part, PointPart
from hydrokit.parts.conduits import ROUGHNESS, Hose
from hydrokit.parts.electrics import Battery
from hydrokit.parts.fittings import Coupler, Elbow, Fitting, HoseTail, Strainer, Tee
from hydrokit.parts.pumps import SUPPLY, CentrifugalPump, DiaphragmPump, HandPump, PoweredPump, Pump
from hydrokit.parts.stores import End, Joint, Outlet, Source, Tank
from hydrokit.parts.valves import FloatValve, FootValve, NonReturnValve, Valve
from hydrokit.parts.vehicles import Load, Vehicle

__all__ = [
    "END_KINDS",
    "PART_KINDS",
    "ROUGHNESS",
    "SUPPLY",
    "Battery",
    "CentrifugalPump",
    "Coupler",
    "DiaphragmPump",
    "Elbow",
    "End",
    "Filter",
    "Fitting",
    "FloatValve",
    "FootValve",
    "HandPump",
    "Hose",
    "HoseTail",
    "Joint",
    "Lamp",
    "Load",
    "NonReturnValve",
    "Outlet",
    "Part",
    "PointPart",
    "PoweredPump",
    "Pump",
    "Source",
    "Strainer",
    "Tank",
    "Tee",
    "Valve",
    "Vehicle",
]

PART_KINDS: Final[dict[str, type[Part]]] = {
    cls.kind: cls
    for cls in (
        Strainer,
        FootValve,
        Hose,
        HoseTail,
        Coupler,
        Elbow,
        Tee,
        Fitting,
        Valve,
        NonReturnValve,
        FloatValve,
        CentrifugalPump,
        DiaphragmPump,
        HandPump,
        Filter,
        Lamp,
    )
}

END_KINDS: Final[dict[str, type[End]]] = {cls.kind: cls for cls in (Source, Tank, Outlet, Joint)}
