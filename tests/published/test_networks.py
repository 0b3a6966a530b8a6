"""Published pipes in series and in parallel, branched and looped networks, siphons, and duties found by the network.

Where a book leaves out velocity heads and changes of bore, ends have K 0 and pipes meet at joints, where none is counted.
"""

from __future__ import annotations

from typing import Any

import numpy as np
import pytest
from scipy.optimize import brentq

from hydrokit.laws.friction import friction_factor
from hydrokit.network import Solution, solve
from hydrokit.parts import CentrifugalPump, Fitting, Hose, Joint, Outlet, Source
from hydrokit.rig import Line, Rig, Site
from hydrokit.water import STANDARD_GRAVITY


def level(height: float) -> Source:
    """Return a reservoir without losses at its pipes."""
    return Source(surface=height, entrance_k=0.0, exit_k=0.0)


def pipe(start: str, end: str, *, length: float, bore: float, factor: float | None = None, **more: Any) -> Line:
    return Line(start=start, end=end, parts=(Hose(length=length, bore=bore, friction_factor=factor, **more),))


def in_series(head: float, lengths: Any, bores: Any, factor: float) -> Solution:
    """Return pipes of a stated friction factor between two reservoirs, friction alone counted."""
    names = ["upper", *(f"joint-{number}" for number in range(1, len(lengths))), "lower"]
    lines = {
        f"pipe-{number}": pipe(start, end, length=float(length), bore=float(bore), factor=factor)
        for number, (start, end, length, bore) in enumerate(
            zip(names, names[1:], lengths, bores, strict=False), start=1
        )
    }
    return solve(Rig(sources={"upper": level(head), "lower": level(0.0)}, lines=lines))


def side_by_side(head: float, lengths: Any, bores: Any, factors: Any) -> Solution:
    lines = {
        f"pipe-{number}": pipe("upper", "lower", length=float(length), bore=float(bore), factor=float(factor))
        for number, (length, bore, factor) in enumerate(zip(lengths, bores, factors, strict=True), start=1)
    }
    return solve(Rig(sources={"upper": level(head), "lower": level(0.0)}, lines=lines))


def test_series_subramanya_11_4(published) -> None:
    """Subramanya, example 11.4: the single pipe that stands for three, the same friction factor in each."""
    example = published("series-subramanya-11-4")
    lengths, bores = example.given("lengths"), example.given("bores")
    head, factor = 50.0, 0.02  # any: they cancel
    flow = in_series(head, lengths, bores, factor).flow("pipe-1")[0]

    def single(length: float, bore: float) -> float:
        return float(in_series(head, [length], [bore], factor).flow("pipe-1")[0])

    bore, length = example.given("reference_bore"), example.given("reference_length")
    example.agrees("equivalent_length", brentq(lambda length: single(length, bore) - flow, 1e3, 1e4))
    example.agrees("equivalent_bore", brentq(lambda bore: single(length, bore) - flow, 0.1, 1.0))


def test_series_choudhary_7_15(published) -> None:
    """Choudhary and Prakash, example 7.15: three pipes between two tanks."""
    example = published("series-choudhary-7-15")
    factor = example.plain("darcy_friction_factor")
    solution = in_series(example.given("head"), example.given("lengths"), example.given("bores"), factor)
    example.agrees("flow", solution.flow("pipe-2")[0])


def test_series_geankoplis_2_10_6(published) -> None:
    """Geankoplis, example 2.10-6: the level that drives a flow; the contraction is the book's, 0.55 (1 - A2/A1)."""
    example = published("series-geankoplis-2-10-6")
    bores = example.given("bore_1"), example.given("bore_2")
    elbow = example.plain("elbow_k")
    k_1 = example.plain("entrance_k") + example.plain("elbows_1") * elbow
    k_2 = 0.55 * (1.0 - (bores[1] / bores[0]) ** 2) + example.plain("elbows_2") * elbow
    runs = [
        (
            Fitting(bore=bore, k=k),
            Hose(
                length=example.given(f"length_{number}"),
                bore=bore,
                friction_factor=example.plain(f"darcy_friction_factor_{number}"),
            ),
        )
        for number, bore, k in ((1, bores[0], k_1), (2, bores[1], k_2))
    ]
    rig = Rig(
        site=Site(density=example.given("density"), viscosity=example.given("viscosity"), vapour_pressure=2e3),
        outlets={"end": Outlet(height=0.0)},
        joints={"tank": Joint(demand=-example.given("flow")), "step": Joint()},
        lines={
            "wide": Line(start="tank", end="step", parts=runs[0]),
            "narrow": Line(start="step", end="end", parts=runs[1]),
        },
    )
    example.agrees("head", solve(rig).head("tank")[0])


