"""One hose, one tank, one pump over all that a rig can meet, each against a formula or a library from outside.

Bores from 3 to 150 mm, water from 0 to 60 °C, sites to 5000 m, Reynolds numbers from 1e-3 to 1e7, walls from smooth to a
twentieth of the bore, tanks from a millilitre to ten thousand cubic metres.
"""

from __future__ import annotations

import math

import pytest
from CoolProp.CoolProp import PropsSI
from fluids.friction import friction_factor
from hypothesis import assume, given
from hypothesis import strategies as st

from hydrokit.laws.friction import LAMINAR_END, TURBULENT_START
from hydrokit.network import solve
from hydrokit.parts import CentrifugalPump, Fitting, Hose, NonReturnValve, Outlet, Source, Tank
from hydrokit.rig import Line, Mode, Rig, Site
from hydrokit.rules import State
from hydrokit.rules.allowed import allowed_flow
from hydrokit.studies import draw as drawn
from hydrokit.studies import fill
from tests.properties.effort import effort

G = 9.80665
L_MIN = 1.0 / 60_000.0


def log(low: float, high: float) -> st.SearchStrategy[float]:
    return st.floats(0.0, 1.0).map(lambda share: float(low * (high / low) ** share))


BORES = log(3e-3, 0.15)
WALLS = st.one_of(st.just(0.0), log(1e-7, 0.05))
TEMPERATURES = st.floats(273.16, 333.15)  # CoolProp begins at the triple point
ALTITUDES = st.floats(0.0, 5000.0)
VOLUMES = log(1e-6, 1e4)


@st.composite
def liquids(draw: st.DrawFn) -> tuple[Site, float]:
    """Water of a temperature, or a liquid up to ten thousand times as viscous; its kinematic viscosity by CoolProp or as stated."""
    if draw(st.booleans()):
        warm = draw(TEMPERATURES)
        density, viscosity = (float(PropsSI(name, "T", warm, "P", 101_325.0, "Water")) for name in ("D", "V"))
        return Site(water_temperature=warm), viscosity / density
    viscosity = draw(log(1e-4, 10.0))
    return Site(density=1000.0, viscosity=viscosity, vapour_pressure=1000.0), viscosity / 1000.0


@effort(30)
@given(liquids(), BORES, WALLS, log(1e-3, 1e7), log(1e-3, 100.0), st.sampled_from([1.0, -1.0]))
def test_a_hose_carries_the_reynolds_number_that_its_length_was_made_for(
    liquid: tuple[Site, float], bore: float, wall: float, number: float, head: float, sense: float
) -> None:
    """By the friction factor of fluids, outside the bridge between laminar and turbulent; either way through the hose."""
    assume(not 0.98 * LAMINAR_END < number < 1.02 * TURBULENT_START)
    site, viscosity = liquid
    velocity = number * viscosity / bore
    length = head * 2.0 * G * bore / (friction_factor(Re=number, eD=wall) * velocity**2)
    assume(1e-3 <= length <= 1e6)
    rig = Rig(
        site=site,
        sources={
            "one": Source(surface=sense * head, entrance_k=0.0, exit_k=0.0),
            "other": Source(surface=0.0, entrance_k=0.0, exit_k=0.0),
        },
        lines={"run": Line(start="one", end="other", parts=(Hose(length=length, bore=bore, roughness=wall * bore),))},
    )
    wanted = sense * velocity * math.pi / 4.0 * bore**2
    # the compact fit of water is good to some parts in ten thousand; a liquid that is stated is what it is
    assert solve(rig).flow("run")[0] == pytest.approx(wanted, rel=1e-7 if site.viscosity else 5e-4)


@effort(20)
@given(BORES, log(0.05, 300.0), TEMPERATURES, ALTITUDES, log(1e-3, 20.0), st.booleans())
def test_what_is_shut_carries_nothing_and_level_water_stands_still(
    bore: float, length: float, warm: float, altitude: float, head: float, by_valve: bool
) -> None:
    hose = Hose(length=length, bore=bore)

    def flow(surface: float, *, shut: bool) -> float:
        valve = (NonReturnValve(bore=bore),) if shut and by_valve else ()
        modes = {"shut": Mode(closed=("lines.run",))} if shut and not by_valve else {}
        rig = Rig(
            site=Site(water_temperature=warm, altitude=altitude),
            sources={"low": Source(surface=0.0), "high": Source(surface=surface)},
            lines={"run": Line(start="low", end="high", parts=(hose, *valve))},
            modes=modes,
        )
        return float(solve(rig).flow("run")[0])

    assert flow(head, shut=True) == 0.0
    assert flow(0.0, shut=True) == 0.0
    assert flow(0.0, shut=False) == 0.0
    assert flow(head, shut=False) < 0.0


