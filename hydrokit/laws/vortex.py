r"""Vortices: how deep an intake or a tank's outlet must lie so that it draws no air.

References
----------
.. [hi98] ANSI/HI 9.8, Rotodynamic pumps for pump intake design: least submergence (from memory).

Made for large intakes in sumps; for a strainer or outlet of a centimetre or two it is an extrapolation. Swirl, a sloping
floor or a tank that moves ask for more; a plate or cross over the mouth asks for less.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require
from hydrokit.laws.elementwise import plain
from hydrokit.laws.friction import velocity
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = ["submergence_wanted"]


@as_annotated
def submergence_wanted(*, flow: Real, bore: Real) -> Real:
    r"""Return the least depth of water over an inlet.

    .. math:: \frac{S}{D} = 1 + 2.3 \, \mathrm{Fr}, \qquad \mathrm{Fr} = \frac{v}{\sqrt{g D}}

    Parameters
    ----------
    flow : float or array, shape (n,)
        Drawn in, 0 or above. [m^3/s]
    bore : float or array, shape (n,)
        Of the mouth: of a bell the outside, of a plain outlet its bore. [m]

    Returns
    -------
    float or array, shape (n,)
        Over the mouth's plane if it looks down, over its centre if it looks sideways. [m]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [hi98]_. A strainer spreads the flow over its whole surface: take its outer diameter.

    Examples
    --------
    8 L/min into a 19 mm outlet, in millimetres:

    >>> submergence_wanted(flow=8.0 / 60e3, bore=0.019) * 1e3
    67.
    """
    require("flow", flow, 0.0, 1e4, "m^3/s")
    froude = np.asarray(velocity(flow=flow, bore=bore)) / np.sqrt(STANDARD_GRAVITY * np.asarray(bore))
    return plain(np.asarray(bore) * (1.0 + 2.3 * froude))
