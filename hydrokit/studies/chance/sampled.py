"""What comes out of many samples of one rig: flow, time to fill, suction, energy and every margin, in chunks of one batch each."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.errors import SolverError
from hydrokit.network import solve
from hydrokit.rules import State
from hydrokit.rules.priming import HOLDS_PRIME, PRIMES
from hydrokit.rules.suction import HOSE_VACUUM, NPSH, PUMP_VACUUM, WHOLE_WATER
from hydrokit.studies.course.times_to_fill import fills_of
from hydrokit.studies.facts.usable import runs_full, usable
from hydrokit.studies.variants.judging import judged

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from hydrokit.answers import Phrase
    from hydrokit.bounds import Array, Real
    from hydrokit.network.flows import Flows
    from hydrokit.network.ports import Mask
    from hydrokit.rig import Rig
    from hydrokit.studies.variants.judging import Judged

__all__ = ["Outcomes", "outcomes_of"]

_SUCTION_SIDE: Final = tuple(rule.name for rule in (PRIMES, HOLDS_PRIME, NPSH, WHOLE_WATER, PUMP_VACUUM, HOSE_VACUUM))
"""The rules whose least margin is that of the suction side."""
_CHUNK: Final = 5_000
"""Samples solved together: more need memory and are no quicker."""

Place = tuple[str, str]
"""Rule and place."""


@dataclass(slots=True)
class Outcomes:
    """What came out of n samples; arrays of shape (n,).

    ``flow`` in m³/s, as far as suction allows; ``fill_time`` in s, infinite where some tank never is full; ``energy`` of
    a fill in J; neither is known where suction or a switch holds the flow back; ``suction`` the least margin of the
    suction side; ``margins`` by rule and place. NaN is what is not known or does not apply. ``reasons`` say why each
    limit that fails does in its worst sample; ``unknown`` why something is not known; the residuals are the worst of all.
    """

    flow: Array
    fill_time: Array
    energy: Array
    suction: Array
    margins: dict[Place, Array]
    reasons: dict[Place, Phrase] = field(default_factory=dict)
    unknown: dict[str, None] = field(default_factory=dict)
    fills: bool = False
    steps: int = 0
    mass_residual: float = 0.0
    energy_residual: float = 0.0


class _Gathering:
    """Outcomes that are filled chunk by chunk."""

    def __init__(self, samples: int) -> None:
        def blank() -> Array:
            return np.full(samples, np.nan)

        self.blank = blank
        self.found = Outcomes(blank(), blank(), blank(), blank(), {})
        self.worst: dict[Place, float] = {}

    def add(self, rig: Rig, mode: str, values: Mapping[str, Real], rows: slice, *, filling: bool) -> None:
        """Solve and judge the samples in some rows."""
        found, state = self.found, State(solve(rig, mode, values))
        real = usable(state)
        found.flow[rows] = real.delivered
        self._judge(judged(state), rows)
        self._note(state.solution.flows)
        if filling:
            self._fill(rig, mode, values, rows, free=runs_full(state, real))

    def _judge(self, of: Judged, rows: slice) -> None:
        found = self.found
        found.suction[rows] = of.least(*_SUCTION_SIDE)
        for column, (rule, measure) in enumerate(of.measures):
            key, margins = (rule.name, measure.place), of.margins[:, column]
            own = found.margins.setdefault(key, self.blank())
            own[rows] = np.fmin(own[rows], margins)
            least = float(np.fmin.reduce(margins, initial=np.inf))
            if least < self.worst.get(key, 0.0):
                self.worst[key] = least
                found.reasons[key] = measure.word(int(np.nanargmin(margins)))[0]

    def _note(self, flows: Flows) -> None:
        found = self.found
        found.steps = max(found.steps, int(flows.steps.max()))
        found.mass_residual = max(found.mass_residual, float(flows.mass_residual.max()))
        found.energy_residual = max(found.energy_residual, float(flows.energy_residual.max()))

    def _fill(self, rig: Rig, mode: str, values: Mapping[str, Real], rows: slice, *, free: Mask) -> None:
        found = self.found
        try:
            fills = fills_of(rig, mode, values)
        except SolverError as error:
            found.unknown[f"the time to fill: {error}"] = None
            return
        found.fills = found.fills or fills.wanted
        found.unknown |= dict.fromkeys(fills.unknown)
        if fills.wanted:
            found.fill_time[rows], found.energy[rows] = (
                np.where(free, each, np.nan) for each in (fills.time, fills.energy)
            )


def outcomes_of(
    rig: Rig,
    mode: str,
    values: Mapping[str, Real],
    samples: int,
    *,
    filling: bool = True,
    progress: Callable[[float], None] | None = None,
) -> Outcomes:
    """Return what comes out of samples of a rig.

    Parameters
    ----------
    rig : Rig
    mode : str
        Name of a mode.
    values : mapping of address to float or array, shape (samples,)
        In front of the rig's own, SI.
    samples : int
        How many there are; 1 where no value is an array.
    filling : bool
        Whether to follow the filling of the tanks as well.
    progress : callable, optional
        Told the share done, 0 to 1.

    Raises
    ------
    InputError
        If an address is unknown or a value is not possible.
    SolverError
        If a sample does not settle; where only its filling does not, the times and energies of its chunk are not known.
    """
    gathering = _Gathering(samples)
    for begin in range(0, samples, _CHUNK):
        rows = slice(begin, min(begin + _CHUNK, samples))
        chunk = {address: value[rows] if isinstance(value, np.ndarray) else value for address, value in values.items()}
        gathering.add(rig, mode, chunk, rows, filling=filling)
        if progress is not None:
            progress(rows.stop / samples)
    return gathering.found
