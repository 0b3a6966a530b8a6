"""The network on heads alone: the least of the convex dual, whose slope is what does not balance at the joints.

Every line's flow is found by bracketing at the head difference across it; where lines meet, the heads follow from Newton's
method on the imbalance, each step as far as brings the dual down most.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cache
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.errors import SolverError
from hydrokit.verifying.roots import root_between

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.verifying.lines import LineLaw

__all__ = ["Balance"]

_NO_FLOW: Final = 1e-10  # m³/s: 6 µL/min; below it a rig stands still
_WANTED: Final = 1e-11  # of the largest flow, what may be left over at a joint
_ENOUGH: Final = 1e-9  # the same after so many rounds
_PATIENCE: Final = 40
_ROUNDING: Final = 8 * np.finfo(float).eps  # of the highest head: a step that is none
_LEAST_HEAD: Final = 1e-3  # m
_MOVING: Final = 1e-8  # of the largest flow: further from its bounds a line is open
_ROUNDS: Final = 300
_FARTHEST: Final = 100.0  # m; of one step
_RIDGE: Final = 1e-12  # of a joint's own conductance; keeps islands from being singular
_LEAST_RATE: Final = 1e-15  # m²/s


@dataclass(frozen=True, slots=True)
class Balanced:
    """Flows by line, m³/s, and heads by joint, m; ``told`` are the joints whose head the lines settle.

    ``grains`` are what the rounding of heads leaves open of each flow, m³/s: much only in a line that hardly resists.
    """

    flows: dict[str, float]
    grains: dict[str, float]
    heads: dict[str, float]
    told: frozenset[str]


class Balance:
    """Lines that meet at joints.

    Parameters
    ----------
    laws : mapping of line to LineLaw
    demands : mapping of joint to float
        Flow taken out at each. [m^3/s]
    """

    def __init__(self, laws: Mapping[str, LineLaw], demands: Mapping[str, float]) -> None:
        self.names, self.lines = [*laws], [*laws.values()]
        self.joints = {name: place for place, name in enumerate(demands)}
        self.demand = np.array([*demands.values()], np.float64)
        self.into: Any = np.zeros((len(self.joints), len(self.lines)))
        for place, line in enumerate(self.lines):
            for end, sign in ((line.end, 1.0), (line.start, -1.0)):
                if end in self.joints:
                    self.into[self.joints[end], place] += sign
        self.fixed = np.array([(line.fixed_start or 0.0) - (line.fixed_end or 0.0) for line in self.lines])

    def _flows(self, heads: Any) -> Any:
        drops = self.fixed - heads @ self.into
        return np.array([line.flow(float(drop)) for line, drop in zip(self.lines, drops, strict=True)])

    def _reach(self, heads: Any, way: Any) -> float:
        """Return how far along a way the dual is least: where the imbalance no longer points along it."""

        @cache
        def left(share: float) -> float:
            return float((self.into @ self._flows(heads + share * way) - self.demand) @ way)

        if left(1.0) >= 0.0:
            return 1.0
        return root_between(left, 0.0, 1.0, xtol=1e-15, rtol=0.05)

    def _way(self, rates: Any, excess: Any) -> Any:
        """Return Newton's step of the heads, m."""
        matrix = self.into * rates @ self.into.T
        own = np.diag(matrix)
        matrix = matrix + np.diag(_RIDGE * own + np.where(own < _LEAST_RATE, _LEAST_RATE, 0.0))
        scale = 1.0 / np.sqrt(np.diag(matrix))
        way = scale * np.linalg.solve(matrix * scale * scale[:, None], excess * scale)
        if not excess @ way > 0.0:  # rounding: down the slope itself
            way = excess / np.diag(matrix)
        return way * min(1.0, _FARTHEST / max(float(np.abs(way).max()), 1e-300))

    def solved(self, begin: Mapping[str, float] | None = None) -> Balanced:
        """Return the flows at which every joint balances.

        The last step is taken on the flows: heads, as numbers, are too coarse for lines that hardly resist.

        Parameters
        ----------
        begin : mapping of joint to float, optional
            Heads to begin from. [m]

        Raises
        ------
        SolverError
            If they are not found.
        """
        known = [head for line in self.lines for head in (line.fixed_start, line.fixed_end) if head is not None]
        begin = begin or dict.fromkeys(self.joints, float(np.mean(known)))
        heads = np.array([begin[name] for name in self.joints])
        if not self.joints:
            return self._told(heads, self._flows(heads), np.zeros(len(self.lines)))
        left, highest = np.inf, max(np.abs(known).max(), _LEAST_HEAD)
        for turn in range(_ROUNDS):
            flows = self._flows(heads)
            excess = self.into @ flows - self.demand
            rates = np.array([line.conductance(float(flow)) for line, flow in zip(self.lines, flows, strict=True)])
            way = self._way(rates, excess)
            left = float(np.abs(excess).max() / max(np.abs(flows).max(), np.abs(self.demand).max(), _NO_FLOW))
            grain = _ROUNDING * max(np.abs(heads).max(), highest)
            if left <= (_WANTED if turn < _PATIENCE else _ENOUGH) or np.abs(way).max() <= grain:
                return self._told(heads, flows - rates * (way @ self.into), rates * grain)
            heads = heads + self._reach(heads, way) * way
        raise SolverError(f"the second method did not settle: {left:.1g} of the largest flow is left over at a joint")

    def _told(self, heads: Any, flows: Any, grains: Any) -> Balanced:
        """Return flows and heads, and which heads lines with moving water join to one that is fixed."""
        told: set[str] = {""}
        least = _MOVING * max(np.abs(flows).max(), _NO_FLOW)
        pairs = [
            tuple(end if end in self.joints else "" for end in (line.start, line.end))
            for line, flow in zip(self.lines, flows, strict=True)
            if line.low + least < flow < line.high - least
        ]
        while more := {end for pair in pairs if told & set(pair) for end in pair} - told:
            told |= more
        return Balanced(
            dict(zip(self.names, flows.tolist(), strict=True)),
            dict(zip(self.names, grains.tolist(), strict=True)),
            dict(zip(self.joints, heads.tolist(), strict=True)),
            frozenset(told - {""}),
        )
