"""Which of several uncertain inputs moves an outcome most: correlation and regression of ranks.

The rank correlation is Spearman's. Ranks of the outcome are regressed on those of all inputs; the share of an input is
its standardised coefficient times its rank correlation, so that all shares together are the part of the variance of
ranks that the regression explains [pratt]_. Inputs drawn independently of each other have shares that are the squares of
their coefficients, but for what little they agree by chance. What the ranks leave unexplained comes from inputs that act
only together, or not one way throughout [saltelli]_.

References
----------
.. [pratt] Pratt, J. W., Dividing the indivisible: using simple symmetry to partition variance explained, in: Second
   International Tampere Conference in Statistics (1987), 245-260 (from memory).
.. [saltelli] Saltelli, A., Chan, K. and Scott, E. M. (eds), Sensitivity analysis, Wiley 2000: standardised rank
   regression coefficients (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from hydrokit.bounds import Array

__all__ = ["Influence", "influence_of"]

_CONSTANT: Final = 1e-9
"""Range over size below which an outcome does not vary: what is left is that to which it was solved."""


@dataclass(frozen=True, slots=True)
class Influence:
    """Of every input, shape (inputs,): its rank correlation with an outcome, and its share of the variance of ranks.

    ``unexplained`` is what all shares leave.
    """

    correlation: Array
    share: Array
    unexplained: float


def _ranks(values: Array) -> Array:
    """Return ranks along the first axis, ties sharing their mean, standardised; zero where all are alike."""
    from scipy.stats import rankdata

    ranks = np.asarray(rankdata(values, axis=0), np.float64)
    ranks = ranks - ranks.mean(axis=0)
    size = np.sqrt((ranks * ranks).mean(axis=0))
    standardised: Array = np.divide(ranks, size, out=np.zeros_like(ranks), where=size > 0.0)
    return standardised


def _varies(outcome: Array) -> bool:
    finite = outcome[np.isfinite(outcome)]
    if finite.size < outcome.size:
        return bool(np.isinf(outcome).any() and finite.size)
    return bool(np.ptp(outcome) > _CONSTANT * np.abs(outcome).max(initial=0.0))


def influence_of(inputs: Array, outcome: Array) -> Influence | None:
    """Return how inputs, shape (n, inputs), move an outcome, shape (n,); None where it does not vary.

    Samples in which the outcome is not known (NaN) are left out; an infinite one ranks above all others.

    Examples
    --------
    >>> random = np.random.default_rng(1)
    >>> inputs = random.random((5000, 2))
    >>> found = influence_of(inputs, np.exp(3.0 * inputs[:, 0] + inputs[:, 1]))
    >>> found.share.round(1).tolist()
    [0.9, 0.1]
    """
    known = ~np.isnan(outcome)
    inputs, outcome = inputs[known], outcome[known]
    if len(outcome) <= inputs.shape[1] + 1 or not _varies(outcome):
        return None
    ranks, wanted = _ranks(inputs), _ranks(outcome)
    correlation = np.asarray(ranks.T @ wanted / len(wanted), np.float64)
    coefficients = np.linalg.lstsq(ranks, wanted, rcond=None)[0]
    share = np.asarray(coefficients * correlation, np.float64)
    return Influence(correlation, share, float(1.0 - share.sum()))
