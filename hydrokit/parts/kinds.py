"""Every kind of part and of end, by the word that a rig file uses for it."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.parts.barriers import Filter, Lamp
from hydrokit.parts.conduits import Hose
from hydrokit.parts.fittings import Coupler, Elbow, Fitting, HoseTail, Strainer, Tee
from hydrokit.parts.pumps import CentrifugalPump, DiaphragmPump, HandPump
from hydrokit.parts.stores import End, Joint, Outlet, Source, Tank
from hydrokit.parts.valves import FloatValve, FootValve, NonReturnValve, Valve

if TYPE_CHECKING:
    from hydrokit.parts.base import Part

__all__ = ["END_KINDS", "PART_KINDS"]

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
