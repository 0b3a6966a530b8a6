"""Fittings: against fluids' own functions, textbook limits, and what is refused."""

from __future__ import annotations

import fluids.fittings
import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws import fittings

BORES = st.floats(1e-3, 1.0)


def test_crane_friction_against_the_printed_table() -> None:
    # Crane TP-410, appendix A, fT of 1/2, 3/4, 1, 2, 4 and 12 inch pipe, from memory; three decimals are printed.
    bores = np.array([15.80, 20.93, 26.64, 52.50, 102.26, 303.2]) * 1e-3
    printed = [0.026, 0.024, 0.022, 0.019, 0.016, 0.013]
    assert fittings.crane_friction(bores) == pytest.approx(printed, abs=1e-3)


def test_elbows_and_bends_against_the_printed_ratios() -> None:
    # Crane TP-410, appendix A, bends of radius 1, 2, 3, 6 and 12 bores, from memory: 20, 12, 12, 17 and 34 fT.
    bore = 0.1
    radii = np.array([1.0, 2.0, 3.0, 6.0, 12.0]) * bore
    ratios = fittings.bend_k(bore=bore, radius=radii) / fittings.crane_friction(bore)
    assert ratios == pytest.approx([20.0, 12.0, 12.0, 17.0, 34.0], abs=0.6)


@pytest.mark.parametrize(("shape", "ratio"), [("90", 30.0), ("45", 16.0), ("90 swept", 14.0), ("180", 50.0)])
def test_elbow_is_ratio_times_friction(shape, ratio) -> None:
    assert fittings.elbow_k(bore=0.05, shape=shape) == pytest.approx(ratio * fluids.ft_Crane(0.05), rel=1e-12)


def test_swept_elbow_lies_on_the_bend_law() -> None:
    swept, bend = fittings.elbow_k(bore=0.05, shape="90 swept"), fittings.bend_k(bore=0.05, radius=0.075)
    assert swept == pytest.approx(bend, rel=0.05)


@pytest.mark.parametrize("degrees", [0.0, 15.0, 30.0, 45.0, 60.0, 75.0, 90.0])
def test_mitre_against_fluids(degrees) -> None:
    expected = fluids.bend_miter(angle=degrees, Di=0.05, method="Crane")
    assert fittings.mitre_k(bore=0.05, angle=np.deg2rad(degrees)) == pytest.approx(expected, rel=1e-9)


def test_one_bend_of_180_degrees_costs_less_than_two_of_90() -> None:
    turn = {angle: fittings.bend_k(bore=0.05, radius=0.15, angle=angle) for angle in (np.pi / 2.0, np.pi)}
    assert turn[np.pi / 2.0] < turn[np.pi] < 2.0 * turn[np.pi / 2.0]


@pytest.mark.parametrize("ratio", [0.0, 0.02, 0.04, 0.06, 0.1, 0.15, 0.3])
def test_rounded_entrance_against_the_printed_table(ratio) -> None:
    # Crane TP-410, appendix A, entrance flush with the wall, from memory.
    printed = {0.0: 0.5, 0.02: 0.28, 0.04: 0.24, 0.06: 0.15, 0.1: 0.09, 0.15: 0.04, 0.3: 0.04}
    k = fittings.rounded_entrance_k(bore=0.02, edge_radius=ratio * 0.02)
    assert k == pytest.approx(printed[ratio], abs=1e-9)


@pytest.mark.parametrize("degrees", [10.0, 30.0, 44.0, 46.0, 90.0, 180.0])
def test_cones_against_fluids(degrees) -> None:
    small, large = 0.019, 0.025
    narrowing = fluids.contraction_conical(Di1=large, Di2=small, angle=degrees, method="Crane")
    widening = fluids.diffuser_conical(Di1=small, Di2=large, angle=degrees, method="Crane")
    angle = np.deg2rad(degrees)
    assert fittings.contraction_k(small=small, large=large, angle=angle) == pytest.approx(narrowing, rel=1e-9)
    assert fittings.expansion_k(small=small, large=large, angle=angle) == pytest.approx(widening, rel=1e-9)


