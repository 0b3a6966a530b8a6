"""A solved network, and the one way to get it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.network.build import build_plan
from hydrokit.network.newton import Flows, solve_flows
from hydrokit.network.walk import Walk, walk

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy.typing as npt

    from hydrokit.bounds import Array, Real
    from hydrokit.network.plan import Plan
    from hydrokit.rig import Rig

__all__ = ["Solution", "solve", "solve_plan"]


@dataclass(frozen=True)
class Solution:
    """Flows and heads of every variant, with how well they satisfy mass and energy.

    Parameters
    ----------
    plan : Plan
        What was solved.
    flows : Flows
        Rows are variants; see there.
    """

    plan: Plan
    flows: Flows

    @cached_property
    def walk(self) -> Walk:
        """Head, pressures, velocity and Reynolds number at every station."""
        return walk(self.plan, self.flows, self.joined)

    @property
    def variants(self) -> int:
        """How many variants were solved."""
        return len(self.flows.flow)

    def flow(self, line: str) -> Array:
        """Return the flow of a line in every variant, shape (n,), m³/s; positive from its start to its end."""
        return self.flows.flow[:, self.plan.layout.lines.index(line)]

    def head(self, joint: str) -> Array:
        """Return the total head at a joint in every variant, shape (n,), m; NaN where it is cut off from all others."""
        place = self.plan.layout.joints.index(joint)
        return np.where(self.joined[:, place], self.flows.head[:, place], np.nan)

    @cached_property
    def joined(self) -> npt.NDArray[np.bool_]:
        """True for joints (n, J) that open lines join to an end of known head; elsewhere the head means nothing."""
        layout = self.plan.layout
        count = len(layout.joints)
        reached = np.zeros((self.variants, count + 1), np.bool_)
        reached[:, count] = True
        carries = ~self.flows.held
        ends = np.concatenate([layout.start, layout.end])
        order = np.argsort(ends, kind="stable")
        nodes, begins = np.unique(ends[order], return_index=True)
        while True:
            either = carries & (reached[:, layout.start] | reached[:, layout.end])
            more = np.logical_or.reduceat(np.tile(either, 2)[:, order], begins, axis=1) & ~reached[:, nodes]
            if not more.any():
                return reached[:, :count]
            reached[:, nodes] |= more


def solve_plan(plan: Plan) -> Solution:
    """Solve a plan; see :func:`solve`."""
    return Solution(plan, solve_flows(plan))


def solve(rig: Rig, mode: str | None = None, variation: Mapping[str, Real] | None = None) -> Solution:
    """Return flows and heads of a rig in one mode, for every variant at once.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    variation : mapping of address to float or array, shape (n,), optional
        Values that stand in front of the rig's own, SI.

    Returns
    -------
    Solution
        With residuals of mass and energy, and the number of steps, for each variant.

    Raises
    ------
    InputError
        If a mode or an address is unknown or a value is not possible.
    NetworkError
        If the lines cannot satisfy what is asked of them.
    SolverError
        If a variant does not settle; no unconverged answer is returned.
    """
    return solve_plan(build_plan(rig, mode, variation))
