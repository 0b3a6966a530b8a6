"""The dense and the sparse way of solving for joint heads are one."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.network import build_plan, laplacian, newton, solve_plan
from hydrokit.network.laplacian import DENSE_LIMIT

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig


@pytest.mark.parametrize("seed", range(40))
def test_the_sparse_way_answers_as_the_dense_one(
    random_rig: Callable[..., Rig], monkeypatch: pytest.MonkeyPatch, seed: int
) -> None:
    plan = build_plan(random_rig(seed))
    if not plan.layout.joints:
        return
    assert len(plan.layout.joints) <= DENSE_LIMIT
    dense = solve_plan(plan)
    monkeypatch.setattr(laplacian, "DENSE_LIMIT", 0)
    laplacian.laplacian.cache_clear()
    sparse = solve_plan(plan)
    largest = max(np.abs(dense.flows.flow).max(), 1e-10)
    assert np.abs(sparse.flows.flow - dense.flows.flow).max() <= 1e-7 * largest
    assert sparse.heads == pytest.approx(dense.heads, rel=1e-9, abs=1e-9, nan_ok=True)


def test_the_solver_takes_the_limit_at_its_word(
    random_rig: Callable[..., Rig], monkeypatch: pytest.MonkeyPatch
) -> None:
    plan = next(plan for seed in range(100) if len((plan := build_plan(random_rig(seed))).layout.joints) > 2)
    assert type(newton.laplacian(plan.layout)).__name__ == "_Dense"
    monkeypatch.setattr(laplacian, "DENSE_LIMIT", 2)
    laplacian.laplacian.cache_clear()
    assert type(newton.laplacian(plan.layout)).__name__ == "_Sparse"