@given(small=BORES, large=BORES)
def test_borda_carnot(small, large) -> None:
    small, large = sorted((small, large))
    # Loss is the head of the velocity that vanishes: (v1 - v2)^2 / 2g, on v1.
    vanished = 1.0 - (small / large) ** 2
    assert fittings.expansion_k(small=small, large=large) == pytest.approx(vanished**2, rel=1e-12, abs=1e-15)


@given(before=BORES, after=BORES)
def test_bore_change_is_one_of_the_two(before, after) -> None:
    k = fittings.bore_change_k(before=before, after=after)
    small, large = sorted((before, after))
    one_way = fittings.contraction_k if after < before else fittings.expansion_k
    assert k == pytest.approx(one_way(small=small, large=large), rel=1e-12, abs=1e-15)


def test_equal_bores_cost_nothing() -> None:
    assert fittings.bore_change_k(before=0.0125, after=0.0125) == 0.0
    assert fittings.hose_tail_k(hose_before=0.0125, tail=0.0125, hose_after=0.0125) == 0.0


def test_contraction_from_a_tank_is_a_sharp_entrance_and_expansion_an_exit() -> None:
    assert fittings.contraction_k(small=0.01, large=10.0) == pytest.approx(fittings.SHARP_ENTRANCE_K, abs=1e-5)
    assert fittings.expansion_k(small=0.01, large=10.0) == pytest.approx(fittings.EXIT_K, abs=1e-5)


@given(before=BORES, tail=BORES, after=BORES)
def test_hose_tail_loses_what_its_two_changes_lose(before, tail, after) -> None:
    assume(tail < 900.0 * min(before, after))  # or k on the tail's bore passes its limit of 1e12
    flow = 1e-4
    apart = sum(
        fittings.k_head(k=fittings.bore_change_k(before=first, after=second), flow=flow, bore=min(first, second))
        for first, second in ((before, tail), (tail, after))
    )
    together = fittings.k_head(
        k=fittings.hose_tail_k(hose_before=before, tail=tail, hose_after=after), flow=flow, bore=tail
    )
    assert together == pytest.approx(apart, rel=1e-9, abs=1e-300)


def test_coupler_adds_its_valve_on_the_passage() -> None:
    plain = fittings.hose_tail_k(hose_before=0.019, tail=0.0125, hose_after=0.019)
    valved = fittings.coupler_k(hose_before=0.019, passage=0.0125, hose_after=0.019, valve_k=6.0)
    assert valved == pytest.approx(plain + 6.0, rel=1e-12)


@given(k=st.floats(1e-3, 1e4), flow=st.floats(-1.0, 1.0), bore=BORES)
def test_k_head_and_k_flow_are_inverses(k, flow, bore) -> None:
    head = fittings.k_head(k=k, flow=flow, bore=bore)
    if 1e-250 < abs(head) < 1e6:
        assert fittings.k_flow(k=k, head=head, bore=bore) == pytest.approx(flow, rel=1e-9)


@given(k=st.floats(1e-3, 1e3), flow=st.floats(1e-6, 1e-2), bore=st.floats(5e-3, 0.1), other=st.floats(5e-3, 0.1))
def test_k_on_another_bore_loses_the_same_head(k, flow, bore, other) -> None:
    moved = fittings.k_on_bore(k=k, bore=bore, other=other)
    assert fittings.k_head(k=moved, flow=flow, bore=other) == pytest.approx(
        fittings.k_head(k=k, flow=flow, bore=bore), rel=1e-9
    )


def test_backward_flow_loses_head_backward() -> None:
    assert fittings.k_head(k=2.0, flow=-1e-4, bore=0.0125) == -fittings.k_head(k=2.0, flow=1e-4, bore=0.0125)


def test_strainer_half_blocked_costs_four_times() -> None:
    assert fittings.strainer_k(k=2.0, blockage=np.array([0.0, 0.5, 0.9])) == pytest.approx([2.0, 8.0, 200.0])


