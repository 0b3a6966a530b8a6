"""What check and fill tell of weight and of credits."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from hydrokit.files import demonstration, read_rig, write_rig
from hydrokit.parts import Vehicle
from hydrokit.rig import replaced
from hydrokit.sheets import render
from hydrokit.studies import check, fill


def test_check_weighs_every_state_of_the_tanks() -> None:
    answer = check(demonstration())
    assert answer.weights is not None
    fills = {row.tanks: row for row in answer.weights.fills}
    empty, full = fills["empty"], fills["full"]
    assert full.mass - empty.mass == pytest.approx(120.0, abs=0.1)  # twice 60 L
    assert empty.front + empty.rear == pytest.approx(empty.mass)
    assert full.front_share == pytest.approx(full.front / full.mass)
    least, most = fills["far full, the rest empty"].front_share, fills["near full, the rest empty"].front_share
    assert least < empty.front_share < most
    assert answer.weights.left_out > 0


def test_fill_tells_the_loads_while_the_tanks_fill() -> None:
    answer = fill(demonstration())
    weighed = check(demonstration()).weights
    curve = answer.weights
    assert curve is not None
    assert weighed is not None
    assert len(curve.masses) == len(answer.times)
    assert (np.diff(curve.masses) >= -1e-9).all()
    loads = np.array(curve.front_loads) + np.array(curve.rear_loads)
    assert loads == pytest.approx(np.array(curve.masses), rel=1e-12)
    fills = {row.tanks: row for row in weighed.fills}
    assert curve.masses[0] == pytest.approx(fills["empty"].mass)
    assert curve.rear_loads[-1] == pytest.approx(fills["full"].rear, rel=1e-3)


def test_a_rig_without_a_vehicle_weighs_nothing() -> None:
    rig = replace(demonstration(), vehicle=Vehicle(), tolerances={})
    assert check(rig).weights is None
    assert fill(rig).weights is None
    assert "Weight on the vehicle" not in render(check(rig))


def test_levels_apart_on_a_slope() -> None:
    """Two tanks 0.9 m apart on 3 degrees stand 47 mm apart: common practice, no source."""
    sloping = replaced(
        demonstration(), {"site.slope": np.radians(3.0), "tanks.near.position": 2.0, "tanks.far.position": 2.9}
    )
    answer = check(sloping)
    assert answer.weights is not None
    (pair,) = answer.weights.apart
    assert (pair.low, pair.high) == ("near", "far")
    assert pair.difference == pytest.approx(0.047, abs=0.0005)
    assert "higher against its tank than that of far" in " ".join(render(answer).split())


def test_check_tells_what_counts() -> None:
    rows = {(row.role, row.place): row for row in check(demonstration()).credited}
    end, wanted = rows["end", "tanks.near"], rows["wanted", "targets"]
    assert (end.bacteria, end.viruses, end.protozoa) == (6.0, 4.0, 4.0)
    assert (wanted.bacteria, wanted.viruses, wanted.protozoa) == (6.0, 4.0, 3.0)


def test_check_tells_what_does_not_count() -> None:
    answer = check(replaced(demonstration(), {"lines.intake.membrane.greatest_turbidity": 1.0}))
    (row,) = (row for row in answer.credited if row.place == "lines.intake.membrane")
    assert (row.bacteria, row.viruses, row.protozoa) == (0.0, 0.0, 0.0)
    assert row.struck_out == ("the water is cloudier than it is rated for",)


def test_vehicle_loads_and_targets_read_back_from_a_file() -> None:
    rig = demonstration()
    again = read_rig(write_rig(rig))
    assert again == rig
    assert again.vehicle.front == "hitch"
    assert again.loads["battery"].position == 1.2
    assert again.tolerances["vehicle.mass"] == pytest.approx(5.0)


@pytest.mark.parametrize("system", ["metric", "US", "imperial"])
def test_the_tables_fit_eighty_columns(system: str) -> None:
    text = render(check(demonstration()), system=system)
    assert max(map(len, text.splitlines())) <= 80
    assert "Log reductions credited" in text
    assert "hitch" in text
