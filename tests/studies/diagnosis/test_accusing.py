"""Which findings suspects come to, from fits made by hand."""

from __future__ import annotations

import numpy as np

from hydrokit.parts import DiaphragmPump, Hose, Outlet, Source, Strainer
from hydrokit.rig import Line, Rig
from hydrokit.studies.diagnosis.accusing import findings_of_suspects
from hydrokit.studies.diagnosis.fitting import Fit, Start
from hydrokit.studies.diagnosis.suspects import Verdicts
from hydrokit.studies.diagnosis.workbench import Workbench

LPM = 1.0 / 60_000.0


def fit(free: tuple[int, ...], misfit: float) -> Fit:
    grades = np.zeros(4)
    grades[list(free)] = 0.5
    return Fit(Start(free, grades), grades, np.zeros(3), np.zeros((len(free), 3)), misfit)


def test_a_fault_that_two_pairs_share_is_told_once_and_for_sure_the_others_as_not_known() -> None:
    pump = DiaphragmPump(name="pump", points=((0.0, 3e5), (12 * LPM, 0.0)))
    parts = (Strainer(name="basket", bore=0.019), Hose(bore=0.019, length=3.0), pump, Hose(bore=0.019, length=3.0))
    rig = Rig(
        sources={"pond": Source(surface=0.0)},
        outlets={"end": Outlet(height=2.0)},
        lines={"run": Line(start="pond", end="end", parts=parts)},
    )
    bench = Workbench(rig, None, None)
    kinds = [fault.kind for fault in bench.faults]
    assert kinds == ["blocked strainer", "worn pump", "air leak", "slow pump"]
    found = Verdicts(fit((), 90.0), (fit((0, 1), 1.0), fit((0, 2), 2.0)), (), explained=True, chance=0.5)
    told = findings_of_suspects(bench, found, stated_flow=9 * LPM, flow=5 * LPM)
    assert [(item.rule, item.place, item.verdict) for item in told] == [
        ("rig as stated", "lines.run", "fails"),
        ("what is wrong", "lines.run.basket", "fails"),
        ("what is wrong", "lines.run.pump", "unknown"),
        ("what is wrong", "lines.run.pump", "unknown"),
    ]
    assert [str(item.reason).partition(",")[0] for item in told[1:]] == [
        "The basket blocked",
        "The pump worn",
        "Air drawn in before the pump",
    ]
