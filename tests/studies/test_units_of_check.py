"""Units never change an answer: the same rig written in other units gives the same check."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.bounds import Dimension
from hydrokit.files import read_rig
from hydrokit.studies import check
from hydrokit.units import in_unit

FILE = """
format = 1
[site]
altitude = "{altitude}"
water_temperature = "{temperature}"
[sources.pond]
surface = "0 m"
[tanks.tank]
volume = "{volume}"
floor = "1.6 m"
depth = "0.45 m"
inlet_height = "2.1 m"
[lines.intake]
from = "pond"
to = "tank"
parts = [
  {{ part = "foot valve", bore = "{suction}" }},
  {{ part = "hose", name = "suction-hose", bore = "{suction}", length = "{length}", vacuum_rating = "{vacuum}" }},
  {{ part = "diaphragm pump", name = "pump", height = "{height}", points = [["{slow}", "{high}"], ["{fast}", "0 bar"]], dry_lift = "2.4 m", vacuum_rating = "{vacuum}" }},
  {{ part = "hose", name = "delivery-hose", bore = "{delivery}", length = "3 m", pressure_rating = "10 bar" }},
]
"""
UNITS = {
    "altitude": (Dimension.LENGTH, ("m", "ft", "km")),
    "temperature": (Dimension.TEMPERATURE, ("°C", "°F", "K")),
    "volume": (Dimension.VOLUME, ("L", "US gal", "imperial gal", "m³")),
    "suction": (Dimension.LENGTH, ("mm", "in", "cm")),
    "delivery": (Dimension.LENGTH, ("mm", "in", "m")),
    "length": (Dimension.LENGTH, ("m", "ft", "in")),
    "height": (Dimension.LENGTH, ("m", "ft", "cm")),
    "slow": (Dimension.FLOW, ("L/min", "US gpm", "m³/h", "imperial gpm")),
    "fast": (Dimension.FLOW, ("L/min", "L/s", "US gpm")),
    "high": (Dimension.PRESSURE_DROP, ("bar", "psi", "kPa", "mH2O")),
    "vacuum": (Dimension.VACUUM, ("bar", "kPa", "psi")),
}
RIG = {
    "altitude": 140.0, "temperature": 282.15, "volume": 0.06, "suction": 0.025, "delivery": 0.019, "length": 5.0,
    "height": 1.5, "slow": 5.3 / 60e3, "fast": 11.3 / 60e3, "high": 2.8e5, "vacuum": 45e3,
}  # fmt: skip


def written(chosen: dict[str, str], values: dict[str, float]) -> str:
    texts = {}
    for name, (dimension, _) in UNITS.items():
        mark = " vacuum" if dimension is Dimension.VACUUM else ""
        texts[name] = f"{in_unit(values[name], dimension, chosen[name]):.15g} {chosen[name]}{mark}"
    return FILE.format(**texts)


@settings(max_examples=40, deadline=None)
@given(
    chosen=st.fixed_dictionaries({name: st.sampled_from(units) for name, (_, units) in UNITS.items()}),
    height=st.floats(0.5, 8.0),
    suction=st.floats(0.012, 0.04),
)
def test_a_rig_written_in_other_units_gives_the_same_check(
    chosen: dict[str, str], height: float, suction: float
) -> None:
    values = {**RIG, "height": height, "suction": suction}
    first = {name: units[0] for name, (_, units) in UNITS.items()}
    ours, theirs = check(read_rig(written(first, values))), check(read_rig(written(chosen, values)))
    assert theirs.flow == pytest.approx(ours.flow, rel=1e-9, abs=1e-15)
    assert theirs.full_pipe_flow == pytest.approx(ours.full_pipe_flow, rel=1e-9)
    assert len(theirs.findings) == len(ours.findings)
    told = {(each.rule, each.place): each for each in theirs.findings}
    for finding in ours.findings:
        other = told[finding.rule, finding.place]
        if finding.margin is None:
            assert (other.margin, other.verdict) == (None, finding.verdict)
            continue
        assert other.margin == pytest.approx(finding.margin, rel=1e-7, abs=1e-9)
        if abs(finding.margin) > 1e-6:  # on the very edge either word is right
            assert other.verdict is finding.verdict
