from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.errors import InputError, RangeError
from hydrokit.laws.media import (
    BlockingLaw,
    DropFit,
    fit_drop,
    loading_of_solids,
    loading_resistance,
    medium_drop,
    solids_of_loading,
)

WARM = {"viscosity": 1.0016e-3, "density": 998.2}
COLD = {"viscosity": 1.5182e-3, "density": 1000.0}
FLOWS = st.lists(st.floats(1e-5, 1e-3), min_size=2, max_size=6, unique_by=lambda flow: round(flow, 5))
POINTS = st.lists(st.tuples(st.floats(1e-5, 1e-3), st.floats(1e2, 1e5)), min_size=1, max_size=6)


@given(FLOWS, st.floats(1e9, 1e12), st.floats(0.01, 100.0))
def test_exact_data_give_their_coefficients_back(flows: list[float], viscous: float, weight: float) -> None:
    inertial = weight * viscous * WARM["viscosity"] / (WARM["density"] * 1e-4)
    exact = DropFit(viscous, inertial, 0.0, one_flow=False)
    points = [(flow, medium_drop(exact, flow=flow, **WARM)) for flow in flows]
    fit = fit_drop(points=points, **WARM)
    assert fit.viscous == pytest.approx(viscous, rel=1e-6)
    assert fit.inertial == pytest.approx(inertial, rel=1e-6)
    assert fit.misfit < 1e-9


@given(POINTS)
def test_coefficients_are_never_below_zero(points: list[tuple[float, float]]) -> None:
    fit = fit_drop(points=points, **WARM)
    assert fit.viscous >= 0.0
    assert fit.inertial >= 0.0
    assert fit.viscous + fit.inertial > 0.0


@settings(deadline=None)  # the first example imports scipy
@given(POINTS)
def test_fit_is_the_bounded_least_squares_minimum(points: list[tuple[float, float]]) -> None:
    from scipy.optimize import nnls

    flow, drop = np.array(points).T
    if np.ptp(flow) <= 1e-3 * flow.max():
        return  # a single flow is told as such, below
    parts = np.column_stack([WARM["viscosity"] * flow / drop, WARM["density"] * flow**2 / drop])
    scale = np.linalg.norm(parts, axis=0)
    _, least = nnls(parts / scale, np.ones(flow.size))
    fit = fit_drop(points=points, **WARM)
    found = np.linalg.norm(parts @ [fit.viscous, fit.inertial] - 1.0)
    assert found == pytest.approx(least, rel=1e-6, abs=1e-7)


def test_one_flow_is_taken_as_viscous_and_says_so() -> None:
    fit = fit_drop(points=[(1e-4, 8e3)], **WARM)
    assert fit.one_flow
    assert fit.inertial == 0.0
    assert medium_drop(fit, flow=0.5e-4, **WARM) == pytest.approx(4e3)


def test_drop_that_rises_faster_than_the_square_is_a_misfit_told() -> None:
    fit = fit_drop(points=[(1e-4, 1e3), (2e-4, 8e3)], **WARM)  # cube of the flow
    assert fit.viscous == 0.0
    assert fit.misfit > 0.3


def test_drop_that_rises_slower_than_the_flow_is_a_misfit_told() -> None:
    fit = fit_drop(points=[(1e-4, 4e3), (4e-4, 8e3)], **WARM)
    assert fit.inertial == 0.0
    assert fit.misfit > 0.3


def test_point_at_rest_says_nothing() -> None:
    points = [(1e-4, 4e3), (3e-4, 15e3)]
    assert fit_drop(points=[(0.0, 0.0), *points], **WARM) == fit_drop(points=points, **WARM)


@pytest.mark.parametrize("points", [[], [(0.0, 0.0)], [(1e-4, 0.0)], [(-1e-4, 10.0)], [(1e-4, float("nan"))]])
def test_points_that_say_nothing_are_refused(points: list[tuple[float, float]]) -> None:
    with pytest.raises(InputError, match="expected"):
        fit_drop(points=points, **WARM)


def test_every_bad_point_is_told() -> None:
    with pytest.raises(InputError) as caught:
        fit_drop(points=[(1e-4, -1.0), (2e-4, 4e3), (0.0, 3.0)], **WARM)
    assert [mistake.found for mistake in caught.value.mistakes] == ["(0.0001, -1)", "(0, 3)"]


