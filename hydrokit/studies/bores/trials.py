"""Bores tried on a rig: every row of bores solved and judged, all in batches that fit the cache."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Annotated, Any, Final, NamedTuple

import numpy as np

from hydrokit.answers import Phrase, finite_or_none, phrase
from hydrokit.bounds import Dimension, Spec
from hydrokit.network import solve
from hydrokit.rules import State
from hydrokit.studies.bores.hose_mass import catalogue_hoses, mass_per_length
from hydrokit.studies.course.times_to_fill import fill_times_if_known
from hydrokit.studies.facts.usable import usable
from hydrokit.studies.variants.judging import judged

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping, Sequence

    from hydrokit.bounds import Array
    from hydrokit.network import Solution
    from hydrokit.parts import Hose
    from hydrokit.rig import Rig
    from hydrokit.studies.bores.runs import Run

__all__ = ["Candidate", "Trial", "size_name"]

_CHUNK: Final = 4096


@dataclass(frozen=True, slots=True, kw_only=True)
class Candidate:
    """One bore for each run of hose, and what comes of it; None where it is not known."""

    sizes: tuple[str, ...]
    bores: Annotated[tuple[float, ...], Spec(Dimension.LENGTH, "of each run of hose")]
    fits: bool
    passes: bool
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered, as far as suction allows")]
    full_pipe_flow: Annotated[float, Spec(Dimension.FLOW, "that the full pipe would carry")]
    velocity: Annotated[float | None, Spec(Dimension.VELOCITY, "greatest in these hoses, pipe full")]
    suction_margin: Annotated[
        float | None, Spec(Dimension.FRACTION, "least margin of NPSH and of pressure at which water stays whole")
    ]
    fill_time: Annotated[
        float | None,
        Spec(Dimension.TIME, "until every tank that is filled is full; None where some never is, or flow is held back"),
    ]
    water_mass: Annotated[float, Spec(Dimension.MASS, "of the water in these hoses")]
    hose_mass: Annotated[float | None, Spec(Dimension.MASS, "of these hoses without water")]
    ruled_out: tuple[str, ...]
    reason: Phrase


def size_name(bore: float, series: Sequence[tuple[str, float]]) -> str:
    """Return the trade size of a bore; its millimetres where the series has none."""
    return next((label for label, size in series if abs(size - bore) <= 1e-9), f"{bore * 1e3:.4g} mm")


class _Size(NamedTuple):
    """What one run of hose is called, why it does not fit and what it weighs, at one bore."""

    name: str
    refused: Phrase | None
    mass: float | None


@dataclass(slots=True)
class Trial:
    """One rig in one mode, and the runs of hose whose bores are tried on it.

    Parameters
    ----------
    rig : Rig
    mode : str
    changed : mapping of address to float
        What stands in front of the rig's own values.
    runs : tuple of Run
    series : sequence of (label, bore)
        What the bores are called.
    tails_change : bool
        Whether the tails beside a hose are changed along with it, in proportion.
    """

    rig: Rig
    mode: str
    changed: Mapping[str, float]
    runs: tuple[Run, ...]
    series: Sequence[tuple[str, float]]
    tails_change: bool
    unknown: dict[str, None] = field(default_factory=dict)
    steps: int = 0
    mass_residual: float = 0.0
    energy_residual: float = 0.0

    def variation(self, rows: Array) -> dict[str, Any]:
        """Return what makes rows of bores, shape (n, runs), of the rig."""
        varied: dict[str, Any] = dict(self.changed)
        for column, run in enumerate(self.runs):
            for hose in run.hoses:
                varied[f"{hose.place}.bore"] = rows[:, column]
                tails = [seat for seat in hose.seats if seat.is_tail] if self.tails_change else []
                for seat in tails:
                    varied[f"{seat.place}.bore"] = rows[:, column] * min(seat.bore / hose.bore, 1.0)
        return varied

    def solved(self, rows: Array) -> Solution:
        """Solve rows of bores, and remember how well the worst of them closes."""
        solution = solve(self.rig, self.mode, self.variation(rows))
        flows = solution.flows
        self.steps = max(self.steps, int(flows.steps.max()))
        self.mass_residual = max(self.mass_residual, float(flows.mass_residual.max()))
        self.energy_residual = max(self.energy_residual, float(flows.energy_residual.max()))
        return solution

    def _of_sizes(self, column: int, bores: Array) -> dict[float, _Size]:
        """Return what is known of one run at each of some bores, before anything is solved."""
        run, listed = self.runs[column], catalogue_hoses()
        return {
            bore: _Size(
                size_name(bore, self.series),
                run.refuses(bore, tails_change=self.tails_change),
                _mass_of(run, bore, listed),
            )
            for bore in np.unique(bores).tolist()
        }

    def candidates(self, rows: Array, progress: Callable[[float], None] | None = None) -> Iterator[Candidate]:
        """Yield what comes of each row of bores, shape (n, runs)."""
        for begin in range(0, len(rows), _CHUNK):
            yield from self._chunk(rows[begin : begin + _CHUNK])
            if progress is not None:
                progress(min((begin + _CHUNK) / len(rows), 1.0))

    def _chunk(self, rows: Array) -> Iterator[Candidate]:
        state = State(self.solved(rows))
        ruled, real = judged(state), usable(state)
        suction, speed, mass = ruled.suction(), self._velocity(state), self._water_mass(state, rows)
        times = fill_times_if_known(state, real, self.variation(rows), self.unknown)
        known = [self._of_sizes(column, rows[:, column]) for column in range(len(self.runs))]
        names, speeds, margins, masses = ruled.names(), speed.tolist(), suction.tolist(), mass.tolist()
        pairs = enumerate(zip(rows.tolist(), ruled.ranked(), strict=True))
        for row, (bores, passed) in pairs:
            sizes = [each[bore] for each, bore in zip(known, bores, strict=True)]
            refused = next((size.refused for size in sizes if size.refused is not None), None)
            weights = [size.mass for size in sizes if size.mass is not None]
            yield Candidate(
                sizes=tuple(size.name for size in sizes),
                bores=tuple(bores),
                fits=refused is None,
                passes=refused is None and not passed,
                flow=float(real.delivered[row]),
                full_pipe_flow=float(state.delivered[row]),
                velocity=finite_or_none(speeds[row]),
                suction_margin=finite_or_none(margins[row]),
                fill_time=finite_or_none(times[row]),
                water_mass=masses[row],
                hose_mass=sum(weights) if len(weights) == len(sizes) else None,
                ruled_out=tuple(names[column] for column in passed),
                reason=refused or (ruled.reason(row, passed[0]) if passed else phrase("")),
            )

    def _velocity(self, state: State) -> Array:
        places = {hose.place for run in self.runs for hose in run.hoses}
        stations = [
            state.outlet(index)
            for index, element in enumerate(state.plan.elements)
            if element.part is not None and element.address in places
        ]
        fastest: Array = np.abs(state.walk.velocity[:, stations]).max(axis=1)
        return fastest

    def _water_mass(self, state: State, rows: Array) -> Array:
        lengths = np.array([sum(hose.length for hose in run.hoses) for run in self.runs])
        density: Any = state.conditions.density
        return np.asarray(density * np.pi / 4.0 * (rows**2 @ lengths), np.float64)


def _mass_of(run: Run, bore: float, listed: Sequence[Hose]) -> float | None:
    """Return what the hoses of a run weigh without water, kg; None where that of any is not known."""
    total = 0.0
    for hose in run.hoses:
        each = mass_per_length(hose.part, bore, listed)
        if each is None:
            return None
        total += each * hose.length
    return total
