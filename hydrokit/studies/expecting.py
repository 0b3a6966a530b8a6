"""What gauges should read on a rig that is as stated, to be taken to the bench and filled in."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, ClassVar

import numpy as np

from hydrokit.answers import Answer
from hydrokit.arguments import as_annotated
from hydrokit.rig import GAUGES
from hydrokit.studies.diagnosis.further import safe_to_shut
from hydrokit.studies.diagnosis.workbench import Workbench
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Dimension
    from hydrokit.rig import Rig

__all__ = ["ExpectedReading", "ReadingsToTake", "expected_readings"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ExpectedReading:
    """One reading: how and where to take it, what it should be, and its spread by the rig's tolerances and the usual gauge."""

    kind: str
    at: str
    side: str
    how: str
    dimension: Dimension
    value: float
    spread: float


@dataclass(frozen=True, kw_only=True, repr=False)
class ReadingsToTake(Answer):
    """Every reading that :func:`hydrokit.studies.diagnose` can use, as it should be on the rig as stated."""

    question: ClassVar[str] = "readings"
    table: ClassVar[str] = "readings"

    readings: tuple[ExpectedReading, ...]
    hunts: bool
    surroundings: Surroundings
    kinds: tuple[str, ...]


@as_annotated
def expected_readings(
    rig: Rig, mode: str | None = None, *, changed: Mapping[str, float] | None = None
) -> ReadingsToTake:
    """Return what gauges should read on a rig as stated.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own, SI.

    Returns
    -------
    ReadingsToTake
        A dead-head pressure is left out where nothing guards a displacement pump that is shut.

    Raises
    ------
    InputError
        If a mode or an address is unknown, or a value is not possible.
    SolverError
        If the network does not settle.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = expected_readings(demonstration())
    >>> answer.readings[0].how, answer.readings[0].value * 60e3
    ('bucket and watch', 7.42)
    """
    bench = Workbench(rig, mode, changed)
    spots = [spot for spot in bench.spots if spot.kind != "dead_head" or safe_to_shut(bench.state, spot)]
    as_stated = np.zeros((1, len(bench.faults)))
    values, shifts = bench.foretold_loosely(as_stated, spots)
    loose = (shifts**2).sum(axis=0)
    readings = tuple(
        ExpectedReading(
            kind=spot.kind,
            at=spot.at,
            side=spot.side,
            how=GAUGES[spot.kind].doc,
            dimension=GAUGES[spot.kind].spec.dimension,
            value=float(value),
            spread=float(np.sqrt(GAUGES[spot.kind].uncertainty(float(value)) ** 2 + shift)),
        )
        for spot, value, shift in zip(spots, values[0], loose, strict=True)
        if np.isfinite(value)
    )
    return ReadingsToTake(
        title=rig.title,
        mode=bench.mode,
        findings=(),
        trust=trust_of(bench.worst, (), ["each gauge is off by as much as the usual one of its kind"]),
        readings=readings,
        hunts=bool(bench.bench(as_stated).hunting[0]),
        surroundings=surroundings_of(bench.state.solution),
        kinds=kinds_of(bench.state),
    )
