r"""The method of the steps: third order, three implicit stages that share one coefficient, stiffly accurate, L-stable.

It damps the stiff levelling of two tanks through a short balance line, and a step ends on a stage, so that levels and
flows agree there. The stages end at the shares :math:`c` of the step; every coefficient follows from :math:`\gamma`,
which makes the method L-stable, from :math:`c_3` and from the last weight of the companion of second order, by which the
error is told [kennedy]_.

References
----------
.. [kennedy] Kennedy, C. A. and Carpenter, M. H., Additive Runge-Kutta schemes for convection-diffusion-reaction
   equations, Applied Numerical Mathematics 44 (2003), 139-181: the implicit part of ARK3(2)4L[2]SA. The two free
   coefficients are from memory; tests/timeline/test_method.py holds all against the order conditions.
"""

from __future__ import annotations

from typing import Final

import numpy as np

__all__ = ["COMPANION", "ENDS", "ROWS", "SHARE", "WEIGHTS"]

SHARE: Final = 0.435866521508459
"""Part of the step that a stage's own inflow stands for: the middle root of 6 x^3 - 18 x^2 + 9 x - 1."""
_THIRD_END: Final = 0.6
_LAST_OF_COMPANION: Final = 2193209047091 / 5459859503100

ENDS: Final = (0.0, 2.0 * SHARE, _THIRD_END, 1.0)
"""Shares of the step at which its stages end; the first is where it begins."""


def _third_stage() -> tuple[float, float]:
    """Return the coefficients that integrate a straight line exactly."""
    second = (0.5 * _THIRD_END**2 - SHARE * _THIRD_END) / ENDS[1]
    return _THIRD_END - SHARE - second, second


def _weights() -> tuple[float, float, float, float]:
    """Return the weights that integrate a parabola exactly."""
    powers = np.array([[ENDS[1], ENDS[2]], [ENDS[1] ** 2, ENDS[2] ** 2]])
    second, third = np.linalg.solve(powers, [1.0 / 2.0 - SHARE, 1.0 / 3.0 - SHARE])
    return float(1.0 - second - third - SHARE), float(second), float(third), SHARE


def _companion() -> tuple[float, float, float, float]:
    """Return the weights that integrate a straight line exactly and stay bounded on the stiffest equation."""
    first, second = ROWS[2]
    limit_of_third = -(first - second) / SHARE  # the second stage goes to -1 there
    conditions = np.array([[1.0, 1.0, 1.0], [0.0, ENDS[1], ENDS[2]], [1.0, -1.0, limit_of_third]])
    last = _LAST_OF_COMPANION
    found = np.linalg.solve(conditions, [1.0 - last, 0.5 - last, 0.0])
    return float(found[0]), float(found[1]), float(found[2]), last


WEIGHTS: Final = _weights()
"""Parts of the step that the flows at its beginning and at the ends of its stages stand for; they sum to 1."""
ROWS: Final = ((), (SHARE,), _third_stage(), WEIGHTS[:3])
"""What each stage takes of the flows before it, besides ``SHARE`` of its own."""
COMPANION: Final = _companion()
"""The weights of an answer one order worse, to tell the error by."""
