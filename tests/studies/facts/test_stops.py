from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit import check, solve

if TYPE_CHECKING:
    from hydrokit.rig import Rig


@pytest.mark.parametrize("name", ["looped", "quarantine"])
def test_every_stop_tells_the_flow_of_its_line(ten_rigs: dict[str, Rig], name: str) -> None:
    solution = solve(ten_rigs[name])
    for stop in check(ten_rigs[name]).stops:
        assert stop.flow == solution.flow(stop.line)[0]
