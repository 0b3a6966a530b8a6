"""Scalar functions of ``fluids`` over arrays, and the rule that a float in gives a float out."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.bounds import Real

__all__ = ["bore_area", "elementwise", "plain"]


def elementwise(function: Callable[..., float], *arguments: Real) -> Real:
    """Return a scalar function's values over broadcast arguments, calling it once for each distinct set of them.

    Parameters
    ----------
    function : callable
        Takes as many floats as there are arguments, gives a float.
    *arguments : float or array
        Broadcast against each other.

    Returns
    -------
    float or array
        Of the common shape; a float where every argument is one.

    Examples
    --------
    >>> elementwise(lambda base, power: base**power, np.array([2.0, 3.0, 2.0]), 2.0)
    array([4., 9., 4.])
    """
    columns = np.broadcast_arrays(*(np.asarray(argument, dtype=np.float64) for argument in arguments))
    rows = list(zip(*(column.ravel().tolist() for column in columns), strict=True))
    known = {row: function(*row) for row in set(rows)}  # parts of one kind share a few sizes, variants even more so
    values = np.fromiter((known[row] for row in rows), dtype=np.float64, count=len(rows))
    return plain(values.reshape(columns[0].shape))


def plain(value: Any) -> Real:
    """Return a float for a number of any kind without an axis, else a float64 array.

    Parameters
    ----------
    value : number or array
        Of any shape.

    Returns
    -------
    float or array
        The same, a float where it has no axis.

    Examples
    --------
    >>> plain(np.float32(2.0)), plain([1, 2])
    (2.0, array([1., 2.]))
    """
    array = np.asarray(value, dtype=np.float64)
    return array if array.ndim else float(array)


def bore_area(bore: Real) -> Real:
    """Return the area of a round bore.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter. [m]

    Returns
    -------
    float or array, shape (n,)
        [m^2]

    Examples
    --------
    >>> bore_area(0.02)
    0.000314
    """
    return plain(np.pi / 4.0 * np.asarray(bore) ** 2)
