"""Solids on their way through the filters: how cloudy each one's water is, and how fast it fills up.

The solids of raw water are its turbidity times a ratio. Each filter keeps its share back and passes the rest on; where
lines meet, waters mix in proportion to their flow. A tank is taken to hold the dirtiest water that any line brings it, and
nothing settles in it. A filter that does not state what it keeps back lets everything through to those behind it.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.laws.media import BlockingLaw, fit_drop, loading_resistance
from hydrokit.network.coefficients import DATA_SHEET_TEMPERATURE
from hydrokit.parts import Filter, Source, Tank
from hydrokit.water import water

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network import Element
    from hydrokit.rules.state import State

__all__ = ["LAWS", "Arriving", "arriving", "end_ratio", "raw_solids"]

_SOLIDS_PER_NTU: Final = 1.5e-3
"""kg/m³ of suspended solids for each NTU of natural water, where the site states none. Source: common practice, no source."""

_SOLIDS_BAND: Final = (0.5e-3, 3.0e-3)
"""kg/m³; within which the ratio of a site that states none is taken to lie. Source: common practice, no source."""

LAWS: Final[dict[str, tuple[BlockingLaw, BlockingLaw]]] = {
    "surface": ("cake", "cake"),
    "depth": ("intermediate", "standard"),
    "unknown": ("cake", "standard"),
}
"""By kind of element, the filtration law under which its drop rises earliest, and that under which it rises latest."""


@dataclass(frozen=True, slots=True)
class Arriving:
    """The solids that reach each filter over those of raw water, (n, F), and how water passes it, m³/s, (n, F).

    ``brought`` and ``delivered`` are the flows of solids out of sources and tanks and into tanks and outlets, over those
    of a cubic metre of raw water, m³/s, (n,).
    """

    share: Array
    flow: Array
    brought: Array
    delivered: Array


def _retained(state: State, element: Element) -> Any:
    """Return the share of solids that a filter keeps back, nothing where it states none."""
    stated = state.of(element, "retains")
    return 0.0 if stated is None else stated


def raw_solids(state: State) -> Array | None:
    """Return the least, the likely and the most solids of the raw water, shape (3, n), kg/m³; None without its turbidity.

    All three are one where the site states the ratio without a tolerance.
    """
    site, values = state.rig.site, state.plan.values
    turbidity, ratio = values.of("site", site, "turbidity"), values.of("site", site, "solids_per_ntu")
    if turbidity is None:
        return None
    cloudy = state.full(turbidity)
    if ratio is None:
        return np.array([_SOLIDS_BAND[0], _SOLIDS_PER_NTU, _SOLIDS_BAND[1]])[:, None] * cloudy
    likely, half = state.full(ratio), state.rig.tolerances.get("site.solids_per_ntu", 0.0)
    return np.stack([np.maximum(likely - half, 0.0), likely, likely + half]) * cloudy


def end_ratio(part: Filter) -> float:
    """Return the resistance of a filter at its end drop over that when new; 1 where no end drop is stated."""
    if part.end_drop is None:
        return 1.0
    sheet = water(DATA_SHEET_TEMPERATURE if part.points_temperature is None else part.points_temperature)
    liquid = {"viscosity": float(sheet.viscosity), "density": float(sheet.density)}
    fit = fit_drop(points=part.points, **liquid)
    flow, drop = part.end_drop[0]
    added = loading_resistance(fit, end_flow=flow, end_drop=drop, **liquid)
    if fit.viscous > 0.0:
        return 1.0 + added / fit.viscous
    return drop / (fit.inertial * liquid["density"] * flow**2)


def _dirtiest(state: State) -> dict[str, Array]:
    """Return the most solids that any way of the drawing brings each end, over those of raw water, (n,); 1 where none does."""
    ends = state.rig.ends()
    found = {name: state.full(0.0 if isinstance(end, Source) and end.treated else 1.0) for name, end in ends.items()}
    passed = [_passed(state, number) for number in range(len(state.rig.lines))]
    fed = {line.end for line in state.rig.lines.values() if not isinstance(ends[line.end], Source)}
    for _ in range(len(state.rig.lines) + 1):
        before = dict(found)
        for name in fed:
            brought = [
                before[line.start] * share
                for line, share in zip(state.rig.lines.values(), passed, strict=True)
                if line.end == name
            ]
            found[name] = np.max(brought, axis=0)
        if all(np.array_equal(found[name], before[name]) for name in fed):
            break
    return found


def _passed(state: State, number: int) -> Array:
    """Return the share of solids that all filters of a line let through, shape (n,)."""
    share = state.full(1.0)
    for index in state.own[number]:
        element = state.plan.elements[index]
        if isinstance(element.part, Filter):
            share = share * (1.0 - _retained(state, element))
    return share


class _Spread:
    """Solids spread over the open lines with the water, all over those of raw water."""

    def __init__(self, state: State) -> None:
        self.state = state
        flow = state.solution.flows.flow
        self.flow = np.where(np.abs(flow) > 1e-9, flow, 0.0)
        self.lines = [*state.rig.lines.values()]
        ends, dirtiest = state.rig.ends(), _dirtiest(state)
        self.fixed = {name for name, end in ends.items() if isinstance(end, (Source, Tank))}
        self.share = {name: dirtiest[name] if name in self.fixed else state.full(1.0) for name in ends}

    def settle(self) -> None:
        for _ in range(len(self.lines) + 1):
            before = self.share
            self.share = {
                name: each if name in self.fixed else self._mixed(name, before) for name, each in before.items()
            }
            if all(np.array_equal(self.share[name], before[name]) for name in before):
                return

    def _mixed(self, name: str, before: dict[str, Array]) -> Array:
        solids, water_in = np.zeros(self.state.variants), np.zeros(self.state.variants)
        for number, line in enumerate(self.lines):
            for end, start, sense in ((line.end, line.start, 1.0), (line.start, line.end, -1.0)):
                if end == name:
                    there = np.maximum(sense * self.flow[:, number], 0.0)
                    water_in = water_in + there
                    solids = solids + there * self.along(number, before[start], backward=sense < 0.0)[1]
        return np.divide(solids, water_in, out=np.array(before[name]), where=water_in > 0.0)

    def along(self, number: int, share: Array, *, backward: bool) -> tuple[dict[int, Array], Array]:
        """Return what reaches each filter of a line, by its index, and what leaves the line."""
        own = self.state.own[number]
        met: dict[int, Array] = {}
        for index in reversed(own) if backward else own:
            element = self.state.plan.elements[index]
            if isinstance(element.part, Filter):
                met[index] = share
                share = share * (1.0 - _retained(self.state, element))
        return met, share

    def into(self, number: int) -> tuple[dict[int, Array], Array]:
        """Return what reaches each filter of a line whichever way its water runs, and what leaves it."""
        line, forward = self.lines[number], self.flow[:, number] >= 0.0
        ahead, out = self.along(number, self.share[line.start], backward=False)
        back, out_back = self.along(number, self.share[line.end], backward=True)
        return {index: np.where(forward, ahead[index], back[index]) for index in ahead}, np.where(
            forward, out, out_back
        )


def arriving(state: State, filters: list[int]) -> Arriving:
    """Return the solids that reach some filters, and how they pass the whole rig.

    Parameters
    ----------
    state : State
    filters : list of int
        Their indices among the plan's elements.
    """
    spread = _Spread(state)
    spread.settle()
    met: dict[int, Array] = {}
    brought, delivered = np.zeros(state.variants), np.zeros(state.variants)
    joints = set(state.plan.layout.joints)
    for number, line in enumerate(spread.lines):
        found, out = spread.into(number)
        met |= found
        flow = spread.flow[:, number]
        begins = np.where(flow >= 0.0, line.start not in joints, line.end not in joints)
        ends = np.where(flow >= 0.0, line.end not in joints, line.start not in joints)
        first = np.where(flow >= 0.0, spread.share[line.start], spread.share[line.end])
        brought = brought + np.abs(flow) * first * begins
        delivered = delivered + np.abs(flow) * out * ends
    shape = (state.variants, len(filters))
    share = np.stack([met[index] for index in filters], axis=1) if filters else np.zeros(shape)
    flow = np.abs(spread.flow[:, [state.line_at(index) for index in filters]]) if filters else np.zeros(shape)
    return Arriving(share, flow, brought, delivered)
