"""Which bores the parts beside a hose take, and hose through which nothing flows."""

from __future__ import annotations

import pytest

from hydrokit.network import solve
from hydrokit.parts import Hose, HoseTail, Outlet, Source
from hydrokit.rig import Line, Rig
from hydrokit.rules import State
from hydrokit.studies.bores.paying import curve_of
from hydrokit.studies.bores.runs import runs_of
from hydrokit.studies.bores.trials import Trial

SERIES = (("1/2 in", 0.0127), ("3/4 in", 0.01905), ("1 in", 0.0254))


def gravity(height: float = 0.0) -> Rig:
    """Return a hose of 12.5 mm that somebody has forced over a tail of 16 mm, with a narrow one at its other end."""
    parts = (
        HoseTail(name="wide", bore=0.016),
        Hose(name="run", bore=0.0125, length=3.0),
        HoseTail(name="narrow", bore=0.010),
    )
    return Rig(
        sources={"barrel": Source(surface=1.0)},
        outlets={"tap": Outlet(height=height)},
        lines={"down": Line(start="barrel", end="tap", parts=parts)},
    )  # fmt: skip


@pytest.mark.parametrize(
    ("bore", "told"),
    [
        (0.0125, None),  # as drawn: somebody has fitted it
        (0.01255, "lines.down.wide takes hose of 16 mm to 24 mm."),
        (0.0150, "lines.down.wide takes hose of 16 mm to 24 mm."),
        (0.0165, "lines.down.narrow takes hose of 10 mm to 15 mm."),
    ],
)
def test_a_bore_that_no_tail_takes_is_refused_unless_it_is_as_drawn(bore: float, told: str | None) -> None:
    (run,) = runs_of(State(solve(gravity())))
    why = run.refuses(bore)
    assert (why if why is None else str(why)) == told
    assert run.refuses(bore, tails_change=True) is None


@pytest.mark.parametrize(("height", "flows"), [(0.0, True), (2.0, False)])
def test_where_nothing_flows_at_any_bore_none_pays(height: float, flows: bool) -> None:
    rig = gravity(height)
    trial = Trial(rig, rig.mode_names()[0], {}, runs_of(State(solve(rig))), SERIES, tails_change=False)
    curve = curve_of(trial, 0, [0.0125])
    assert (max(curve.flows) > 0.0) is flows
    assert (curve.knee != "") is flows
    dearer = [
        size
        for size, tails, hose in zip(curve.sizes, curve.tail_shares, curve.hose_shares, strict=True)
        if tails > hose
    ]
    assert len(dearer) == (2 if flows else 0)  # from 3/4 in on the tails alone are felt
    assert curve.tails_from == (dearer[0] if flows else "")
    assert curve.sizes == ("1/2 in", "3/4 in", "1 in")
    assert (sum(curve.tail_shares) > 0.0) is flows
