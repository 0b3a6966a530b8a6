"""The one further reading that would tell suspects apart: where what they foretell differs most, over its spread."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.parts import PoweredPump
from hydrokit.rig import GAUGES
from hydrokit.studies.diagnosis.gauges import Spot, element_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array
    from hydrokit.rules import State

__all__ = ["Further", "further_readings", "safe_to_shut"]

_TELLS: Final = 2.0
"""Standard deviations by which a reading must differ to tell two suspects apart."""
_LISTED: Final = 4


@dataclass(frozen=True, slots=True, kw_only=True)
class Further:
    """One reading not yet taken.

    ``foretold`` holds what each suspect foretells, in their order; ``tells`` is how many pairs of suspects it would tell
    apart, and ``apart`` the least difference, in standard deviations, by which it does.
    """

    kind: str
    at: str
    side: str
    how: str
    dimension: Dimension
    foretold: tuple[float, ...]
    spread: float
    tells: int
    apart: Annotated[float, Spec(Dimension.NUMBER, "standard deviations by which it tells suspects apart")]


def safe_to_shut(state: State, spot: Spot) -> bool:
    """Return whether a pump may be shut off for a moment: its switch, or a rating above what it gives, guards it."""
    pump = element_of(state, spot.at)
    part = state.pump_of(pump)
    if not part.displacement:
        return True
    assert isinstance(part, PoweredPump)
    if part.cut_out is not None:
        return True
    behind = [
        getattr(element.part, "pressure_rating", np.inf)
        for index, element in enumerate(state.plan.elements)
        if state.line_at(index) == state.line_at(pump) and index >= pump and element.part is not None
    ]
    gives = float((state.weight * state.shut_off_head(pump)).max())
    return all(rating is not None and gives <= rating for rating in behind)


def _one(spot: Spot, foretold: Array, off: Array) -> Further:
    gauge = GAUGES[spot.kind]
    spread = float(np.sqrt(gauge.uncertainty(float(np.nanmax(np.abs(foretold)))) ** 2 + (off**2).sum()))
    first, second = np.triu_indices(len(foretold), 1)
    apart = np.abs(foretold[first] - foretold[second]) / spread
    told = apart[apart > _TELLS]
    return Further(
        kind=spot.kind,
        at=spot.at,
        side=spot.side,
        how=gauge.doc,
        dimension=gauge.spec.dimension,
        foretold=tuple(float(value) for value in foretold),
        spread=spread,
        tells=len(told),
        apart=float(told.min() if told.size else apart.max()),
    )


def further_readings(
    spots: Sequence[Spot], foretold: Array, shifts: Array, read: Sequence[Spot]
) -> tuple[Further, ...]:
    """Return the readings that would tell suspects apart, the best first; none where nothing would.

    Parameters
    ----------
    spots : sequence of Spot
        Where something could be read.
    foretold : array, shape (suspects, spots)
        What each suspect foretells there.
    shifts : array, shape (T, spots)
        What the tolerances of the rig do there.
    read : sequence of Spot
        Where something has been read already.
    """
    if len(foretold) < 2:
        return ()
    found = [
        _one(spot, foretold[:, place], shifts[:, place])
        for place, spot in enumerate(spots)
        if spot not in read and np.isfinite(foretold[:, place]).all()
    ]
    found.sort(key=lambda reading: (-reading.tells, -reading.apart))
    return tuple(reading for reading in found if reading.tells)[:_LISTED]
