"""Rank correlations against ``scipy.stats.spearmanr``; shares against variances that are known by hand."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from hydrokit.studies.chance.influence import influence_of

RANDOM = np.random.default_rng(11)
INPUTS = RANDOM.random((3000, 3))


@pytest.mark.parametrize(
    "outcome",
    [
        np.exp(INPUTS @ [2.0, -1.0, 0.0]),
        np.round(INPUTS @ [3.0, 1.0, 0.5], 1),
        np.where(INPUTS[:, 0] > 0.9, np.inf, INPUTS[:, 1]),
    ],
    ids=["smooth", "ties", "some without end"],
)
def test_rank_correlation_is_that_of_scipy(outcome) -> None:
    found = influence_of(INPUTS, outcome)
    for place in range(3):
        assert found.correlation[place] == pytest.approx(
            stats.spearmanr(INPUTS[:, place], outcome).statistic, abs=1e-12
        )


def test_shares_and_what_is_unexplained_are_the_whole() -> None:
    outcome = np.exp(INPUTS @ [2.0, -1.0, 0.3])
    found = influence_of(INPUTS, outcome)
    ranks = np.apply_along_axis(stats.rankdata, 0, np.column_stack([INPUTS, outcome]))
    inverse = np.linalg.inv(np.corrcoef(ranks.T))
    assert found.share.sum() == pytest.approx(1.0 - 1.0 / inverse[-1, -1], abs=1e-10)  # R^2 by partial correlation
    assert found.unexplained == pytest.approx(1.0 / inverse[-1, -1], abs=1e-10)


def test_shares_of_a_sum_of_normal_terms() -> None:
    """Independent terms of variances 9, 4 and 1: the rank correlation of normal variables is 6 / pi asin(r / 2).

    Kruskal, W. H., Ordinal measures of association, J. Am. Stat. Assoc. 53 (1958), 814-861 (from memory); the tolerance
    is three standard errors of 20,000 draws.
    """
    terms = np.random.default_rng(5).normal(size=(20_000, 3))
    found = influence_of(terms, terms @ [3.0, -2.0, 1.0])
    expected = 6.0 / np.pi * np.arcsin(0.5 * np.array([3.0, -2.0, 1.0]) / np.sqrt(14.0))
    assert found.correlation == pytest.approx(expected, abs=3.0 / np.sqrt(20_000.0))
    assert found.share == pytest.approx(expected**2, abs=6.0 / np.sqrt(20_000.0) * np.abs(expected).max())


def test_what_acts_only_together_is_left_unexplained() -> None:
    """x y about zero follows neither x nor y alone."""
    apart = INPUTS - 0.5
    assert influence_of(apart, apart[:, 0] * apart[:, 1]).unexplained > 0.98


def test_what_is_not_known_is_left_out() -> None:
    outcome = np.where(INPUTS[:, 2] < 0.3, np.nan, INPUTS[:, 0])
    known = ~np.isnan(outcome)
    found, plain = influence_of(INPUTS, outcome), influence_of(INPUTS[known], outcome[known])
    assert found.share.tolist() == plain.share.tolist()


@pytest.mark.parametrize(
    "outcome",
    [
        np.full(3000, 7.0),
        7.0 * (1.0 + 1e-13 * RANDOM.random(3000)),
        np.full(3000, np.nan),
        np.full(3000, np.inf),
        np.zeros(3000),
    ],
    ids=["constant", "rounding", "unknown", "without end", "nothing"],
)
def test_what_does_not_vary_has_no_influence(outcome) -> None:
    assert influence_of(INPUTS, outcome) is None


def test_an_input_that_is_held_has_no_share() -> None:
    held = np.column_stack([INPUTS[:, 0], np.full(3000, 2.0)])
    assert influence_of(held, INPUTS[:, 0]).share == pytest.approx([1.0, 0.0])
