"""The order of stages that stand in lines of their own, one after the other."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hydrokit.answers import Verdict
from hydrokit.parts import Filter, NonReturnValve, Outlet, Source
from hydrokit.rig import Line, Rig

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import Hose

RULE = "order of stages"


def staged(hose: Callable[..., Hose], first: float, second: float) -> Rig:
    """Return two elements of some pore sizes, the second behind a fork."""
    one, two = (
        Filter(name=name, points=((1e-4, 5e3),), pore_size=pores) for name, pores in (("one", first), ("two", second))
    )
    return Rig(
        sources={"spring": Source(surface=3.0)},
        outlets={"tap": Outlet(height=0.0), "wash": Outlet(height=0.0)},
        lines={
            "in": Line(start="spring", end="fork", parts=(hose(), NonReturnValve(bore=0.019), one)),
            "out": Line(start="fork", end="tap", parts=(two, hose())),
            "aside": Line(start="fork", end="wash", parts=(hose(),)),
        },
    )


def test_a_coarse_stage_behind_a_fine_one_in_the_line_before_is_told(hose: Callable[..., Hose], found: Any) -> None:
    findings = found(staged(hose, first=5e-6, second=2e-5))
    wrong = findings[RULE, "lines.out.two"]
    assert wrong.verdict is Verdict.CLOSE
    assert str(wrong.reason) == "The two is coarser than the one before it, which takes up all the dirt."
    assert findings[RULE, "lines.in.one"].verdict is Verdict.HOLDS


def test_a_fine_stage_behind_a_coarse_one_in_the_line_before_is_in_order(hose: Callable[..., Hose], found: Any) -> None:
    findings = found(staged(hose, first=2e-5, second=5e-6))
    assert {finding.verdict for (rule, _), finding in findings.items() if rule == RULE} == {Verdict.HOLDS}
