"""Rigs whose tanks once kept the network from settling: flows into dead ends, at the edge of rounding."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit import fill

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig


@pytest.mark.parametrize("seed", [29, 697])
def test_dead_ends_at_the_edge_of_rounding_settle(random_rig: Callable[..., Rig], seed: int) -> None:
    answer = fill(random_rig(seed, most_lines=12))
    assert answer.imbalance < 1e-9