def test_series_dighe_6_20(published) -> None:
    """Dighe, example 6.20: three pipes in line, friction alone."""
    example = published("series-dighe-6-20")
    factor = example.plain("darcy_friction_factor")
    solution = in_series(example.given("head"), example.given("lengths"), example.given("bores"), factor)
    example.agrees("flow", solution.flow("pipe-3")[0])


def test_parallel_cengel_8_7(published) -> None:
    """Cengel and Cimbala, example 8-7: a pump of known power feeds two pipes, friction factors computed."""
    example = published("parallel-cengel-8-7")
    bores, rough, rise = example.given("bores"), example.given("roughness"), example.given("rise")
    density = example.given("density")

    def fed(flow: float) -> Solution:
        lines = {
            f"pipe-{number}": pipe("pump", "upper", length=example.given("length"), bore=float(bore), roughness=rough)
            for number, bore in enumerate(bores, start=1)
        }
        return solve(
            Rig(
                site=Site(density=density, viscosity=example.given("viscosity"), vapour_pressure=2e3),
                sources={"upper": level(rise)},
                joints={"pump": Joint(demand=-flow)},
                lines=lines,
            )
        )

    def head_of(flow: float) -> float:
        return example.given("electrical_power") * example.given("efficiency") / (density * STANDARD_GRAVITY * flow)

    flow = brentq(lambda flow: fed(flow).head("pump")[0] - head_of(flow), 1e-3, 0.1)
    solution = fed(flow)
    branches = solution.flows.flow[0]
    example.agrees("flow", flow)
    example.agrees("branch_flows", branches)
    example.agrees("head_loss", solution.head("pump")[0] - rise)
    example.agrees("pump_head", solution.head("pump")[0])
    numbers = solution.walk.reynolds[0, solution.plan.stations.begins + 1]
    example.agrees("darcy_friction_factors", friction_factor(reynolds=numbers, relative_roughness=rough / bores))


def test_parallel_khan_9_11(published) -> None:
    """Khan, example 9.11: three branches share a flow."""
    example = published("parallel-khan-9-11")
    factors = example.plain("darcy_friction_factors")
    lines = {
        f"pipe-{number}": pipe("supply", "users", length=float(length), bore=float(bore), factor=factor)
        for number, (length, bore, factor) in enumerate(
            zip(example.given("lengths"), example.given("bores"), factors, strict=True), start=1
        )
    }
    rig = Rig(sources={"supply": level(0.0)}, joints={"users": Joint(demand=example.given("flow"))}, lines=lines)
    solution = solve(rig)
    example.agrees("flow_1", solution.flow("pipe-1")[0])
    example.agrees("flow_2", solution.flow("pipe-2")[0])
    example.agrees("head_loss", -solution.head("users")[0])


def test_parallel_choudhary_7_17(published) -> None:
    """Choudhary and Prakash, example 7.17: two pipes and the one that could replace them."""
    example = published("parallel-choudhary-7-17")
    head, length, factor = example.given("head"), example.given("length"), example.plain("darcy_friction_factor")
    solution = side_by_side(head, [length, length], example.given("bores"), [factor, factor])
    example.agrees("branch_flows", solution.flows.flow[0])
    total = solution.flows.flow[0].sum()
    bore = brentq(lambda bore: in_series(head, [length], [bore], factor).flow("pipe-1")[0] - total, 0.05, 0.5)
    example.agrees("equivalent_bore", bore)


def test_parallel_lal_5_16(published) -> None:
    """Lal, example 5.16: half of a line doubled."""
    example = published("parallel-lal-5-16")
    head, bore, factor = example.given("head"), example.given("bore"), example.plain("darcy_friction_factor")
    half = example.given("length") / 2.0
    before = in_series(head, [half, half], [bore, bore], factor).flow("pipe-1")[0]
    lines = {
        "first": pipe("upper", "middle", length=half, bore=bore, factor=factor),
        "old": pipe("middle", "lower", length=half, bore=bore, factor=factor),
        "new": pipe("middle", "lower", length=half, bore=bore, factor=factor),
    }
    after = solve(Rig(sources={"upper": level(head), "lower": level(0.0)}, lines=lines)).flow("first")[0]
    example.agrees("gain_percent", 100.0 * (after / before - 1.0))


