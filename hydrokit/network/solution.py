"""A solved network, and the one way to get it."""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require_word
from hydrokit.network.build import build_plan
from hydrokit.network.islands import standing_heads
from hydrokit.network.supplies import solve_fed
from hydrokit.network.walk import Walk, walk

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy.typing as npt

    from hydrokit.bounds import Array, Real
    from hydrokit.network.flows import Flows
    from hydrokit.network.plan import Plan
    from hydrokit.rig import Rig

__all__ = ["Solution", "solve", "solve_plan"]


@dataclass(frozen=True, repr=False)
class Solution:
    """Flows and heads of every variant, with how well they satisfy mass and energy.

    Parameters
    ----------
    plan : Plan
        What was solved.
    flows : Flows
        Rows are variants; see there.

    Examples
    --------
    >>> from hydrokit.files import hand_check
    >>> solved = solve(hand_check())
    >>> solved.variants
    1
    """

    plan: Plan
    flows: Flows

    def __repr__(self) -> str:
        variants = "1 variant" if self.variants == 1 else f"{self.variants} variants"
        return f"<Solution of {self.plan.rig.title!r}: {variants}, lines {', '.join(self.plan.layout.lines)}>"

    @cached_property
    def walk(self) -> Walk:
        """Head, pressures, velocity and Reynolds number at every station."""
        return walk(self.plan, self.flows.flow, self.heads)

    @property
    def variants(self) -> int:
        """How many variants were solved."""
        return len(self.flows.flow)

    def flow(self, line: str) -> Array:
        """Return the flow of a line in every variant, shape (n,), m³/s; positive from its start to its end.

        Parameters
        ----------
        line : str
            Its name.

        Returns
        -------
        array, shape (n,)
            [m^3/s]

        Raises
        ------
        InputError
            If there is none of that name; tells the nearest.

        Examples
        --------
        >>> from hydrokit.files import hand_check
        >>> solved = solve(hand_check())
        >>> solved.flow("intake") * 60e3
        array([7.38])
        """
        require_word("line", line, self.plan.layout.lines)
        return self.flows.flow[:, self.plan.layout.lines.index(line)]

    @cached_property
    def heads(self) -> Array:
        """Total head at every joint, shape (n, J), m; NaN where closed lines cut it off from all others."""
        return standing_heads(self.plan, self.flows)

    def head(self, joint: str) -> Array:
        """Return the total head at a joint in every variant, shape (n,), m; NaN where it is cut off from all others.

        Parameters
        ----------
        joint : str
            Its name.

        Returns
        -------
        array, shape (n,)
            [m]

        Raises
        ------
        InputError
            If there is none of that name; tells the nearest.

        Examples
        --------
        >>> from hydrokit.files import demonstration
        >>> solve(demonstration()).head("split")
        array([2.39])
        """
        require_word("joint", joint, self.plan.layout.joints)
        heads: Array = self.heads[:, self.plan.layout.joints.index(joint)]
        return heads

    @property
    def joined(self) -> npt.NDArray[np.bool_]:
        """True for joints (n, J) whose head is known; elsewhere closed lines cut them off and nothing tells it."""
        known: npt.NDArray[np.bool_] = ~np.isnan(self.heads)
        return known


def solve_plan(plan: Plan) -> Solution:
    """Solve a plan; see :func:`solve`."""
    return Solution(*solve_fed(plan))


@as_annotated
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

    Examples
    --------
    A batch of two bores, flows in L/min:

    >>> from hydrokit.files import hand_check
    >>> bores = {"lines.intake.delivery-hose.bore": np.array([0.010, 0.0125])}
    >>> solve(hand_check(), variation=bores).flow("intake") * 60e3
    array([7.24, 7.38])
    """
    return solve_plan(build_plan(rig, mode, variation))
