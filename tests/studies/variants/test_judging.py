"""What the rules that can fail say of many variants at once."""

from __future__ import annotations

import numpy as np

from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.parts import Hose, Outlet, Source
from hydrokit.rig import Line, Rig
from hydrokit.rules import State
from hydrokit.studies.variants.judging import judged


def test_the_least_margin_of_rules_that_were_not_judged_is_not_known() -> None:
    rig = Rig(
        sources={"barrel": Source(surface=3.0)},
        outlets={"tap": Outlet(height=0.0)},
        lines={"down": Line(start="barrel", end="tap", parts=(Hose(bore=0.019, length=2.0),))},
    )
    found = judged(State(solve(rig, None, {"sources.barrel.surface": np.array([3.0, 5.0])})))
    assert np.isnan(found.least("NPSH in hand")).tolist() == [True, True]
    arrives = found.least("water arrives")
    assert arrives.tolist() == [1.0, 1.0]
    assert found.least("water arrives", "NPSH in hand").tolist() == [1.0, 1.0]


def test_what_is_passed_is_ranked_alike_for_one_variant_and_for_all() -> None:
    bores = np.array([0.004, 0.008, 0.0125, 0.025])
    found = judged(State(solve(demonstration(), None, {"lines.intake.suction-hose.bore": bores})))
    ranked = found.ranked()
    assert len(ranked) == len(bores)
    for row, columns in enumerate(ranked):
        margins = found.margins[row]
        assert columns == sorted(np.flatnonzero(margins < 0.0), key=lambda column: margins[column])
        assert tuple(found.names()[column] for column in columns) == found.failing(row)
        assert tuple(found.reason(row, column) for column in columns) == found.reasons(row)
    assert ranked[0]
    assert not ranked[2]
