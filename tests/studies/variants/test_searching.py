from __future__ import annotations

import numpy as np
import pytest

from hydrokit.studies.variants.searching import Reach, last_held

GRID = np.linspace(-1.0, 3.0, 9)


def test_edges_of_known_functions() -> None:
    def slack(rows, values):
        return np.stack([2.0 - values**2, np.cos(values), np.where(values <= 0.3, 1.0, -np.inf)], axis=1)

    edges = last_held(slack, cases=1, values=GRID, tolerance=1e-10)
    assert edges.value[0] == pytest.approx([np.sqrt(2.0), np.pi / 2.0, 0.3], abs=1e-10)
    assert (edges.reach == Reach.FOUND).all()


def test_the_last_of_several_edges_is_found() -> None:
    edges = last_held(lambda rows, values: np.sin(6.0 * values)[:, None], cases=1, values=np.linspace(0.1, 2.9, 57))
    assert edges.value[0, 0] == pytest.approx(5.0 * np.pi / 6.0, abs=1e-6)


def test_what_never_holds_and_what_always_does() -> None:
    edges = last_held(lambda rows, values: np.stack([values - 9.0, values + 9.0], axis=1), cases=1, values=GRID)
    assert edges.reach[0].tolist() == [Reach.NEVER, Reach.BEYOND]
    assert np.isnan(edges.value).all()


def test_every_case_has_its_own_edge() -> None:
    wanted = np.array([-0.7, 0.1, 2.2])
    edges = last_held(lambda rows, values: (wanted[rows] - values)[:, None] ** 3, cases=3, values=GRID, tolerance=1e-9)
    assert edges.value[:, 0] == pytest.approx(wanted, abs=1e-9)


def test_an_edge_is_always_one_at_which_the_limit_holds() -> None:
    edges = last_held(lambda rows, values: (1.0 / 3.0 - values)[:, None], cases=1, values=GRID, tolerance=1e-6)
    assert edges.value[0, 0] <= 1.0 / 3.0


def test_few_stretches_are_closed_in_within_few_looks() -> None:
    """One case that jumps, as a limit that is infinite on one side: a section of 96 takes five looks, halving takes thirty."""
    looks = 0

    def slack(rows, values):
        nonlocal looks
        looks += 1
        return np.where(values <= 1.0 / 7.0, 1.0, -np.inf)[:, None]

    edges = last_held(slack, cases=1, values=GRID, tolerance=1e-9)
    assert 1.0 / 7.0 - 1e-9 <= edges.value[0, 0] <= 1.0 / 7.0
    assert looks <= 7


def test_many_stretches_are_closed_in_one_guess_at_a_time() -> None:
    wanted = np.linspace(-0.9, 2.9, 400)
    most = 0

    def slack(rows, values):
        nonlocal most
        most = max(most, len(rows)) if len(rows) != 400 * len(GRID) else most
        return np.tanh(wanted[rows] - values)[:, None]

    edges = last_held(slack, cases=400, values=GRID, tolerance=1e-9)
    assert edges.value[:, 0] == pytest.approx(wanted, abs=1e-9)
    assert most == 400
