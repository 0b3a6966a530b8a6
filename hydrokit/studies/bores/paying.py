"""Where more bore stops paying: flow against bore for one run of hose, and who takes the head, the hose or its tails."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.rules import State
from hydrokit.studies.bores.trials import size_name
from hydrokit.studies.facts.heads import lost_power, spent_power
from hydrokit.studies.facts.usable import usable_flow

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array
    from hydrokit.studies.bores.runs import Run
    from hydrokit.studies.bores.trials import Trial

__all__ = ["PAYS", "BoreCurve", "curve_of"]

PAYS: Final = 0.03
"""Gain of flow, as a share of it, for which a wider hose is worth its money and weight. Our own choice."""


@dataclass(frozen=True, slots=True, kw_only=True)
class BoreCurve:
    """One run through the whole series, whether it fits or not, all other hoses held.

    Parameters
    ----------
    place : str
        The run.
    sizes, bores, flows, fits : tuple
        From narrow to wide.
    hose_shares, tail_shares : tuple of float
        What its hoses, and the tails directly beside them, take of all that is spent in the rig.
    knee : str
        Smallest size beyond which no other brings 3 % more flow; empty where nothing flows at any.
    tails_from : str
        Smallest size at which its tails cost more than its hoses; empty where they never do, or it has none.
    """

    place: str
    sizes: tuple[str, ...]
    bores: Annotated[tuple[float, ...], Spec(Dimension.LENGTH, "of the run")]
    flows: Annotated[tuple[float, ...], Spec(Dimension.FLOW, "delivered, as far as suction allows")]
    fits: tuple[bool, ...]
    hose_shares: Annotated[tuple[float, ...], Spec(Dimension.FRACTION, "of all that is spent, in its hoses")]
    tail_shares: Annotated[tuple[float, ...], Spec(Dimension.FRACTION, "of all that is spent, in their tails")]
    knee: str
    tails_from: str


def _knee(flows: Array) -> int | None:
    """Return the first place from which on nothing wider brings 3 % more; None where nothing flows."""
    if flows.max() <= 0.0:
        return None
    best_beyond = np.maximum.accumulate(flows[::-1])[::-1]
    return int(np.flatnonzero(best_beyond <= flows * (1.0 + PAYS))[0])


def _shares(places: Sequence[str], power: Array, spent: Array, wanted: set[str]) -> Array:
    columns = [column for column, place in enumerate(places) if place in wanted]
    taken: Array = np.divide(power[:, columns].sum(axis=1), spent, out=np.zeros_like(spent), where=spent > 0.0)
    return taken


def curve_of(trial: Trial, column: int, held: Sequence[float]) -> BoreCurve:
    """Return how flow goes with the bore of one run, the others held at given bores, m."""
    run: Run = trial.runs[column]
    bores = np.array([bore for _, bore in trial.series])
    rows = np.tile(np.asarray(held, np.float64), (len(bores), 1))
    rows[:, column] = bores
    solution = trial.solved(rows)
    flows = usable_flow(State(solution))
    places, power = lost_power(solution)
    spent = spent_power(solution)
    hoses = _shares(places, power, spent, {hose.place for hose in run.hoses})
    tails = _shares(places, power, spent, {seat.place for seat in run.tails})
    sizes = tuple(size_name(bore, trial.series) for bore in bores)
    knee, narrower = _knee(flows), np.flatnonzero((tails > hoses) & (tails > 0.0))
    return BoreCurve(
        place=run.place,
        sizes=sizes,
        bores=tuple(bores.tolist()),
        flows=tuple(flows.tolist()),
        fits=tuple(run.refuses(bore, tails_change=trial.tails_change) is None for bore in bores.tolist()),
        hose_shares=tuple(hoses.tolist()),
        tail_shares=tuple(tails.tolist()),
        knee="" if knee is None else sizes[knee],
        tails_from=sizes[int(narrower[0])] if narrower.size else "",
    )
