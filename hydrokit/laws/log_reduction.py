r"""Log reductions: what a barrier is credited with, and what several make together.

A log reduction value (LRV) is the decimal logarithm of organisms before over organisms after. It is what a part is rated
for or credited with under stated conditions, never a finding about the water in a glass.

References
----------
.. [who] WHO, Guidelines for drinking-water quality, 4th ed., 2017, sec. 7.3: barriers in series add (from memory).
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, require
from hydrokit.errors import RangeError
from hydrokit.laws.elementwise import plain

if TYPE_CHECKING:
    from hydrokit.bounds import Array, Real

__all__ = ["Organism", "parallel_logs", "series_logs", "share_passing"]

Organism: TypeAlias = Literal["cryptosporidium", "giardia", "virus"]
"""What the disinfection tables speak of. They have none for bacteria, which chlorine and lamps reach more easily."""

_SHARES: Final = 1e-6
"""How far the shares of flow may be from adding up to 1."""


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


@as_annotated
def series_logs(logs: Array) -> Real:
    """Return the log reduction of barriers one after another: their sum over the last axis.

    Parameters
    ----------
    logs : array, shape (n, barriers) or (barriers,)
        Each counted only while its own conditions are met; 0 where they are not. [-]

    Returns
    -------
    float or array, shape (n,)
        [-]

    Raises
    ------
    RangeError
        If one is below 0 or above 100.

    Notes
    -----
    Source: [who]_. Holds where the barriers work by different means, or each was rated behind the other; two of one kind
    in a row catch the same organisms, and adding their logs then claims too much.

    Examples
    --------
    >>> series_logs(np.array([2.0, 4.0]))
    6.0
    """
    _require_logs(logs)
    return plain(np.asarray(logs, np.float64).sum(axis=-1))


@as_annotated
def parallel_logs(*, flow_shares: Array, logs: Array) -> Real:
    r"""Return the log reduction of paths side by side, whose waters mix afterwards.

    .. math:: L = -\log_{10} \sum_i s_i \, 10^{-L_i}

    Parameters
    ----------
    flow_shares : array, shape (n, paths) or (paths,)
        Of the flow, along each path; together 1. [-]
    logs : array, shape (n, paths) or (paths,)
        Of each path; 0 for a way round. [-]

    Returns
    -------
    float or array, shape (n,)
        Never above the best path, and a small way round rules: 1 % of the flow untreated leaves 2 log at most. [-]

    Raises
    ------
    RangeError
        If a share or log is outside what is possible, or the shares do not add up to 1.

    Notes
    -----
    Source: balance of organisms where the paths meet.

    Examples
    --------
    >>> parallel_logs(flow_shares=np.array([0.99, 0.01]), logs=np.array([6.0, 0.0]))
    2.0
    """
    require("flow_shares", flow_shares, 0.0, 1.0)
    _require_logs(logs)
    shares = np.asarray(flow_shares, np.float64)
    together = shares.sum(axis=-1)
    if (np.abs(together - 1.0) > _SHARES).any():
        mistakes = Mistakes()
        mistakes.add("flow_shares", f"a sum of {float(np.ravel(together)[0]):g}", "shares that add up to 1")
        mistakes.settle(RangeError)
    passing = (shares * share_passing(logs)).sum(axis=-1) / together
    return plain(0.0 - np.log10(passing))
