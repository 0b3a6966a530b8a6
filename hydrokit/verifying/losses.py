"""What each part costs other than wall friction, from ``fluids`` and the part's own data, one number at a time.

References
----------
Crane Co., Flow of Fluids through Valves, Fittings and Pipe, Technical Paper 410, appendix A: lengths in bores, and valves
as ``fluids`` has them.
"""

from __future__ import annotations

import math
from typing import Any, Final

import numpy as np

from hydrokit.parts import Coupler, Elbow, Filter, Fitting, FootValve, Lamp, Strainer, Tee
from hydrokit.water import STANDARD_GRAVITY, water

__all__ = ["change_of_bore", "k_of", "medium", "square"]

_ELBOWS: Final = {"90": 30.0, "45": 16.0, "90 swept": 14.0, "180": 50.0}
_TEES: Final = {"run": 20.0, "branch": 60.0}
_KV_PRESSURE: Final = 1e5  # Pa
_KV_DENSITY: Final = 999.1  # kg/m³: the water for which Kv is stated
_SHEET_TEMPERATURE: Final = 293.15  # K


def square(k: float, bore: float) -> float:
    """Return head per flow squared, s²/m⁵, from h = K v² / 2 g."""
    return k / (2.0 * STANDARD_GRAVITY * (math.pi / 4.0 * bore**2) ** 2)


def change_of_bore(before: float, after: float) -> tuple[float, float]:
    """Return head per flow squared, forward and backward, where one bore follows another."""
    from fluids.fittings import contraction_sharp, diffuser_sharp

    if before == after:
        return 0.0, 0.0
    small, large = min(before, after), max(before, after)
    shrink = square(float(contraction_sharp(large, small, method="Crane")), small)
    grow = square(float(diffuser_sharp(small, large)), small)
    return (shrink, grow) if after < before else (grow, shrink)


def _valve_k(word: str, bore: float) -> float:
    from fluids import fittings as crane

    found = {
        "ball": lambda: crane.K_ball_valve_Crane(bore, bore, 0.0),
        "gate": lambda: crane.K_gate_valve_Crane(bore, bore, 0.0),
        "globe": lambda: crane.K_globe_valve_Crane(bore, bore),
        "angle": lambda: crane.K_angle_valve_Crane(bore, bore, style=1),
        "butterfly": lambda: crane.K_butterfly_valve_Crane(bore, style=0),
        "spring": lambda: crane.K_foot_valve_Crane(bore, style=0),
        "swing": lambda: crane.K_swing_check_valve_Crane(bore, angled=True),
        "lift": lambda: crane.K_lift_check_valve_Crane(bore, bore, angled=False),
        "poppet": lambda: crane.K_foot_valve_Crane(bore, style=0),
        "hinged": lambda: crane.K_foot_valve_Crane(bore, style=1),
    }
    return float(found[word]())


def _crane_k(part: Any) -> float:
    from fluids.friction import ft_Crane

    if isinstance(part, Elbow):
        return float(_ELBOWS[part.shape] * ft_Crane(part.bore))
    if isinstance(part, Tee):
        return float(_TEES[part.way] * ft_Crane(part.bore))
    return _valve_k(part.pattern, part.bore)


def k_of(part: Any) -> tuple[float, float]:
    """Return K, forward and backward, of a part that has one."""
    if isinstance(part, Fitting):
        return part.k, part.k if part.k_backward is None else part.k_backward
    stated, kv = getattr(part, "k", None), getattr(part, "kv", None)
    if kv is not None and (stated is None or isinstance(part, Coupler)):
        k = 2.0 * (_KV_PRESSURE / _KV_DENSITY) * (math.pi / 4.0 * part.bore**2 / kv) ** 2
    else:
        k = _crane_k(part) if stated is None else stated
    if isinstance(part, Strainer | FootValve):
        k /= (1.0 - part.blockage) ** 2
    return k, k


def medium(part: Filter | Lamp) -> tuple[float, float]:
    """Return a and b, 1/m³ and 1/m⁴, of drop = a μ Q + b ρ Q², fitted to the part's points; loading included."""
    from scipy.optimize import nnls

    temperature = _SHEET_TEMPERATURE if part.points_temperature is None else part.points_temperature
    sheet = water(temperature)
    viscosity, density = float(sheet.viscosity), float(sheet.density)
    flow, drop = np.array([point for point in part.points if point != (0.0, 0.0)], np.float64).T
    terms = np.column_stack([viscosity * flow / drop, density * flow**2 / drop])
    if np.ptp(flow) <= 1e-9 * flow.max():
        terms = terms[:, :1]
    scale = terms.max(axis=0)
    found = nnls(terms / scale, np.ones(len(flow)))[0] / scale
    a, b = float(found[0]), float(found[1]) if len(found) > 1 else 0.0
    if not isinstance(part, Filter):
        return a, b
    if part.end_drop is not None:
        end_flow, end_drop = part.end_drop[0]
        clean = a * viscosity * end_flow + b * density * end_flow**2
        a += part.loading * (end_drop - clean) / (viscosity * end_flow)
    return a / part.side_by_side, b / part.side_by_side**2