def branched(example) -> Solution:
    """Return three reservoirs whose pipes meet at one joint, each pipe drawn towards it."""
    names = ["first", "second", "third"]
    levels, lengths, bores = (example.given(name) for name in ("levels", "lengths", "bores"))
    factor = example.plain("darcy_friction_factor")
    return solve(
        Rig(
            sources={name: level(float(height)) for name, height in zip(names, levels, strict=True)},
            lines={
                name: pipe(name, "meeting", length=float(length), bore=float(bore), factor=factor)
                for name, length, bore in zip(names, lengths, bores, strict=True)
            },
        )
    )


def test_branch_munson_8_14(published) -> None:
    """Munson, example 8.14: three reservoirs; whether the second gives or takes is not known beforehand."""
    example = published("branch-munson-8-14")
    first, second, third = branched(example).flows.flow[0]
    example.agrees("flows", [first, -second, -third])


def test_branch_coulson_3_4(published) -> None:
    """Coulson and Richardson, example 3.4: two tanks feed a third."""
    example = published("branch-coulson-3-4")
    example.agrees("flow_to_lowest", -branched(example).flow("third")[0])


def test_loop_lecture_ce3620(published) -> None:
    """Lecture notes CE 3620, Hardy Cross: two loops between two supplies, h = K Q^2, four demands."""
    example = published("loop-lecture-ce3620")
    bore = 0.3048  # any: K of the fitting is put on it
    lines = {}
    for name, resistance in zip(example.plain("pipes"), example.given("resistances"), strict=True):
        start, end = name.split("-")
        k = resistance * np.pi**2 * STANDARD_GRAVITY * bore**4 / 8.0
        lines[name] = Line(start=start, end=end, parts=(Fitting(bore=bore, k=float(k)),))
    rig = Rig(
        sources={"A": level(example.given("level_a")), "B": level(example.given("level_b"))},
        joints={
            node: Joint(demand=float(demand))
            for node, demand in zip(example.plain("nodes"), example.given("demands"), strict=True)
        },
        lines=lines,
    )
    solution = solve(rig)
    for start, end in (("1", "2"), ("4", "2"), ("1", "4")):
        example.agrees(f"flow_{start}_{end}", solution.flow(f"{start}-{end}")[0])
        example.agrees(f"head_loss_{start}_{end}", solution.head(start)[0] - solution.head(end)[0])


def test_loop_douglas_14_7(published) -> None:
    """Douglas, example 14.7: a loop, a main, and a junction where half of the flow leaves."""
    example = published("loop-douglas-14-7")
    factor = example.plain("darcy_friction_factor")
    ends = (("supply", "b"), ("supply", "b"), ("b", "c"), ("c", "end"))
    lines = {
        f"pipe-{number}": pipe(*between, length=float(length), bore=float(bore), factor=factor)
        for number, (between, length, bore) in enumerate(
            zip(ends, example.given("lengths"), example.given("bores"), strict=True), start=1
        )
    }
    rig = Rig(
        sources={"supply": level(example.given("level_supply")), "end": level(example.given("level_end"))},
        joints={"b": Joint(), "c": Joint()},
        lines=lines,
    )

    def drawn(demand: float) -> Solution:
        return solve(rig, variation={"joints.c.demand": demand})

    def short_of_its_share(demand: float) -> float:
        solution = drawn(demand)
        return float(solution.flow("pipe-4")[0] - example.plain("share_to_end") * solution.flow("pipe-3")[0])

    solution = drawn(brentq(short_of_its_share, 1e-3, 0.2))
    example.agrees("flow", solution.flow("pipe-3")[0])
    example.agrees("junction_head", solution.head("c")[0])


def test_siphon_cengel_5_7(published) -> None:
    """Cengel and Cimbala, example 5-7: petrol siphoned without friction, pressure at the crest."""
    example = published("siphon-cengel-5-7")
    crest = Fitting(bore=example.given("bore"), k=0.0, height=example.given("crest_above_outlet"))
    rig = Rig(
        site=Site(
            density=example.given("density"),
            viscosity=5e-4,
            vapour_pressure=2e3,
            air_pressure=example.given("air_pressure"),
        ),
        sources={"tank": level(example.given("drop"))},
        outlets={"can": Outlet(height=0.0)},
        lines={"over": Line(start="tank", end="can", parts=(crest,))},
    )
    solution = solve(rig)
    example.agrees("time", example.given("volume") / solution.flow("over")[0])
    at_crest = [element.kind for element in solution.plan.elements].index("fitting")
    example.agrees("crest_pressure", solution.walk.absolute_pressure[0, solution.walk.after[at_crest]])


