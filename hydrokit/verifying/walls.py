"""Friction along one hose, from ``fluids`` and nothing else, one flow at a time.

Between Reynolds numbers of 2000 and 4000, where ``fluids`` jumps, a smooth step leads from one of its values to the other;
a stated friction factor holds down to a Reynolds number of 10 and goes in proportion to flow below.
"""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Final, TypeAlias

from hydrokit.parts import Hose, HoseTail
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from collections.abc import Callable

__all__ = ["LAMINAR_END", "REST", "TURBULENT_START", "Law", "friction"]

Law: TypeAlias = "Callable[[float], float]"

LAMINAR_END: Final = 2000.0
TURBULENT_START: Final = 4000.0
REST: Final = 10.0
"""Reynolds number below which a loss that goes with the square of the flow goes on in proportion to it."""
_TAIL_ROUGHNESS: Final = 1.5e-6  # m; a moulded spigot is as smooth as drawn tubing


def _factor(number: float, rough: float) -> float:
    from fluids.friction import Clamond, friction_factor

    if number >= TURBULENT_START:
        return float(friction_factor(Re=number, eD=rough))
    laminar = 64.0 / number
    if number <= LAMINAR_END:
        return laminar
    along = (number - LAMINAR_END) / (TURBULENT_START - LAMINAR_END)
    turbulent = float(Clamond(number, rough))  # what friction_factor gives from Re 2040 on
    return laminar + (turbulent - laminar) * along**2 * (3.0 - 2.0 * along)


def friction(part: Hose | HoseTail, viscosity: float) -> Law:
    """Return the law of the head lost along a hose, m, against the size of its flow, m³/s; kinematic viscosity in m²/s."""
    area, bore = math.pi / 4.0 * part.bore**2, part.bore
    if isinstance(part, HoseTail):
        rough, stated, times = _TAIL_ROUGHNESS / bore, None, 1.0
    else:
        rough, stated, times = part.wall_roughness / bore, part.friction_factor, part.friction_multiplier

    def law(flow: float) -> float:
        speed = flow / area
        number = speed * bore / viscosity
        if number == 0.0:
            return 0.0
        factor = _factor(number, rough) if stated is None else stated * max(1.0, REST / number)
        return times * factor * part.length / bore * speed**2 / (2.0 * STANDARD_GRAVITY)

    return law
