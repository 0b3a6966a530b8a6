"""A rig that disappoints: what readings taken on it say is wrong, what else it could be, and which reading would tell."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, ClassVar

import numpy as np

from hydrokit.answers import Answer, finite_or_none
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Mistakes, Spec
from hydrokit.errors import InputError, Mistake
from hydrokit.studies.diagnosis.accusing import Condition, Suspect, findings_of_suspects, others_of, suspects_of
from hydrokit.studies.diagnosis.fitting import Fits, grid_of, grid_rows
from hydrokit.studies.diagnosis.further import Further, further_readings, safe_to_shut
from hydrokit.studies.diagnosis.ranges import conditions_of
from hydrokit.studies.diagnosis.suspects import verdicts
from hydrokit.studies.diagnosis.workbench import Workbench
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.units import show

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.rig import Reading, Rig
    from hydrokit.studies.diagnosis.gauges import Spot
    from hydrokit.studies.diagnosis.suspects import Verdicts

__all__ = ["Diagnosis", "ReadingSeen", "diagnose"]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingSeen:
    """One reading, what the rig as stated would show, and what it shows with the likeliest fault.

    ``off`` is how far the reading is from the latter, in its standard deviations.
    """

    kind: str
    at: str
    side: str
    dimension: Dimension
    value: float
    spread: float
    stated: float | None
    foretold: float | None
    off: Annotated[float | None, Spec(Dimension.NUMBER, "standard deviations from what is foretold")]


@dataclass(frozen=True, kw_only=True, repr=False)
class Diagnosis(Answer):
    """What readings say of a rig.

    Parameters
    ----------
    named : int
        How many of the ``suspects``, from the first, explain the readings best: 0 where the rig as stated does, more
        than 1 where the readings do not tell them apart.
    explained : bool
        False where not even the best comes near enough to the readings.
    chance : float
        Of readings as far off, or farther, if the likeliest suspect were all that is wrong.
    suspects : tuple of Suspect
        Those named, then those that fit worse, the best first.
    conditions : tuple of Condition
        The state of the rig: every condition, with its range over all that explains the readings as well.
    readings : tuple of ReadingSeen
        What was read.
    further : tuple of Further
        Readings that would tell suspects apart, the best first.
    compared : tuple of str
        Titles of the suspects that ``further`` tells apart, in the order of its foretold values.
    flow, stated_flow : float
        That arrives with the likeliest suspect, and in the rig as stated. [m^3/s]
    stated_misfit : float
        Of the rig as stated.
    hunts : bool
        Whether the switch of a pump stops it again and again; readings are then those of the mean flow.
    """

    question: ClassVar[str] = "diagnose"
    table: ClassVar[str] = "suspects"

    named: int
    explained: bool
    chance: Annotated[float, Spec(Dimension.FRACTION, "of readings as far off, if nothing else were wrong")]
    flow: Annotated[float, Spec(Dimension.FLOW, "that arrives with the likeliest fault")]
    stated_flow: Annotated[float, Spec(Dimension.FLOW, "that arrives in the rig as stated")]
    stated_misfit: Annotated[float, Spec(Dimension.NUMBER, "of the rig as stated, as that of a suspect")]
    hunts: bool
    suspects: tuple[Suspect, ...]
    conditions: tuple[Condition, ...]
    readings: tuple[ReadingSeen, ...]
    further: tuple[Further, ...]
    compared: tuple[str, ...]
    surroundings: Surroundings
    kinds: tuple[str, ...]


def _whitener(readings: Sequence[Reading], shifts: Array) -> Array:
    """Return the matrix that makes the errors of readings independent and of one size."""
    spread = np.array([reading.spread for reading in readings])
    covariance = np.diag(spread**2) + shifts.T @ shifts
    found: Array = np.linalg.inv(np.linalg.cholesky(covariance))
    return found


def _assumed(readings: Sequence[Reading]) -> list[str]:
    told = {
        reading.kind: f"± {show(reading.spread, reading.gauge.spread_dimension)} on {reading.gauge.name}: {reading.gauge.doc}"
        for reading in readings
        if reading.uncertainty is None and reading.kind != "bubbles"
    }
    return [
        *told.values(),
        "but for the faults looked for, the rig is as its file says, its data sheets included",
        "a reading's ± is one standard deviation",
    ]


def _seen(
    readings: Sequence[Reading], spots: Sequence[Spot], found: Verdicts, shifts: Array
) -> tuple[ReadingSeen, ...]:
    spread = np.sqrt(np.array([reading.spread for reading in readings]) ** 2 + (shifts**2).sum(axis=0))
    best = found.named[0] if found.named else found.stated
    return tuple(
        ReadingSeen(
            kind=spot.kind,
            at=spot.at,
            side=spot.side,
            dimension=reading.gauge.spec.dimension,
            value=reading.value,
            spread=float(spread[place]),
            stated=finite_or_none(found.stated.foretold[place]),
            foretold=finite_or_none(best.foretold[place]),
            off=finite_or_none((reading.value - best.foretold[place]) / spread[place]),
        )
        for place, (reading, spot) in enumerate(zip(readings, spots, strict=True))
    )


@as_annotated
def diagnose(
    rig: Rig,
    readings: Sequence[Reading],
    mode: str | None = None,
    *,
    changed: Mapping[str, float] | None = None,
) -> Diagnosis:
    """Return what readings taken on a rig say is wrong with it.

    Parameters
    ----------
    rig : Rig
        As it should be; its conditions as last known.
    readings : sequence of Reading
        At least one.
    mode : str, optional
        In which they were taken; the rig's first where none is named.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own, SI.

    Returns
    -------
    Diagnosis

    Raises
    ------
    InputError
        If there is no reading, a place is unknown, or what is read there cannot be foretold; every mistake at once.
    SolverError
        If the network does not settle.

    Notes
    -----
    Bounded least squares over the conditions of the rig's parts (:mod:`hydrokit.studies.diagnosis.fitting`), each fault alone, then
    by twos; how they are weighed is told in :mod:`hydrokit.studies.diagnosis.suspects`. Air is taken to fill part of what the pump
    sweeps and to cost nothing in the hoses behind it.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> from hydrokit.rig import Reading
    >>> answer = diagnose(
    ...     demonstration(),
    ...     [
    ...         Reading(kind="flow", value=5.2 / 60e3),
    ...         Reading(kind="vacuum", value=18.5e3),
    ...         Reading(kind="pressure", value=2.57e5, at="filters", side="before"),
    ...         Reading(kind="pressure", value=0.05e5, at="filters", side="after"),
    ...     ],
    ... )
    >>> answer.suspects[0].faults
    ('loaded filter',)
    """
    if not readings:
        mistakes = Mistakes()
        mistakes.add("readings", "none", "at least one reading, such as a flow of 5 L/min by bucket and watch")
        mistakes.settle()
    bench = Workbench(rig, mode, changed)
    if not bench.faults:
        expected = "a pump that is not worked by hand, a filter or a strainer, with water running through it"
        raise InputError([Mistake("rig", f"nothing in mode {bench.mode} whose state readings could tell", expected)])
    read = bench.spots_read(readings)
    spots = tuple(dict.fromkeys([*bench.spots, *read]))
    place = [spots.index(spot) for spot in read]
    everywhere, shifts = bench.foretold_loosely(grid_rows(len(bench.faults)), spots)
    fits = Fits(
        model=lambda grades: bench.foretold(grades, read),
        readings=np.array([reading.value for reading in readings]),
        whiten=_whitener(readings, shifts[:, place]),
    )
    grid = grid_of(everywhere[:, place], len(bench.faults))
    found = verdicts(fits, grid)
    suspects = suspects_of(bench, found)
    compared = [*found.named, *(others_of(found)[:1] if len(found.named) == 1 else ())]
    with_gauges = bench.bench(np.stack([fit.grades for fit in (*compared, found.stated)]))
    foretold = with_gauges.read(spots)
    safe = [at for at, spot in enumerate(spots) if spot.kind != "dead_head" or safe_to_shut(bench.state, spot)]
    further = further_readings([spots[at] for at in safe], foretold[:-1, safe], shifts[:, safe], read)
    flow, stated_flow = float(foretold[0, 0]), float(everywhere[0, 0])
    findings = findings_of_suspects(bench, found, stated_flow=stated_flow, flow=flow)
    return Diagnosis(
        title=rig.title,
        mode=bench.mode,
        findings=findings,
        trust=trust_of(bench.worst, findings, _assumed(readings)),
        named=len(found.named),
        explained=found.explained,
        chance=found.chance,
        flow=flow,
        stated_flow=stated_flow,
        stated_misfit=found.stated.misfit,
        hunts=bool(with_gauges.hunting[0]),
        suspects=suspects,
        conditions=conditions_of(bench.faults, fits, grid, found),
        readings=_seen(readings, read, found, shifts[:, place]),
        further=further,
        compared=tuple(suspect.title for suspect in suspects[: len(compared)]),
        surroundings=surroundings_of(bench.state.solution),
        kinds=kinds_of(bench.state),
    )