def test_siphon_choudhary_7_21(published) -> None:
    """Choudhary and Prakash, example 7.21: a long siphon, pipe friction alone in the flow."""
    example = published("siphon-choudhary-7-21")
    bore, head, factor = example.given("bore"), example.given("head"), example.plain("darcy_friction_factor")
    up = example.given("length_to_crest")
    weight = 1000.0 * STANDARD_GRAVITY
    parts = (
        Hose(length=up, bore=bore, friction_factor=factor),
        Fitting(bore=bore, k=0.0, height=head + example.given("crest_above_supply")),
        Hose(length=example.given("length") - up, bore=bore, friction_factor=factor),
    )
    rig = Rig(
        site=Site(density=1000.0, viscosity=1e-3, vapour_pressure=2e3, air_pressure=example.given("air_head") * weight),
        sources={"upper": level(head), "lower": level(0.0)},
        lines={"over": Line(start="upper", end="lower", parts=parts)},
    )
    solution = solve(rig)
    example.agrees("flow", solution.flow("over")[0])
    at_crest = [element.kind for element in solution.plan.elements].index("fitting")
    example.agrees("crest_head_absolute", solution.walk.absolute_pressure[0, solution.walk.after[at_crest]] / weight)


def test_tank_cengel_5_1(published) -> None:
    """Cengel and Cimbala, example 5-1: a bucket filled from a nozzle."""
    example = published("tank-cengel-5-1")
    flow = example.given("volume") / example.given("time")
    rig = Rig(
        outlets={"nozzle": Outlet(height=0.0)},
        joints={"hose": Joint(demand=-flow)},
        lines={"end": Line(start="hose", end="nozzle", parts=(Fitting(bore=example.given("nozzle_bore"), k=0.0),))},
    )
    solution = solve(rig)
    example.agrees("flow", solution.flow("end")[0])
    example.agrees("nozzle_velocity", solution.walk.velocity[0, 0])


def test_duty_munson_12_4_by_the_network(published) -> None:
    """Munson, example 12.4: the crossing of pump and system curve, found by the network."""
    example = published("duty-munson-12-4")
    bore = example.given("bore")
    curve = tuple(zip(example.given("pump_flow").tolist(), example.given("pump_head").tolist(), strict=True))
    parts = (
        CentrifugalPump(heads=curve, name="pump"),
        Fitting(bore=bore, k=example.plain("fixed_k")),
        Hose(length=example.given("length"), bore=bore, friction_factor=example.plain("darcy_friction_factor")),
    )
    rig = Rig(
        sources={"lower": level(0.0), "upper": level(example.given("rise"))},
        lines={"lift": Line(start="lower", end="upper", parts=parts)},
    )
    solution = solve(rig)
    flow = solution.flow("lift")[0]
    gained = -solution.walk.loss[0, solution.plan.pumps.element[0]]
    example.agrees("flow", flow)
    example.agrees("head", gained)
    example.agrees("power", gained * flow * example.given("specific_weight") / example.plain("efficiency"))


def test_duty_theodore_17_6_by_the_network(published) -> None:
    """Abulencia and Theodore, example 17.6: both curves are parabolas; pump points every 5 gal/min."""
    example = published("duty-theodore-17-6")
    foot, gallon = 0.3048, 3.785411784e-3 / 60.0
    flows = np.arange(0.0, 51.0, 5.0)
    heads = example.given("pump_shutoff_head") / foot - example.plain("pump_coefficient") * flows**2
    bore = 0.05  # any: the system's coefficient is put on it
    resistance = example.plain("system_coefficient") * foot / gallon**2
    system = Fitting(bore=bore, k=resistance * np.pi**2 * STANDARD_GRAVITY * bore**4 / 8.0)
    pump = CentrifugalPump(heads=tuple(zip((flows * gallon).tolist(), (heads * foot).tolist(), strict=True)))
    rig = Rig(
        sources={"lower": level(0.0), "upper": level(example.given("system_rise"))},
        lines={"lift": Line(start="lower", end="upper", parts=(pump, system))},
    )
    solution = solve(rig)
    example.agrees("flow", solution.flow("lift")[0])
    at_printed_flow = example.given("pump_shutoff_head") - example.plain("pump_coefficient") * 35.0**2 * foot
    assert -solution.walk.loss[0, 0] == pytest.approx(at_printed_flow, rel=2e-3)
    example.leaves_out("head", because="the book reads it at the rounded flow of 35 gal/min")
    example.leaves_out("power", because="follows the rounded flow; tested with the laws of pumps")
