"""What flow suction allows, against a root finder on the suction side alone."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from CoolProp.CoolProp import PropsSI
from fluids.friction import friction_factor
from scipy.optimize import brentq

from hydrokit.parts import Hose, Joint, Outlet, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules.allowed import allowed_flow, allows

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.parts import CentrifugalPump, DiaphragmPump
    from hydrokit.rules import State

G, LITRE, AIR = 9.80665, 1.0 / 60_000.0, 101_325.0
TEMPERATURE = 293.15
DENSITY = float(PropsSI("D", "T", TEMPERATURE, "P", AIR, "Water"))
VISCOSITY = float(PropsSI("V", "T", TEMPERATURE, "P", AIR, "Water"))
VAPOUR = float(PropsSI("P", "T", TEMPERATURE, "Q", 0.0, "Water"))
BORE, LENGTH = 0.019, 8.0
POINTS = ((0.0, 1.5), (20.0 * LITRE, 2.0), (40.0 * LITRE, 3.5))


def velocity_head(flow: float) -> float:
    return float((flow / (np.pi / 4.0 * BORE**2)) ** 2 / (2.0 * G))


def npsh_left(flow: float, height: float, length: float = LENGTH) -> float:
    """Return the NPSH at the end of a bare suction hose, m."""
    reynolds = flow * BORE * DENSITY / (np.pi / 4.0 * BORE**2 * VISCOSITY)
    assert reynolds > 4000.0
    factor = friction_factor(Re=reynolds, eD=1.5e-6 / BORE)
    return (AIR - VAPOUR) / (DENSITY * G) - height - (factor * length / BORE + 0.5) * velocity_head(flow)


def rig_of(pond_rig: Callable[..., Rig], pump: Any, height: float) -> Rig:
    suction = Hose(name="suction-hose", bore=BORE, length=LENGTH)
    site = Site(water_temperature=TEMPERATURE)
    return pond_rig(pump, before=(suction,), height=height, lip=height + 0.2, site=site)


@pytest.mark.parametrize("height", [6.8, 7.0, 7.3])
def test_it_is_the_flow_at_which_npsh_offered_is_that_required_or_water_falls_apart(
    pond_rig: Callable[..., Rig],
    centrifugal: Callable[..., CentrifugalPump],
    state: Callable[..., State],
    height: float,
) -> None:
    here = state(rig_of(pond_rig, centrifugal(npsh_required=POINTS), height))
    (pump,) = here.running

    def slack(flow: float) -> float:
        left = npsh_left(flow, height)
        required = float(np.interp(flow, *zip(*POINTS, strict=True)))
        return min(left - required, left - velocity_head(flow) - 20e3 / (DENSITY * G))

    wanted = brentq(slack, 5.0 * LITRE, 40.0 * LITRE, xtol=1e-12)
    assert allowed_flow(here, pump)[0] == pytest.approx(wanted, rel=1e-4)  # water by other formulae
    assert allowed_flow(here, pump)[0] < here.flow_at(pump)[0]
    assert allows(here, pump, np.array([0.999 * wanted]))[0]
    assert not allows(here, pump, np.array([1.001 * wanted]))[0]


def test_where_no_npsh_is_stated_it_is_the_flow_at_which_water_begins_to_fall_apart(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    here = state(rig_of(pond_rig, centrifugal(npsh_required=None), 7.2))
    (pump,) = here.running
    kept = 20e3 / (DENSITY * G)
    wanted = brentq(
        lambda flow: npsh_left(flow, 7.2) - velocity_head(flow) - kept, 5.0 * LITRE, 60.0 * LITRE, xtol=1e-12
    )
    assert allowed_flow(here, pump)[0] == pytest.approx(wanted, rel=1e-4)


def test_where_suction_does_not_limit_it_is_the_duty(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    here = state(rig_of(pond_rig, centrifugal(), 1.0))
    (pump,) = here.running
    assert allowed_flow(here, pump).tolist() == here.flow_at(pump).tolist()


def test_where_not_even_still_water_stays_whole_it_is_nothing(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    here = state(rig_of(pond_rig, centrifugal(), 9.5))
    (pump,) = here.running
    assert allowed_flow(here, pump).tolist() == [0.0]


def test_every_variant_has_its_own(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    rig = rig_of(pond_rig, centrifugal(), 1.0)
    heights = np.array([1.0, 7.0, 9.5])
    together = state(rig, None, {"lines.intake.pump.height": heights})
    (pump,) = together.running
    alone = [state(rig, None, {"lines.intake.pump.height": height}) for height in heights]
    assert allowed_flow(together, pump).tolist() == pytest.approx(
        [float(allowed_flow(each, each.running[0])[0]) for each in alone], rel=1e-9
    )


def test_beyond_its_data_sheet_a_pump_is_taken_to_require_what_it_states_last(
    pond_rig: Callable[..., Rig], centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    # 6 m at 10 L/min and nothing stated beyond: the duty lies beyond, the pump cannot have it
    pump_sheet = centrifugal(npsh_required=((0.0, 1.0), (10.0 * LITRE, 6.0)))
    here = state(rig_of(pond_rig, pump_sheet, 5.0))
    (pump,) = here.running
    assert here.flow_at(pump)[0] > 10.0 * LITRE
    wanted = brentq(lambda flow: npsh_left(flow, 5.0) - 1.0 - 0.5 * flow / LITRE, 5.0 * LITRE, 10.0 * LITRE)
    assert allowed_flow(here, pump)[0] == pytest.approx(wanted, rel=1e-4)


def test_a_high_point_on_the_way_limits_as_well(
    pond_rig: Callable[..., Rig], diaphragm: Callable[..., DiaphragmPump], state: Callable[..., State]
) -> None:
    over = Hose(name="suction-hose", bore=BORE, length=LENGTH, high_point=7.95)
    here = state(pond_rig(diaphragm(), before=(over,), height=1.0, lip=1.2, site=Site(water_temperature=TEMPERATURE)))
    (pump,) = here.running
    kept = 20e3 / (DENSITY * G)

    def slack(flow: float) -> float:  # half the friction is spent at the crest, all of the mouth's loss
        half = 0.5 * (npsh_left(flow, 0.0, 0.0) + npsh_left(flow, 0.0))
        return half - 7.95 - velocity_head(flow) - kept

    assert slack(11.0 * LITRE) < 0.0 < slack(4.6 * LITRE)
    assert allowed_flow(here, pump)[0] == pytest.approx(brentq(slack, 4.6 * LITRE, 11.0 * LITRE), rel=1e-4)


def forked(pump: CentrifugalPump, height: float) -> Rig:
    half = Hose(bore=BORE, length=LENGTH)
    return Rig(
        site=Site(water_temperature=TEMPERATURE),
        sources={"pond": Source(surface=0.0), "pool": Source(surface=0.0)},
        outlets={"tap": Outlet(height=height + 0.2)},
        joints={"fork": Joint(height=height)},
        lines={
            "one": Line(start="pond", end="fork", parts=(half,)),
            "two": Line(start="pool", end="fork", parts=(half,)),
            "up": Line(start="fork", end="tap", parts=(replace(pump, height=height), Hose(bore=0.025, length=1.0))),
        },
    )


def test_through_two_hoses_side_by_side_twice_the_flow_is_allowed(
    centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    here = state(forked(centrifugal(npsh_required=((0.0, 2.5), (80.0 * LITRE, 2.5))), 7.2))
    (pump,) = here.running
    wanted = 2.0 * brentq(lambda flow: npsh_left(flow, 7.2) - 2.5, 5.0 * LITRE, 30.0 * LITRE)
    assert wanted < here.flow_at(pump)[0]
    assert allowed_flow(here, pump)[0] == pytest.approx(wanted, rel=1e-4)


def split_at(joint_height: float, rig: Rig) -> Rig:
    """The same rig with a joint between the suction hose and the pump: nothing is lost there."""
    line = rig.lines["intake"]
    hose, pump, *rest = line.parts
    lines = {
        "feed": replace(line, end="mid", parts=(hose,)),
        "intake": replace(line, start="mid", parts=(pump, *rest)),
    }
    return replace(rig, joints={"mid": Joint(height=joint_height)}, lines={**rig.lines, **lines})


@pytest.mark.parametrize(("crest", "height"), [(None, 7.0), (7.95, 1.0), (7.6, 1.0)])
def test_what_happens_before_a_joint_counts_as_on_the_pumps_own_line(
    pond_rig: Callable[..., Rig],
    centrifugal: Callable[..., CentrifugalPump],
    state: Callable[..., State],
    crest: float | None,
    height: float,
) -> None:
    over = Hose(name="suction-hose", bore=BORE, length=LENGTH, high_point=crest)
    pump = centrifugal(npsh_required=POINTS if crest is None else None)
    whole = pond_rig(pump, before=(over,), height=height, lip=height + 0.2, site=Site(water_temperature=TEMPERATURE))
    one, two = state(whole), state(split_at(height, whole))
    allowed = allowed_flow(one, one.running[0])
    assert 0.0 < allowed[0] < 0.99 * one.flow_at(one.running[0])[0]
    assert two.flow_at(two.running[0]) == pytest.approx(one.flow_at(one.running[0]), rel=1e-9)
    assert allowed_flow(two, two.running[0]) == pytest.approx(allowed, rel=1e-6)
    assert allows(two, two.running[0], 0.999 * allowed).tolist() == [True]
    assert allows(two, two.running[0], 1.001 * allowed).tolist() == [False]


@pytest.mark.slow
def test_the_worse_of_two_hoses_to_a_joint_decides(
    centrifugal: Callable[..., CentrifugalPump], state: Callable[..., State]
) -> None:
    """One of them rises so high that its water falls apart, however little flows (air pressure less 20 kPa and vapour)."""
    rig = forked(centrifugal(npsh_required=None), 3.0)
    hose = rig.lines["two"].parts[0]
    whole = (AIR - VAPOUR - 20e3) / (DENSITY * G)
    for crest, some in ((whole - 0.3, True), (whole + 0.05, False)):
        lines = {**rig.lines, "two": replace(rig.lines["two"], parts=(replace(hose, high_point=crest),))}
        here = state(replace(rig, lines=lines))
        (pump,) = here.running
        allowed = allowed_flow(here, pump)[0]
        assert allowed < here.flow_at(pump)[0]
        assert bool(allowed > 0.0) is some
