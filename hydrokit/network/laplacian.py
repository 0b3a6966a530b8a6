"""The linear system of one Newton step: conductances of the lines gathered into a matrix over the joints.

Dense and for all variants at once for a rig; sparse with a fill-reducing ordering, one variant after the other, for a
large network.
"""

from __future__ import annotations

from functools import lru_cache
from typing import TYPE_CHECKING, Any, Final, Protocol

import numpy as np

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.plan import Layout

__all__ = ["DENSE_LIMIT", "Laplacian", "laplacian"]

DENSE_LIMIT: Final = 48
"""Joints above which the sparse way is the faster one."""


class Laplacian(Protocol):
    """What the solver needs of the joints."""

    def inflow(self, flow: Array) -> Array:
        """Return the net flow into each joint, shape (n, J), of line flows, shape (n, L)."""
        ...

    def drop(self, head: Array) -> Array:
        """Return the head at each line's start less that at its end, shape (n, L); fixed ends count 0."""
        ...

    def solve(self, conductance: Array, inflow: Array) -> Array:
        """Return joint heads, shape (n, J), at which conductances, shape (n, L), carry a net inflow away."""
        ...


class _Dense:
    def __init__(self, layout: Layout) -> None:
        lines, joints = len(layout.lines), len(layout.joints)
        incidence = np.zeros((lines, joints + 1))
        incidence[np.arange(lines), layout.end] += 1.0
        incidence[np.arange(lines), layout.start] -= 1.0
        self._into = np.ascontiguousarray(incidence[:, :joints])
        self._drop = np.ascontiguousarray(-self._into.T)
        self._pairs = (self._into[:, :, None] * self._into[:, None, :]).reshape(lines, joints * joints)
        self._joints = joints

    def inflow(self, flow: Array) -> Array:
        return flow @ self._into

    def drop(self, head: Array) -> Array:
        return head @ self._drop

    def solve(self, conductance: Array, inflow: Array) -> Array:
        if self._joints == 0:
            return inflow
        matrix = (conductance @ self._pairs).reshape(-1, self._joints, self._joints)
        if self._joints == 1:
            return inflow / matrix[:, 0]
        heads: Any = np.linalg.solve(matrix, inflow[:, :, None])
        return np.asarray(heads[:, :, 0], np.float64)


class _Sparse:
    def __init__(self, layout: Layout) -> None:
        from scipy.sparse import csr_array

        lines, joints = len(layout.lines), len(layout.joints)
        line = np.arange(lines)
        rows = np.concatenate([line, line])
        columns = np.concatenate([layout.end, layout.start])
        signs = np.concatenate([np.ones(lines), -np.ones(lines)])
        kept = columns < joints
        self._into: Any = csr_array((signs[kept], (rows[kept], columns[kept])), shape=(lines, joints))
        self._out_of: Any = csr_array(self._into.T)

    def inflow(self, flow: Array) -> Array:
        result: Array = (self._out_of @ flow.T).T
        return result

    def drop(self, head: Array) -> Array:
        result: Array = -(self._into @ head.T).T
        return result

    def solve(self, conductance: Array, inflow: Array) -> Array:
        from scipy.sparse import csc_array, diags_array
        from scipy.sparse.linalg import splu

        heads = np.empty_like(inflow)
        for row, (weights, wanted) in enumerate(zip(conductance, inflow, strict=True)):
            matrix = csc_array(self._out_of @ diags_array(weights) @ self._into)
            factors = splu(matrix, permc_spec="MMD_AT_PLUS_A", diag_pivot_thresh=0.0, options={"SymmetricMode": True})
            heads[row] = factors.solve(wanted)
        return heads


@lru_cache(maxsize=16)
def laplacian(layout: Layout) -> Laplacian:
    """Return the way of solving that suits the size of the network; made once for each layout."""
    return _Dense(layout) if len(layout.joints) <= DENSE_LIMIT else _Sparse(layout)
