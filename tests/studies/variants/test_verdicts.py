"""Verdicts of many variants at once are those that each has alone."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.answers import Verdict
from hydrokit.network import solve
from hydrokit.rig import values_of
from hydrokit.rules import State, judge
from hydrokit.studies.variants.products import product_of
from hydrokit.studies.variants.swept import Question, swept
from hydrokit.studies.variants.verdicts import alike

if TYPE_CHECKING:
    from hydrokit.rig import Rig

NAMES = (
    "demonstration", "hand check", "gravity", "centrifugal", "hand pump", "looped", "quarantine", "balanced", "high", "wide",
)  # fmt: skip
_FIELDS = (
    "bore",
    "height",
    "length",
    "level",
    "surface",
    "floor",
    "altitude",
    "loading",
    "charge",
    "cut_out",
    "dry_lift",
)


def _varied(rig: Rig) -> dict[str, Any]:
    """Return two values, far apart, of up to five kinds of numbers that the rig states."""
    found: dict[str, Any] = {}
    for address, value in values_of(rig).items():
        name = address.rpartition(".")[2]
        if name in _FIELDS and name not in {known.rpartition(".")[2] for known in found}:
            shifted = {"bore": 0.55 * value, "height": value + 6.0, "surface": value - 4.0, "altitude": value + 3000.0}
            found[address] = [value, shifted.get(name, 0.5 * value if value else 0.5)]
    return dict(list(found.items())[:5])


def _alone(rig: Rig, mode: str, values: dict[str, float]) -> tuple[str, set[str], float | None, int]:
    """Return the verdict, the limits that may decide it, the margin and how many limits fail, by the rules one by one."""
    findings = judge(State(solve(rig, mode, values)))
    first = findings[0].verdict
    if first is Verdict.HOLDS or all(each.verdict is not first for each in findings):
        first = Verdict.HOLDS
    same = [each for each in findings if each.verdict is first]
    margins = [each.margin for each in same if each.margin is not None]
    least = min(margins, default=None)
    names = {f"{each.rule} at {place}" for each in same for place in each.place.split(", ")}
    return first.value, names, least, sum(each.verdict is Verdict.FAILS for each in findings)


@pytest.mark.slow
@pytest.mark.parametrize("name", NAMES)
def test_every_variant_has_the_verdict_that_it_has_alone(name: str, ten_rigs: dict[str, Rig]) -> None:
    rig = ten_rigs[name]
    mode = rig.mode(None)[0]
    product = product_of(rig, mode, _varied(rig), {})
    count = len(product)
    assert count >= 4
    table = swept(Question(rig, mode, product, {}, (), fill_time=False), 0, count)
    for row in range(0, count, max(count // 11, 1)):
        values = {address: float(each[0]) for address, each in product.variation(product.places(row, row + 1)).items()}
        verdict, names, margin, failing = _alone(rig, mode, values)
        assert (table["verdict"][row], table["failing"][row]) == (verdict, failing), values
        assert table["limit"][row] in names, values
        if verdict != Verdict.UNKNOWN.value:
            assert table["margin"][row] == pytest.approx(margin, rel=1e-8, abs=1e-10)
        assert not np.isnan(table["flow"][row])


def test_variants_whose_water_flows_another_way_are_judged_apart(ten_rigs: dict[str, Rig]) -> None:
    varied = {"tanks.near.level": np.array([0.2, 0.05, 0.3, 0.0])}  # the other stands at 0.1 m
    state = State(solve(ten_rigs["balanced"], None, varied))
    ways = np.sign(state.solution.flow("balance"))
    groups = [group.tolist() for group in alike(state, varied)]
    assert sorted(row for group in groups for row in group) == [0, 1, 2, 3]
    assert all(len({ways[row] for row in group}) == 1 for group in groups)
    assert len(groups) >= 2


def test_alike_variants_stay_together(ten_rigs: dict[str, Rig]) -> None:
    varied = {"site.altitude": np.linspace(10.0, 100.0, 7)}
    state = State(solve(ten_rigs["demonstration"], None, varied))
    assert [group.tolist() for group in alike(state, varied)] == [[*range(7)]]
