"""Where the head goes: shares that sum to one and close the energy balance, on any rig."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np
import pytest

from hydrokit.network import solve
from hydrokit.parts import Fitting, Hose, Joint, Outlet, Source, Tank
from hydrokit.rig import Line, Rig
from hydrokit.studies.facts.heads import LIFT, head_shares, lift_power, lost_power, pump_power, spent_power

if TYPE_CHECKING:
    from collections.abc import Callable

HOSE = Hose(bore=0.02, length=5.0)


@pytest.mark.parametrize("seed", range(60))
def test_what_pumps_and_falling_water_give_is_lost_or_lifted(random_rig: Callable[..., Rig], seed: int) -> None:
    solution = solve(random_rig(seed, 12))
    _, lost = lost_power(solution)
    given, lifted = pump_power(solution), lift_power(solution)
    # every part's own head times flow, however the sum comes out: what it is measured against
    scale = np.abs(solution.walk.loss * solution.flows.flow[:, solution.plan.element_line]).sum(axis=1)
    assert abs(given - lost.sum(axis=1) - lifted)[0] <= 1e-9 * scale[0] + 1e-18


@pytest.mark.parametrize("seed", range(60))
def test_shares_sum_to_one_and_come_largest_first(random_rig: Callable[..., Rig], seed: int) -> None:
    shares = [share.share for share in head_shares(solve(random_rig(seed, 12)))]
    assert not shares or sum(shares) == pytest.approx(1.0, abs=1e-9)
    assert shares == sorted(shares, reverse=True)
    assert all(share > 0.0 for share in shares)


def test_lift_is_a_share_where_water_is_raised_and_none_where_it_falls(pond_rig: Callable[..., Rig]) -> None:
    raised = {share.kind: share for share in head_shares(solve(pond_rig()))}
    assert raised[LIFT].head == pytest.approx(2.1)
    fallen = Rig(
        tanks={"t": Tank(volume=0.06, floor=3.0, depth=0.4)},
        outlets={"o": Outlet(height=0.0)},
        lines={"down": Line(start="t", end="o", parts=(HOSE,))},
    )
    solution = solve(fallen)
    assert LIFT not in {share.kind for share in head_shares(solution)}
    assert spent_power(solution)[0] == pytest.approx(3.2 * solution.flow("down")[0])


def test_a_source_that_stands_above_the_tank_it_fills_drives_the_water() -> None:
    rig = Rig(
        sources={"spring": Source(surface=5.0)},
        tanks={"t": Tank(volume=0.06, floor=1.0, depth=0.4)},
        lines={"in": Line(start="spring", end="t", parts=(HOSE,))},
    )
    solution = solve(rig)
    assert lift_power(solution)[0] == pytest.approx(-3.6 * solution.flow("in")[0])  # 5 m down to the lip at 1.4 m
    assert sum(share.share for share in head_shares(solution)) == pytest.approx(1.0)


def test_flow_taken_out_at_a_joint_leaves_with_the_head_there() -> None:
    rig = Rig(
        sources={"main": Source(surface=5.0)},
        joints={"j": Joint(height=1.0, demand=2e-4)},
        lines={"in": Line(start="main", end="j", parts=(HOSE,))},
    )
    solution = solve(rig)
    assert lift_power(solution)[0] == pytest.approx((solution.head("j")[0] - 5.0) * 2e-4)
    assert sum(share.head for share in head_shares(solution)) == pytest.approx(5.0 - solution.head("j")[0])


def test_the_head_of_lift_is_that_of_the_water_that_is_lifted_wherever_it_goes(pond_rig: Callable[..., Rig]) -> None:
    whole = pond_rig()
    parts = whole.lines["intake"].parts
    split = Rig(
        sources=whole.sources,
        tanks={**whole.tanks, "other": whole.tanks["tank"]},
        lines={
            "intake": Line(start="pond", end="fork", parts=parts),
            "one": Line(start="fork", end="tank", parts=(HOSE,)),
            "two": Line(start="fork", end="other", parts=(HOSE,)),
        },
    )
    lift = next(share for share in head_shares(solve(split)) if share.kind == LIFT)
    assert lift.head == pytest.approx(2.1)


def test_water_that_runs_a_line_backward_costs_head_all_the_same() -> None:
    rig = Rig(
        sources={"high": Source(surface=3.0), "low": Source(surface=0.0)},
        lines={"up": Line(start="low", end="high", parts=(Fitting(name="f", bore=0.02, k=2.0),))},
    )
    fitting = next(share for share in head_shares(solve(rig)) if share.place == "lines.up.f")
    assert fitting.head > 0.0
    assert fitting.share > 0.0


def test_changes_of_bore_count_with_the_narrower_part_and_ends_by_themselves() -> None:
    rig = Rig(
        sources={"high": Source(surface=3.0)},
        outlets={"o": Outlet(height=0.0)},
        lines={
            "down": Line(
                start="high",
                end="o",
                parts=(
                    Hose(name="a", bore=0.03, length=1.0),
                    Fitting(name="n", bore=0.01, k=0.0),
                    Hose(name="b", bore=0.03, length=1.0),
                ),
            )
        },
    )
    shares = {(share.place, share.kind): share.share for share in head_shares(solve(rig))}
    assert set(shares) == {
        ("lines.down entrance", "entrance"), ("lines.down.a", "hose"), ("lines.down.n", "fitting"),
        ("lines.down.b", "hose"), ("lines.down exit", "exit"),
    }  # fmt: skip
    assert shares["lines.down.n", "fitting"] > 0.9


def test_where_nothing_flows_nothing_is_spent() -> None:
    rig = Rig(
        sources={"low": Source(surface=0.0)},
        outlets={"o": Outlet(height=1.0)},
        lines={"up": Line(start="low", end="o", parts=(HOSE,))},
    )
    assert head_shares(solve(rig)) == ()
