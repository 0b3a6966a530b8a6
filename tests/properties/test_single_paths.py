"""One line from water to a lip, over all that a rig can meet: what makes it longer, narrower, rougher or deeper brings no more.

Bores from 3 to 150 mm, walls from smooth to a twentieth of the bore, water from 0 to 60 °C, altitudes to 5000 m.
"""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.network import solve
from hydrokit.parts import CentrifugalPump, DiaphragmPump, Filter, Hose, Outlet, Source
from hydrokit.rig import Line, Rig, Site
from tests.properties.effort import effort

L_MIN = 1.0 / 60_000.0
NOTHING = 1e-15  # m³/s
ROUNDING = 1e-9


def log(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(0.0, 1.0).map(lambda share: float(low * (high / low) ** share))


BORES = log(3e-3, 0.15)
LENGTHS = log(0.05, 300.0)
WALLS = st.one_of(st.just(0.0), log(1e-7, 0.05))
SITES = st.builds(Site, water_temperature=st.floats(273.15, 333.15), altitude=st.floats(0.0, 5000.0))
PUMPS = st.one_of(
    st.none(),
    st.builds(
        lambda flow, top: DiaphragmPump(points=((0.0, top), (0.5 * flow, 0.6 * top), (flow, 0.0)), height=0.0),
        log(1.0 * L_MIN, 100.0 * L_MIN),
        log(2e4, 1e6),
    ),
    st.builds(
        lambda flow, top: CentrifugalPump(heads=((0.0, top), (flow, 0.0)), height=0.0),
        log(5.0 * L_MIN, 2000.0 * L_MIN),
        log(1.0, 80.0),
    ),
)
FILTERS = st.one_of(  # one point, viscous: a square part goes straight below Re 10 in the hose, where a wider one starts sooner
    st.none(),
    st.builds(lambda flow, drop: Filter(points=((flow, drop),)), log(1.0 * L_MIN, 200.0 * L_MIN), log(1e3, 2e5)),
)


@st.composite
def paths(draw: st.DrawFn) -> Rig:
    """A source, a hose, perhaps a pump and a filter, a hose of the same bore, a lip."""
    bore = draw(BORES)
    rough = draw(WALLS) * bore

    def hose(name: str) -> Hose:
        return Hose(name=name, length=draw(LENGTHS), bore=bore, roughness=rough)

    middle = [part for part in (draw(PUMPS), draw(FILTERS)) if part is not None]
    return Rig(
        site=draw(SITES),
        sources={"pond": Source(surface=draw(st.floats(-10.0, 10.0)))},
        outlets={"lip": Outlet(height=0.0)},
        lines={"run": Line(start="pond", end="lip", parts=(hose("first"), *middle, hose("last")))},
    )


def flow(rig: Rig, changed: dict[str, Any] | None = None) -> float:
    return float(solve(rig, None, changed).flow("run")[0])


def with_parts(rig: Rig, parts: tuple[Any, ...]) -> Rig:
    return replace(rig, lines={"run": replace(rig.lines["run"], parts=parts)})


@effort(60)
@given(paths(), st.floats(0.0, 1.0))
def test_a_hose_cut_in_two_carries_the_same(rig: Rig, share: float) -> None:
    first, *rest = rig.lines["run"].parts
    assert isinstance(first, Hose)
    cut = [replace(first, name="", length=part * first.length) for part in (share, 1.0 - share)]
    assert flow(with_parts(rig, (*cut, *rest))) == pytest.approx(flow(rig), rel=ROUNDING, abs=NOTHING)


@effort(60)
@given(paths(), st.floats(0.0, 15.0))
def test_deeper_water_brings_no_more(rig: Rig, deeper: float) -> None:
    surface = rig.sources["pond"].surface
    assert flow(rig, {"sources.pond.surface": surface - deeper}) <= flow(rig) * (1.0 + ROUNDING) + NOTHING


@effort(60)
@given(paths(), st.floats(1.0, 20.0))
def test_a_longer_hose_brings_no_more(rig: Rig, times: float) -> None:
    length = rig.lines["run"].parts[0].length
    assert flow(rig, {"lines.run.first.length": times * length}) <= flow(rig) * (1.0 + ROUNDING) + NOTHING


@effort(60)
@given(paths(), st.floats(0.2, 1.0))
def test_narrower_hose_all_the_way_brings_no_more(rig: Rig, share: float) -> None:
    bore = max(share * rig.lines["run"].parts[0].bore, 3e-3)
    narrow = flow(rig, {"lines.run.first.bore": bore, "lines.run.last.bore": bore})
    assert narrow <= flow(rig) * (1.0 + ROUNDING) + NOTHING


@effort(60)
@given(paths(), WALLS)
def test_a_rougher_wall_brings_no_more(rig: Rig, more: float) -> None:
    hose = rig.lines["run"].parts[0]
    rougher = min(hose.wall_roughness + more * hose.bore, 0.05 * hose.bore)
    assert flow(rig, {"lines.run.first.roughness": rougher}) <= flow(rig) * (1.0 + ROUNDING) + NOTHING


@effort(40)
@given(paths(), st.floats(0.0, 5000.0))
def test_thin_air_takes_nothing_from_a_full_pipe(rig: Rig, altitude: float) -> None:
    assert flow(rig, {"site.altitude": altitude}) == flow(rig)


@effort(40)
@given(paths())
def test_two_lines_side_by_side_bring_twice_as_much(rig: Rig) -> None:
    twice = replace(rig, lines={"run": rig.lines["run"], "twin": rig.lines["run"]})
    solution, alone = solve(twice), flow(rig)
    assert solution.flow("run")[0] == pytest.approx(alone, rel=ROUNDING, abs=NOTHING)
    assert solution.flow("twin")[0] == pytest.approx(alone, rel=ROUNDING, abs=NOTHING)


@effort(60)
@given(paths())
def test_twins_between_two_joints_carry_half_each(rig: Rig) -> None:
    """Two hoses side by side between joints lose at Q what one of them loses at half of Q: the flow is found again."""
    first, *rest = rig.lines["run"].parts
    if any(isinstance(part, DiaphragmPump) for part in rest):  # a pump in each half is another rig
        return
    start = Line(start="pond", end="fork", parts=tuple(rest))
    twins = {name: Line(start="fork", end="lip", parts=(first,)) for name in ("left", "right")}
    solution = solve(replace(rig, lines={"start": start, **twins}))
    whole, left, right = (float(solution.flow(name)[0]) for name in ("start", "left", "right"))
    assert left == pytest.approx(right, rel=1e-9, abs=1e-12)
    assert left + right == pytest.approx(whole, rel=1e-9, abs=1e-12)


@effort(60)
@given(paths(), st.floats(0.2, 5.0))
def test_flows_go_with_viscosity_where_heads_go_with_its_square(rig: Rig, times: float) -> None:
    """The same Reynolds numbers everywhere: similarity, common practice, no source."""
    still = with_parts(rig, tuple(part for part in rig.lines["run"].parts if isinstance(part, Hose)))

    def of(ratio: float) -> float:
        site = Site(density=1000.0, viscosity=1e-3 * ratio, vapour_pressure=2000.0)
        surface = rig.sources["pond"].surface * ratio**2
        return flow(replace(still, site=site, sources={"pond": Source(surface=surface)}))

    assert of(times) == pytest.approx(times * of(1.0), rel=1e-8, abs=NOTHING)
