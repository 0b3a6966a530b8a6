r"""Tees whose loss depends on how the flow splits or joins.

K belongs to the velocity of the combined flow in the run's bore, and is a drop of total head from the leg where the
water comes in to the leg where it leaves. It may be negative: fast water in the run drags slow water out of the branch.

References
----------
.. [crane] Crane Co., Flow of Fluids through Valves, Fittings, and Pipe, Technical Paper No. 410, 2009, chapter 2,
   converging and diverging tees and wyes; as carried in ``fluids``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, NamedTuple, TypeAlias, get_args

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require, require_word
from hydrokit.laws.elementwise import elementwise, plain
from hydrokit.laws.fittings import require_bore

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Real

__all__ = ["TeeFlow", "TeeK", "tee_k"]

TeeFlow: TypeAlias = Literal["joining", "dividing"]


class TeeK(NamedTuple):
    """K of both ways through a tee, on the combined flow in the run's bore."""

    run: Real
    branch: Real


@as_annotated
def tee_k(
    *,
    run_flow: Real,
    branch_flow: Real,
    run_bore: Real,
    branch_bore: Real,
    flow: TeeFlow,
    angle: float = np.pi / 2.0,
) -> TeeK:
    """Return K of the run and of the branch of a tee or wye.

    Parameters
    ----------
    run_flow : float or array, shape (n,)
        In the straight leg, before it meets or after it has left the branch; 0 or more. [m^3/s]
    branch_flow : float or array, shape (n,)
        In the branch; 0 or more. [m^3/s]
    run_bore, branch_bore : float or array, shape (n,)
        The branch is no wider than the run. [m]
    flow : {"joining", "dividing"}
        Whether the branch joins the run or leaves it.
    angle : float, default pi / 2
        Between branch and run; 30° to 90°. [rad]

    Returns
    -------
    TeeK
        ``run`` and ``branch``, each on the velocity of both flows together in the run's bore. [-]

    Raises
    ------
    RangeError
        If a flow is negative, a bore impossible, the branch wider than the run, or the angle outside.
    InputError
        If ``flow`` is not one of the two words.

    Notes
    -----
    Source: [crane]_ through ``fluids``. At rest the split is taken as none in the branch; the loss is zero anyway.

    Examples
    --------
    >>> tee_k(run_flow=0.0189, branch_flow=0.0063, run_bore=0.1023, branch_bore=0.1023, flow="joining")
    TeeK(run=0.325, branch=-0.042)
    """
    require("run_flow", run_flow, 0.0, 1e6, "m^3/s")
    require("branch_flow", branch_flow, 0.0, 1e6, "m^3/s")
    require_bore("run_bore", run_bore)
    require_bore("branch_bore", branch_bore)
    ratio = plain(np.asarray(branch_bore) / run_bore)
    require("branch_bore / run_bore", ratio, 0.0, 1.0)
    require("angle", angle, np.deg2rad(30.0) - 1e-9, np.pi / 2.0 + 1e-9, "rad")
    require_word("flow", flow, get_args(TeeFlow))
    from fluids import fittings

    run_law, branch_law = {
        "joining": (fittings.K_run_converging_Crane, fittings.K_branch_converging_Crane),
        "dividing": (fittings.K_run_diverging_Crane, fittings.K_branch_diverging_Crane),
    }[flow]
    total = np.asarray(run_flow) + branch_flow
    share = np.divide(branch_flow, total, out=np.zeros_like(total, dtype=np.float64), where=total > 0.0)
    degrees = round(float(np.rad2deg(angle)), 9)  # the law jumps at 60°: 60° in radians must come back as 60

    def scaled(law: Callable[..., float]) -> Real:
        return elementwise(lambda width, part: law(1.0, width, 1.0 - part, part, degrees), ratio, plain(share))

    return TeeK(run=scaled(run_law), branch=scaled(branch_law))
