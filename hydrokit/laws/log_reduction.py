r"""Log reductions: what a barrier is credited with, and the share of germs that it lets through.

A log reduction value (LRV) is the decimal logarithm of organisms before over organisms after. It is what a part is rated
for or credited with under stated conditions, never a finding about the water in a glass.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Literal, TypeAlias

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require
from hydrokit.laws.elementwise import plain

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = ["Organism", "share_passing"]

Organism: TypeAlias = Literal["cryptosporidium", "giardia", "virus"]
"""What the disinfection tables speak of. They have none for bacteria, which chlorine and lamps reach more easily."""


def _require_logs(logs: Real) -> None:
    require("logs", logs, 0.0, 100.0)


@as_annotated
def share_passing(logs: Real) -> Real:
    r"""Return the share of organisms that a log reduction lets through, :math:`10^{-L}`.

    Parameters
    ----------
    logs : float or array, shape (n,)
        Log reduction, base 10. [-]

    Returns
    -------
    float or array, shape (n,)
        [-]

    Raises
    ------
    RangeError
        If the logs are below 0 or above 100.

    Notes
    -----
    Source: definition.

    Examples
    --------
    >>> share_passing(3.0)
    0.001
    """
    _require_logs(logs)
    return plain(10.0 ** -np.asarray(logs, np.float64))
