"""What to measure first: the uncertain value that moves most what is most in doubt, and what knowing it would bring."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.studies.chance.influence import influence_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.network.ports import Mask
    from hydrokit.studies.chance.uncertain import Uncertain

__all__ = ["HIGH", "LOW", "MIDDLE", "MeasureFirst", "Moves", "foremost", "percentile"]

LOW: Final = 0.05
MIDDLE: Final = 0.5
HIGH: Final = 0.95
_TELLING: Final = 0.01
"""Least share of the samples on one side of a value for it to be told that all of them hold or fail. Our own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Moves:
    """How one uncertain value moves one outcome: rank correlation, and share of its variance in ranks."""

    outcome: str
    address: str
    correlation: Annotated[float, Spec(Dimension.NUMBER, "of ranks, -1 to 1")]
    share: Annotated[float, Spec(Dimension.FRACTION, "of the outcome's variance in ranks")]


@dataclass(frozen=True, slots=True, kw_only=True)
class MeasureFirst:
    """The value to measure first, and why.

    ``moves`` is the outcome that it moves, or the limit most in doubt as "rule at place" (``in_doubt`` says which);
    ``share`` its part in the variance of ranks of that, ``correlation`` which way. ``narrows_to`` is how wide the range
    between 5 and 95 % of the samples would be over what it is now, were the value known to be as stated. Where a limit
    is in doubt, no sample fails beyond ``sure_from``, every one beyond ``lost_from``, both of ``dimension`` and None
    where the value alone does not decide: beyond is above where it helps the limit, below where it harms it.
    """

    address: str
    dimension: Dimension
    value: float
    spread: float
    moves: str
    in_doubt: bool
    share: float
    correlation: float
    narrows_to: float
    sure_from: float | None
    lost_from: float | None


def percentile(values: Array, share: float) -> float:
    """Return the least value that a share of some samples does not exceed; NaN counts as above all others.

    Examples
    --------
    >>> percentile(np.arange(1.0, 101.0), 0.05), percentile(np.array([1.0, np.inf, np.nan]), 0.5)
    (5.0, inf)
    """
    order = np.sort(values)  # NaN last
    place = max(int(np.ceil(share * len(order) - 1e-9)) - 1, 0)
    return float(order[place])


def _band(values: Array) -> float:
    """Return how far apart the 5th and the 95th percentile of some samples are."""
    return percentile(values, HIGH) - percentile(values, LOW)


def _beyond(value: Array, bad: Mask, *, helps: bool) -> tuple[float | None, float | None]:
    """Return beyond which value no sample fails, and beyond which, on the other side, every one does."""
    sense = 1.0 if helps else -1.0
    along = sense * value
    last_bad, first_good = float(along[bad].max()), float(along[~bad].min())
    sure = sense * last_bad if (along > last_bad).mean() >= _TELLING else None
    lost = sense * first_good if (along < first_good).mean() >= _TELLING else None
    return sure, lost


def _most_in_doubt(margins: Mapping[str, Array]) -> str | None:
    """Return the limit whose failing is least certain either way; None where none is in doubt."""
    doubt = {name: float((margin < 0.0).mean()) for name, margin in margins.items()}
    name = max(doubt, key=lambda name: doubt[name] * (1.0 - doubt[name]), default=None)
    return name if name is not None and 0.0 < doubt[name] < 1.0 else None


def foremost(
    inputs: Sequence[Uncertain],
    drawn: Mapping[str, Array],
    figures: Mapping[str, Array],
    margins: Mapping[str, Array],
    known: Callable[[str, str], Array],
) -> MeasureFirst | None:
    """Return the value to measure first; None where nothing that is varied moves anything.

    Parameters
    ----------
    inputs : sequence of Uncertain
    drawn : mapping of address to array, shape (n,)
        Their samples.
    figures, margins : mapping of name to array, shape (n,)
        What came out, the most important first, and the margin of every limit.
    known : callable
        Returns the samples, shape (n,), of an outcome or margin by name, with the value at an address as stated.
    """
    columns = np.stack([drawn[each.address] for each in inputs], axis=1)
    doubtful = _most_in_doubt(margins)
    tried = {**({} if doubtful is None else {doubtful: margins[doubtful]}), **figures}
    for name, outcome in tried.items():
        influence = influence_of(columns, outcome)
        if influence is None:
            continue
        place = int(influence.share.argmax())
        first, helps = inputs[place], bool(influence.correlation[place] > 0.0)
        sure = lost = None
        if name == doubtful:
            sure, lost = _beyond(drawn[first.address], outcome < 0.0, helps=helps)
        now, then = _band(outcome), _band(known(name, first.address))
        return MeasureFirst(
            address=first.address,
            dimension=first.dimension,
            value=first.value,
            spread=first.spread,
            moves=name,
            in_doubt=name == doubtful,
            share=float(influence.share[place]),
            correlation=float(influence.correlation[place]),
            narrows_to=then / now if np.isfinite(now) and now > 0.0 else 1.0,
            sure_from=sure,
            lost_from=lost,
        )
    return None
