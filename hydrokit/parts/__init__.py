"""Parts: frozen data about one thing bought, by family.

Files: one for each family; ``kinds`` lists them all by the words that a rig file uses, ``reading`` makes them from text.
"""

from __future__ import annotations

from hydrokit.parts.barriers import Filter, Lamp
from hydrokit.parts.base import Part, PointPart
from hydrokit.parts.conduits import ROUGHNESS, Hose
from hydrokit.parts.electrics import Battery
from hydrokit.parts.fittings import Coupler, Elbow, Fitting, HoseTail, Strainer, Tee
from hydrokit.parts.kinds import END_KINDS, PART_KINDS
from hydrokit.parts.pumps import SUPPLY, CentrifugalPump, DiaphragmPump, HandPump, PoweredPump, Pump
from hydrokit.parts.reading import read_part
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
    "read_part",
]