def test_cold_water_costs_more_by_the_viscous_term_alone() -> None:
    viscous = DropFit(8e10, 0.0, 0.0, one_flow=True)
    inertial = DropFit(0.0, 1e9, 0.0, one_flow=False)
    ratio = medium_drop(viscous, flow=1e-4, **COLD) / medium_drop(viscous, flow=1e-4, **WARM)
    assert ratio == pytest.approx(COLD["viscosity"] / WARM["viscosity"])
    ratio = medium_drop(inertial, flow=1e-4, **COLD) / medium_drop(inertial, flow=1e-4, **WARM)
    assert ratio == pytest.approx(COLD["density"] / WARM["density"])


def test_full_loading_meets_the_end_drop() -> None:
    fit = fit_drop(points=[(5.0 / 60e3, 4e3), (15.0 / 60e3, 18e3)], **WARM)
    added = loading_resistance(fit, end_flow=10.0 / 60e3, end_drop=70e3, **WARM)
    found = medium_drop(fit, flow=10.0 / 60e3, loading=1.0, loading_viscous=added, **WARM)
    assert found == pytest.approx(70e3, rel=1e-14)
    assert medium_drop(fit, flow=10.0 / 60e3, loading=0.0, loading_viscous=added, **WARM) < 11e3


def test_end_drop_below_clean_drop_is_refused() -> None:
    fit = DropFit(8e10, 0.0, 0.0, one_flow=True)
    with pytest.raises(InputError, match="at least the drop of the new element there"):
        loading_resistance(fit, end_flow=1e-4, end_drop=1e3, **WARM)


@given(st.sampled_from(["cake", "intermediate", "standard"]), st.floats(1.0, 1e3), st.floats(0.0, 1.0))
def test_loading_goes_from_new_to_the_end(law: BlockingLaw, ratio: float, share: float) -> None:
    loads = loading_of_solids(solids_share=np.array([0.0, share, 1.0]), end_ratio=ratio, law=law)
    assert loads[0] == pytest.approx(0.0, abs=1e-12)
    assert -1e-12 <= loads[1] <= share + 1e-9
    assert loads[2] == pytest.approx(1.0, abs=1e-6)


@given(st.sampled_from(["cake", "intermediate", "standard"]), st.floats(1.0, 1e4), st.floats(0.0, 1.0))
def test_solids_of_a_loading_give_it_back(law: BlockingLaw, ratio: float, loading: float) -> None:
    share = solids_of_loading(loading=loading, end_ratio=ratio, law=law)
    assert 0.0 <= share <= 1.0 + 1e-12
    again = loading_of_solids(solids_share=min(share, 1.0), end_ratio=ratio, law=law)
    assert again == pytest.approx(loading, rel=1e-6, abs=1e-9)


def test_laws_of_blocking_at_half_life() -> None:
    # Resistance over that when new, by hand from the constant-flow laws (Hlavacek and Bouchet 1993): 5.5, 3.162, 2.309.
    growth = [
        1.0 + 9.0 * loading_of_solids(solids_share=0.5, end_ratio=10.0, law=law)
        for law in ("cake", "intermediate", "standard")
    ]
    assert growth == pytest.approx([5.5, 10.0**0.5, (1.0 - 0.5 * (1.0 - 10.0**-0.5)) ** -2], rel=1e-9)


def test_unknown_law_is_refused() -> None:
    with pytest.raises(InputError, match="cake, intermediate, standard"):
        loading_of_solids(solids_share=0.5, end_ratio=10.0, law="sludge")  # type: ignore[arg-type]


def test_negative_loading_is_refused() -> None:
    with pytest.raises(RangeError, match="loading"):
        medium_drop(DropFit(8e10, 0.0, 0.0, one_flow=True), flow=1e-4, loading=-0.1, **WARM)


def test_float_in_float_out() -> None:
    fit = fit_drop(points=[(1e-4, 4e3), (3e-4, 15e3)], **WARM)
    assert {type(value) for value in (fit.viscous, fit.inertial, fit.misfit)} == {float}
    assert type(medium_drop(fit, flow=1e-4, **WARM)) is float
    assert type(loading_of_solids(solids_share=0.5, end_ratio=10.0, law="standard")) is float
    assert medium_drop(fit, flow=np.array([1e-4, 2e-4]), **WARM).shape == (2,)