def test_screen_against_fluids() -> None:
    bore = 0.019
    area = np.pi / 4.0 * bore**2
    square = fittings.screen_k(open_fraction=0.5, screen_area=2.0 * area, bore=bore, blockage=0.4)
    assert square == pytest.approx(fluids.filters.square_edge_screen(0.3) / 4.0, rel=1e-9)
    wire = fittings.screen_k(open_fraction=0.5, screen_area=area, bore=bore, gap_reynolds=100.0)
    assert wire == pytest.approx(fluids.filters.round_edge_screen(0.5, 100.0), rel=1e-9)


ONE_BORE = {
    "elbow_k": {},
    "tee_leg_k": {},
    "mitre_k": {"angle": 1.0},
    "bend_k": {"radius": 0.1},
    "rounded_entrance_k": {"edge_radius": 0.001},
    "bore_change_k": None,
}


@pytest.mark.parametrize("name", [name for name, rest in ONE_BORE.items() if rest is not None])
def test_array_gives_the_numbers_of_floats(name) -> None:
    function, rest = getattr(fittings, name), ONE_BORE[name]
    bores = np.array([[0.019], [0.025], [0.019]])
    many = function(bore=bores, **rest)
    assert many.shape == (3, 1)
    assert many.ravel().tolist() == [function(bore=float(bore), **rest) for bore in bores.ravel()]
    assert type(function(bore=0.019, **rest)) is float


@pytest.mark.parametrize("bore", [0.0, -0.01, float("nan"), 11.0, np.array([0.01, float("inf")])])
def test_impossible_bore_is_refused(bore) -> None:
    with pytest.raises(RangeError, match=r"bore: found .*, expected 0\.0001 to 10 m"):
        fittings.crane_friction(bore)
    with pytest.raises(RangeError, match="before"):
        fittings.bore_change_k(before=bore, after=0.0125)


def test_bores_the_wrong_way_round_are_refused_with_a_hint() -> None:
    with pytest.raises(RangeError, match=r"small: .* 1\.6 times .*; write bore_change_k"):
        fittings.contraction_k(small=0.02, large=0.0125)
    with pytest.raises(RangeError, match="small"):
        fittings.expansion_k(small=np.array([0.01, 0.02]), large=0.0125)


@pytest.mark.parametrize("radius", [0.5, 21.0])
def test_bend_outside_the_table_is_refused_where_fluids_would_clip(radius) -> None:
    clipped = fluids.fittings.bend_rounded_Crane(Di=0.1, angle=90.0, bend_diameters=radius)
    assert clipped == fluids.fittings.bend_rounded_Crane(Di=0.1, angle=90.0, bend_diameters=np.clip(radius, 1.0, 20.0))
    with pytest.raises(RangeError, match="radius / bore"):
        fittings.bend_k(bore=0.1, radius=radius * 0.1)


@pytest.mark.parametrize("degrees", [14.0, 721.0])
def test_bend_turns_by_fifteen_degrees_to_two_whole_turns(degrees) -> None:
    with pytest.raises(RangeError, match="angle"):
        fittings.bend_k(bore=0.05, radius=0.15, angle=np.deg2rad(degrees))
    within = np.clip(degrees, 15.001, 719.999)
    expected = fluids.fittings.bend_rounded_Crane(Di=0.05, angle=within, bend_diameters=3.0)
    assert fittings.bend_k(bore=0.05, radius=0.15, angle=np.deg2rad(within)) == pytest.approx(expected, rel=1e-9)


def test_blocked_through_is_refused() -> None:
    with pytest.raises(RangeError, match="blockage"):
        fittings.strainer_k(k=2.0, blockage=1.0)
    with pytest.raises(RangeError, match="open_fraction less blockage"):
        fittings.screen_k(open_fraction=0.2, screen_area=1e-3, bore=0.02, blockage=0.8)


def test_unknown_shape_tells_the_nearest() -> None:
    with pytest.raises(InputError, match=r"shape: found '90swept', .*; write 90 swept"):
        fittings.elbow_k(bore=0.02, shape="90swept")
    with pytest.raises(InputError, match=r"way: found 'branc', .*; write branch"):
        fittings.tee_leg_k(bore=0.02, way="branc")
