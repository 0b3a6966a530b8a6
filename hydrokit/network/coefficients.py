"""The loss of each kind of part that sits at a point, from its data."""

from __future__ import annotations

from dataclasses import dataclass
from functools import singledispatch
from typing import TYPE_CHECKING, Any

import numpy as np

from hydrokit.bounds import Mistakes
from hydrokit.laws.fittings import elbow_k, strainer_k, tee_leg_k
from hydrokit.laws.media import fit_drop, loading_resistance
from hydrokit.laws.valves import foot_valve_k, k_from_kv, non_return_k, valve_k
from hydrokit.parts import (
    Coupler,
    Elbow,
    Filter,
    Fitting,
    FootValve,
    Lamp,
    NonReturnValve,
    Part,
    Pump,
    Strainer,
    Tee,
    Valve,
)
from hydrokit.water import STANDARD_GRAVITY, water

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Real
    from hydrokit.network.values import Conditions

    Get = Callable[[str], Any]

__all__ = ["DATA_SHEET_TEMPERATURE", "Loss", "loss_of", "square_of"]

DATA_SHEET_TEMPERATURE = 293.15
"""K; of the water in a filter's data sheet where it states none. Common practice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Loss:
    """Head lost: ``square`` times flow squared plus ``linear`` times flow, once the ``cracking`` head is overcome."""

    square_forward: Real = 0.0
    square_backward: Real = 0.0
    linear: Real = 0.0
    cracking: Real = 0.0
    one_way: bool = False


def square_of(k: Real, bore: Real) -> Real:
    """Return the head per flow squared, s²/m⁵, of a loss of ``k`` velocity heads in a bore in metres."""
    return k * (8.0 / (np.pi**2 * STANDARD_GRAVITY)) / bore**4


def _both_ways(k: Real, bore: Real) -> Loss:
    square = square_of(k, bore)
    return Loss(square_forward=square, square_backward=square)


@singledispatch
def loss_of(part: Part, get: Get, conditions: Conditions) -> Loss:
    """Return the loss of a part; ``get`` reads a field of it by name, as varied."""
    raise TypeError(f"no law for the loss of a {part.kind}")


@loss_of.register(Fitting)
def _(part: Fitting, get: Get, conditions: Conditions) -> Loss:
    backward = get("k_backward")
    forward = square_of(get("k"), get("bore"))
    return Loss(
        square_forward=forward, square_backward=forward if backward is None else square_of(backward, get("bore"))
    )


@loss_of.register(Elbow)
def _(part: Elbow, get: Get, conditions: Conditions) -> Loss:
    return _both_ways(elbow_k(bore=get("bore"), shape=part.shape), get("bore"))


@loss_of.register(Tee)
def _(part: Tee, get: Get, conditions: Conditions) -> Loss:
    return _both_ways(tee_leg_k(bore=get("bore"), way=part.way), get("bore"))


@loss_of.register(Coupler)
def _(part: Coupler, get: Get, conditions: Conditions) -> Loss:
    kv = get("kv")
    return _both_ways(get("k") if kv is None else k_from_kv(kv=kv, bore=get("bore")), get("bore"))


@loss_of.register(Strainer)
def _(part: Strainer, get: Get, conditions: Conditions) -> Loss:
    return _both_ways(strainer_k(k=get("k"), blockage=get("blockage")), get("bore"))


def _stated_k(get: Get) -> Any:
    """Return K where the part states K or Kv, else None."""
    k, kv = get("k"), get("kv")
    if k is not None:
        return k
    return None if kv is None else k_from_kv(kv=kv, bore=get("bore"))


@loss_of.register(Valve)
def _(part: Valve, get: Get, conditions: Conditions) -> Loss:
    stated = _stated_k(get)
    return _both_ways(valve_k(bore=get("bore"), pattern=part.pattern) if stated is None else stated, get("bore"))


@loss_of.register(NonReturnValve)
def _(part: NonReturnValve, get: Get, conditions: Conditions) -> Loss:
    stated = _stated_k(get)
    k = non_return_k(bore=get("bore"), pattern=part.pattern) if stated is None else stated
    return Loss(
        square_forward=square_of(k, get("bore")),
        cracking=get("cracking_pressure") / conditions.weight,
        one_way=True,
    )


@loss_of.register(FootValve)
def _(part: FootValve, get: Get, conditions: Conditions) -> Loss:
    stated = get("k")
    if stated is None:
        k = foot_valve_k(bore=get("bore"), pattern=part.pattern, blockage=get("blockage"))
    else:
        k = strainer_k(k=stated, blockage=get("blockage"))
    return Loss(
        square_forward=square_of(k, get("bore")),
        cracking=get("cracking_pressure") / conditions.weight,
        one_way=True,
    )


@loss_of.register(Filter)
@loss_of.register(Lamp)
def _(part: Filter | Lamp, get: Get, conditions: Conditions) -> Loss:
    stated = get("points_temperature")
    sheet = water(DATA_SHEET_TEMPERATURE if stated is None else stated)
    viscosity, density = (float(np.ravel(each)[0]) for each in (sheet.viscosity, sheet.density))
    fit = fit_drop(points=part.points, viscosity=viscosity, density=density)
    thinner: Any = viscosity / sheet.viscosity  # what is fitted goes inversely with the liquid of the sheet
    viscous: Any = fit.viscous * thinner
    shares: Any = 1.0
    if isinstance(part, Filter):
        loading, shares = get("loading"), get("side_by_side")
        if part.end_drop is not None:
            flow, drop = part.end_drop[0]
            added = loading_resistance(fit, end_flow=flow, end_drop=drop, viscosity=viscosity, density=density)
            viscous = viscous + loading * added * thinner
        elif np.any(loading):
            mistakes = Mistakes()
            mistakes.add(
                f"{part.name or part.kind}.loading", "loading without an end_drop", "the flow and drop of a loaded element",
                'end_drop = ["10 L/min", "70 kPa"]',
            )  # fmt: skip
            mistakes.settle()
    square = fit.inertial * (density / sheet.density) / STANDARD_GRAVITY / shares**2
    linear = viscous * conditions.viscosity / conditions.weight / shares
    return Loss(square_forward=square, square_backward=square, linear=linear)


@loss_of.register(Pump)
def _(part: Pump, get: Get, conditions: Conditions) -> Loss:
    return Loss(one_way=part.displacement)
