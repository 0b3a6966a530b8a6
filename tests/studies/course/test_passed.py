"""What lines, filters and pumps are told to have passed and taken while tanks fill."""

from __future__ import annotations

from dataclasses import replace
from types import SimpleNamespace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.parts import DiaphragmPump, Filter, Hose, Joint, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig
from hydrokit.studies.course.passed import imbalance
from hydrokit.studies.course.times_to_fill import fill_times, fills_of
from hydrokit.studies.filling import fill

if TYPE_CHECKING:
    from hydrokit.studies.filling import Fill

LPM = 1.0 / 60_000.0
STEADY = DiaphragmPump(name="pump", points=((0.0, 3e5), (6 * LPM, 2e5), (6 * LPM, 0.0)))
"""6 L/min at anything up to 2 bar."""
HOSE = Hose(bore=0.019, length=2.0)


def screen(name: str) -> Filter:
    return Filter(name=name, points=((8 * LPM, 5e3),))


def pumped(**electric: Any) -> Rig:
    """Return a tank of 60 L, empty, that 6 L/min fill from the top in 10 min; its pump may state what it takes."""
    return Rig(
        sources={"pond": Source(surface=0.0)},
        joints={"fork": Joint(height=1.0)},
        tanks={"tank": Tank(volume=0.06, floor=1.0, depth=0.5, level=0.0)},
        outlets={"wash": Outlet(height=1.0)},
        lines={
            "out": Line(start="tank", end="wash", parts=(HOSE, screen("drawn"))),
            "up": Line(start="pond", end="fork", parts=(HOSE, replace(STEADY, **electric), screen("coarse"))),
            "in": Line(start="fork", end="tank", parts=(HOSE,)),
            "aside": Line(start="fork", end="wash", parts=(HOSE, screen("idle"))),
        },
        modes={
            "drawing": Mode(closed=("lines.up", "lines.in", "lines.aside")),
            "filling": Mode(closed=("lines.out", "lines.aside")),
        },
    )


def test_lines_and_filters_that_passed_nothing_are_not_listed() -> None:
    answer = fill(pumped(), "filling")
    assert [line.line for line in answer.lines] == ["up", "in"]
    assert [(each.place, pytest.approx(each.volume)) for each in answer.filters] == [("lines.up.coarse", 0.06)]
    assert answer.full_after == pytest.approx(600.0)


@pytest.mark.parametrize(
    ("electric", "watts"),
    [
        ({"powers": ((0.0, 40.0), (12 * LPM, 100.0))}, 70.0),
        ({"currents": ((0.0, 3.0), (12 * LPM, 7.0)), "rated_voltage": 12.0}, 60.0),
        ({"currents": ((0.0, 3.0), (12 * LPM, 7.0))}, None),  # at a voltage that nobody knows
        (
            {"powers": ((0.0, 40.0), (12 * LPM, 100.0)), "speed": 0.9},
            None,
        ),  # at another speed than that of its data sheet
        ({}, None),
    ],
)
def test_the_energy_of_a_fill_is_told_where_the_data_sheet_tells_the_power(
    electric: dict[str, Any], watts: float | None
) -> None:
    answer: Fill = fill(pumped(**electric), "filling")
    if watts is None:
        assert answer.energy is None
        assert "energy of lines.up.pump" in answer.trust.unknown
    else:
        assert answer.energy == pytest.approx(watts * 600.0, rel=1e-9)


def test_what_does_not_close_counts_over_all_that_moved() -> None:
    """Of 10 L through two lines each, 20 L in all, the tank has gained 9.7 L and spilled 0.1 L: 0.2 L of 20.1 are gone."""
    course: Any = SimpleNamespace(
        passed=np.array([[0.01, 0.01]]), spilled=np.array([[1e-4]]), volume=np.array([[0.0117]]), start_volume=np.array([[0.002]])
    )  # fmt: skip
    assert imbalance(course, np.array([[0.0], [1.0]])) == pytest.approx(0.0002 / 0.0201)
    course.passed = course.spilled = np.zeros((1, 1))
    course.volume = course.start_volume
    assert imbalance(course, np.ones((1, 1))) == 0.0


def test_where_no_mode_is_named_it_is_the_first_that_fills_a_tank() -> None:
    assert fill_times(pumped()) == pytest.approx([600.0])
    assert fill_times(pumped(), "filling", {"tanks.tank.level": np.array([0.0, 0.25])}) == pytest.approx([600.0, 300.0])
    drawn = fills_of(pumped(), "drawing")
    assert (drawn.wanted, drawn.time.tolist()) == (False, [np.inf])