@effort(8)
@given(VOLUMES, log(1e-2, 10.0), BORES, TEMPERATURES, ALTITUDES)
def test_a_tank_filled_from_above_takes_its_volume_over_the_flow(
    volume: float, depth: float, bore: float, warm: float, altitude: float
) -> None:
    rig = Rig(
        site=Site(water_temperature=warm, altitude=altitude),
        sources={"main": Source(surface=20.0)},
        tanks={"tank": Tank(volume=volume, floor=0.0, depth=depth, level=0.25 * depth)},
        lines={"in": Line(start="main", end="tank", parts=(Hose(length=10.0, bore=bore),))},
    )
    takes = 0.75 * volume / float(solve(rig).flow("in")[0])
    answer = fill(rig, time_limit=1e10)
    assert answer.full_after == pytest.approx(takes, rel=1e-7)
    assert answer.imbalance < 1e-12


@effort(8)
@given(VOLUMES, log(0.1, 10.0), BORES, st.floats(1.0, 100.0), ALTITUDES)
def test_a_tank_drains_as_torricelli_says(volume: float, depth: float, bore: float, k: float, altitude: float) -> None:
    """Half of its depth through an opening of constant loss: 2 A / a sqrt((1 + k) / 2g) (sqrt(h) - sqrt(h / 2)).

    Torricelli's law with a loss, integrated (common practice, no source).
    """
    rig = Rig(
        site=Site(altitude=altitude),
        tanks={"tank": Tank(volume=volume, floor=0.0, depth=depth, entrance_k=0.0)},
        outlets={"lip": Outlet(height=0.0)},
        lines={"out": Line(start="tank", end="lip", parts=(Fitting(bore=bore, k=k),))},
    )
    area, opening = volume / depth, math.pi / 4.0 * bore**2
    falls = math.sqrt(depth) - math.sqrt(0.5 * depth)
    takes = 2.0 * area / opening * math.sqrt((1.0 + k) / (2.0 * G)) * falls
    answer = drawn(rig, down_to={"tank": 0.5 * depth}, time_limit=1e10)
    assert answer.empty_after == pytest.approx(takes, rel=1e-3)  # the accuracy that times have
    assert answer.delivered == pytest.approx(0.5 * volume, rel=1e-6)
    assert answer.imbalance < 1e-12


@effort(6)
@given(BORES, st.floats(0.5, 9.0), st.floats(273.15, 333.15), ALTITUDES, st.floats(0.0, 20.0), st.floats(0.0, 2000.0))
def test_warmer_water_or_thinner_air_never_lets_a_pump_draw_more(
    bore: float, lift: float, warm: float, altitude: float, warmer: float, higher: float
) -> None:
    """What suction allows, at one viscosity: that of warm water is less, so that its friction is."""
    area = math.pi / 4.0 * bore**2
    required = ((0.0, 1.0), (3.0 * area, 4.0))
    pump = CentrifugalPump(heads=((0.0, 40.0), (3.0 * area, 0.0)), height=lift, npsh_required=required)
    rig = Rig(
        site=Site(density=1000.0, viscosity=1e-3, vapour_pressure=1000.0),
        sources={"pond": Source(surface=0.0)},
        outlets={"lip": Outlet(height=lift)},
        lines={"up": Line(start="pond", end="lip", parts=(Hose(length=5.0, bore=bore), pump))},
    )

    def allowed(kelvin: float, metres: float) -> float:
        vapour = float(PropsSI("P", "T", max(kelvin, 273.16), "Q", 0.0, "Water"))
        state = State(solve(rig, None, {"site.altitude": metres, "site.vapour_pressure": vapour}))
        return float(allowed_flow(state, state.running[0])[0])

    here = allowed(warm, altitude)
    assert allowed(min(warm + warmer, 333.15), altitude) <= here * (1.0 + 1e-9)
    assert allowed(warm, min(altitude + higher, 5000.0)) <= here * (1.0 + 1e-9)
