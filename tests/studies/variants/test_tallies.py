"""Summaries of pieces of a sweep put together, in whatever order they come."""

from __future__ import annotations

from itertools import permutations
from typing import Any

import pytest

from hydrokit.studies.variants.tallies import Tally


def piece(
    first: int, flows: list[float], verdicts: dict[str, int], tried: list[int], kept: list[int]
) -> dict[str, Any]:
    best = [{"variant": first + at, "failing": 0, "flow": flow} for at, flow in enumerate(flows)]
    return {
        "verdicts": verdicts,
        "limits": {"filter flow at lines.up.fine": len(flows)},
        "worst": [10.0 + first, 1e-12 * first, 1e-13],
        "flows": [min(flows), max(flows)],
        "best": best,
        "values": [[tried, kept, [max(flows), 0.0]], None],
    }


PIECES = (
    piece(0, [1e-4, 3e-4], {"holds": 1, "fails": 1}, [1, 1], [1, 0]),
    piece(2, [2e-4, 3e-4], {"holds": 2}, [2, 0], [2, 0]),
    piece(4, [4e-4], {"fails": 1}, [0, 1], [0, 0]),
)


@pytest.mark.parametrize("order", list(permutations(range(3))))
def test_pieces_make_the_same_whole_in_any_order(order: tuple[int, ...]) -> None:
    tally = Tally(shown=3)
    for place in order:
        tally.add(PIECES[place])
    assert dict(tally.verdicts) == {"holds": 3, "fails": 2}
    assert dict(tally.limits) == {"filter flow at lines.up.fine": 5}
    assert tally.worst == pytest.approx([14.0, 4e-12, 1e-13])
    assert tally.flows == [1e-4, 4e-4]
    assert [row["variant"] for row in tally.best] == [4, 1, 3]  # of equal flows the one that comes first
    assert tally.values == [[[3, 2], [3, 0], [4e-4, 0.0]], None]
    assert tally.solved == 5
