"""What is missing is missing only in the variants in which it is needed."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.parts import DiaphragmPump, Filter, Hose, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig, Site, replaced
from hydrokit.rules import State, judge

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping


def _changed(change: Callable[[Any], Any]) -> Rig:
    """Return the demonstration rig with every part of its intake changed."""
    from dataclasses import replace

    rig = demonstration()
    line = rig.lines["intake"]
    new = Line(start=line.start, end=line.end, parts=tuple(change(part) for part in line.parts))
    return replace(rig, lines={**rig.lines, "intake": new}, origins={}, tolerances={})


def _without(kind: type, **fields: Any) -> Rig:
    from dataclasses import replace

    return _changed(lambda part: replace(part, **fields) if isinstance(part, kind) else part)


def _told(state: State, row: int = 0) -> list[tuple[str, ...]]:
    return [
        (each.rule, each.place, each.verdict.value, str(each.reason), str(each.advice)) for each in judge(state, row)
    ]


def _dosed() -> Rig:
    """Return a tank of chlorinated water, filled from a pond, that a tap draws on."""
    hose = Hose(bore=0.019, length=2.0)
    return Rig(
        sources={"pond": Source(surface=3.0)},
        tanks={"clean": Tank(volume=0.08, floor=1.0, depth=0.4, chlorine_residual=5e-4, chlorine_wait=3600.0)},
        outlets={"tap": Outlet(height=0.5)},
        lines={"fill": Line(start="pond", end="clean", parts=(hose,)), "draw": Line(start="clean", end="tap", parts=(hose,))},
        modes={"as-used": Mode()},
        site=Site(turbidity=0.5, ph=7.5),
    )  # fmt: skip


CASES: dict[str, tuple[Callable[[], Rig], Mapping[str, Any], str]] = {
    "hose under hardly any vacuum": (
        lambda: _without(Hose, vacuum_rating=None),
        {"lines.intake.lift-pump.height": np.array([-3.0, 2.0])},
        "hose keeps its shape",
    ),
    "part under hardly any pressure": (
        lambda: _without(Hose, pressure_rating=None),
        {"sources.pond.surface": np.array([-70.0, 0.0])},
        "pressure at shut-off",
    ),
    "no fuse is right for one cable": (
        lambda: _without(DiaphragmPump, fuse=None),
        {"lines.intake.lift-pump.cable_rating": np.array([3.0, 30.0])},
        "fuse and cable",
    ),
    "one cable is thinner than any that is listed": (
        demonstration,
        {"lines.intake.lift-pump.cable_area": np.array([0.5e-6, 4e-6])},
        "fuse and cable",
    ),
    "what fuse would be right for either cable": (
        lambda: _without(DiaphragmPump, fuse=None),
        {"lines.intake.lift-pump.cable_area": np.array([2.5e-6, 6e-6])},
        "fuse and cable",
    ),
    "a pump that draws up an empty hose and one that does not": (
        demonstration,
        {"lines.intake.lift-pump.dry_lift": np.array([0.0, 2.4])},
        "dry running",
    ),
    "a pump below its water needs no dry lift": (
        lambda: _without(DiaphragmPump, dry_lift=None),
        {"sources.pond.surface": np.array([5.0, 0.0])},
        "pump primes",
    ),
    "a pump below its water may not run dry at all": (
        lambda: _without(DiaphragmPump, dry_run_time=None),
        {"sources.pond.surface": np.array([5.0, 0.0])},
        "dry running",
    ),
    "a dosed tank that is filled and one that holds what nobody knows": (
        _dosed,
        {"sources.pond.surface": np.array([0.0, 3.0])},
        "log reductions credited",
    ),
    "chlorine in a tank that is filled and in one that is not": (
        _dosed,
        {"sources.pond.surface": np.array([0.0, 3.0])},
        "chlorine contact",
    ),
    "clear water and cloudy": (demonstration, {"site.turbidity": np.array([2.0, 12.0])}, "filter life"),
    "a tank before another and behind it": (
        demonstration,
        {"tanks.near.position": np.array([1.0, 4.0])},
        "load on supports",
    ),
    "a vent and none": (demonstration, {"tanks.near.vent_bore": np.array([0.0, 0.012])}, "vent carries the air"),
    "an overflow and none": (
        demonstration,
        {"tanks.near.overflow_bore": np.array([0.0, 0.025])},
        "overflow carries the fill",
    ),
    "a second opening and none": (demonstration, {"tanks.near.overflow_bore": np.array([0.0, 0.025])}, "vent blocked"),
    "water that reaches the filters and none": (
        demonstration,
        {"batteries.main.full_voltage": np.array([0.1, 12.7])},
        "cloudiness of the feed",
    ),
    "a pump that its switch stops and one that it lets run": (
        demonstration,
        {"lines.intake.lift-pump.speed": np.array([1.0, 3.0])},
        "pump starts",
    ),
    "a stated hose under a vacuum and under none": (
        demonstration,
        {"lines.intake.lift-pump.height": np.array([-3.0, 2.0])},
        "hose keeps its shape",
    ),
    "a flat battery and a full one": (
        lambda: _without(DiaphragmPump, least_voltage=None),
        {"batteries.main.inner_resistance": np.array([5.0, 0.01])},
        "voltage at the pump",
    ),
}


@pytest.mark.parametrize("case", CASES)
def test_a_variant_among_others_is_judged_as_it_is_alone(case: str) -> None:
    make, varied, rule = CASES[case]
    rig = make()
    together = State(solve(rig, None, varied))
    for row in range(2):
        alone = State(solve(rig, None, {address: float(values[row]) for address, values in varied.items()}))
        among = [each for each in _told(together, row) if each[0] == rule]
        assert among == [each for each in _told(alone) if each[0] == rule]


LEFT_OUT: dict[str, tuple[type, tuple[str, ...], float]] = {
    "lines.intake.lift-pump.efficiency": (DiaphragmPump, ("efficiency", "currents", "powers"), 0.4),
    "lines.intake.lift-pump.vacuum_rating": (DiaphragmPump, ("vacuum_rating", "npsh_required"), 45e3),
    "lines.intake.carbon.dirt_capacity": (Filter, ("dirt_capacity",), 0.05),
    "lines.intake.carbon.retains": (Filter, ("retains",), 0.5),
    "tanks.near.chlorine_residual": (Hose, (), 5e-4),
}


@pytest.mark.parametrize("address", LEFT_OUT)
def test_what_a_part_leaves_out_counts_all_the_same_where_it_is_set(address: str) -> None:
    kind, fields, value = LEFT_OUT[address]
    rig = _without(kind, **dict.fromkeys(fields))
    as_set, as_stated = State(solve(rig, None, {address: value})), State(solve(replaced(rig, {address: value})))
    assert _told(as_set) == _told(as_stated)
    assert _told(as_set) != _told(State(solve(rig)))


def test_each_case_tells_its_variants_apart() -> None:
    for make, varied, rule in CASES.values():
        state = State(solve(make(), None, varied))
        first, second = ([each[1:] for each in _told(state, row) if each[0] == rule] for row in range(2))
        assert first != second, rule
