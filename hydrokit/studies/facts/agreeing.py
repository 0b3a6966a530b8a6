"""Whether another method finds the same flows and heads."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

from hydrokit.bounds import Dimension, Spec
from hydrokit.errors import SolverError
from hydrokit.network.tolerances import STANDSTILL

if TYPE_CHECKING:
    from collections.abc import Iterable, Mapping

    from hydrokit.network import Solution
    from hydrokit.verifying import Again

__all__ = ["Agreement", "agreement"]

_AGREED: Final = 1e-6
"""Share of the largest flow or head by which two methods may differ."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Agreement:
    """How near a second method comes to the first.

    Parameters
    ----------
    method : str
        How the second one finds flows and heads.
    flow_difference, head_difference : float or None
        Largest difference beyond the rounding of heads, over the largest flow and over the largest head; None where nothing
        could be compared. [-]
    flow_place, head_place : str
        Line and joint at which it is so large; empty where nothing could be compared.
    unverified : tuple of str
        What the second method cannot tell.
    """

    method: str
    flow_difference: Annotated[float | None, Spec(Dimension.NUMBER, "over the largest flow")]
    flow_place: str
    head_difference: Annotated[float | None, Spec(Dimension.NUMBER, "over the largest head")]
    head_place: str
    unverified: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class _Difference:
    """One place, what both methods find there, and how far apart that is, as a share of the largest; worst last."""

    share: float
    place: str
    first: float
    second: float

    def told(self, what: str, unit: str) -> str:
        return (
            f"internal fault: two methods disagree on the {what} of {self.place}: {self.first:.9g} {unit} by the first,"
            f" {self.second:.9g} {unit} by the second, {self.share:.2g} of the largest apart; no answer is given"
        )


def _difference(place: str, first: float, second: float, size: float, grain: float = 0.0) -> _Difference:
    """Return a difference beyond its grain; what is no number is infinitely far away."""
    apart = abs(first - second)
    return _Difference(math.inf if math.isnan(apart) else max(apart - grain, 0.0) / size, place, first, second)


def _worst(differences: Iterable[_Difference]) -> _Difference | None:
    return max(differences, key=lambda each: each.share, default=None)


def _compared(solution: Solution, again: Again) -> tuple[_Difference | None, _Difference | None]:
    largest = max(*map(abs, again.flows.values()), STANDSTILL)
    found = {name: float(solution.flow(name)[0]) for name in again.flows}
    still = largest <= STANDSTILL and not any(found.values())  # rest by the first is no flow to speak of by the second
    flows = _worst(
        _difference(f"line {name}", found[name], flow, largest, STANDSTILL if still else again.grains[name])
        for name, flow in again.flows.items()
    )
    heads = _worst(
        _difference(f"joint {name}", float(solution.head(name)[0]), head, again.size)
        for name, head in again.heads.items()
    )
    return flows, heads


def agreement(solution: Solution, changed: Mapping[str, float], also: Iterable[str] = ()) -> Agreement:
    """Return how near a second method comes to a solution of one variant.

    Parameters
    ----------
    solution : Solution
    changed : mapping of address to float
        Values that stood in front of the rig's own. SI.
    also : iterable of str
        What the study tells that rests on more than flows and heads.

    Raises
    ------
    SolverError
        If the two differ by more than a millionth of the largest flow or head: one of them is wrong.
    """
    from hydrokit.verifying import solved_again  # whole rooms that only who asks for this needs

    plan = solution.plan
    try:
        again = solved_again(plan.rig, plan.mode, changed)
    except SolverError as error:
        return Agreement(
            method="", flow_difference=None, flow_place="", head_difference=None, head_place="",
            unverified=(f"flows and heads; {error}", *also),
        )  # fmt: skip
    flows, heads = _compared(solution, again)
    for difference, what, unit in ((flows, "flow", "m³/s"), (heads, "head", "m")):
        if difference is not None and difference.share > _AGREED:
            raise SolverError(difference.told(what, unit))
    cut_off = [f"the head at joint {name}, which lines at rest cut off" for name in again.untold]
    return Agreement(
        method=again.method,
        flow_difference=None if flows is None else flows.share,
        flow_place="" if flows is None else flows.place,
        head_difference=None if heads is None else heads.share,
        head_place="" if heads is None else heads.place,
        unverified=(*cut_off, *also),
    )
