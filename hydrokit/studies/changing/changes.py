"""What to change first: sensible single changes, each really solved again, all in one batch."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Final

import numpy as np

from hydrokit.answers import Phrase  # noqa: TC001 - the fields of an answer are read while it runs
from hydrokit.bounds import Dimension, Spec
from hydrokit.network import solve
from hydrokit.rig import spec_at, value_at
from hydrokit.rules import State, margins
from hydrokit.rules.arrival import ARRIVES
from hydrokit.studies.changing.candidates import as_solved, candidates
from hydrokit.studies.facts.heads import lost_power
from hydrokit.studies.facts.usable import usable_flow

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Array
    from hydrokit.studies.changing.candidates import Candidate

__all__ = ["Change", "Setting", "best_changes"]

_SHOWN: Final = 5
_WORTH_IT: Final = 0.005
"""Least gain of flow, as a share of it, for a change that mends nothing to be worth naming."""
_WORTH_MARGIN: Final = 0.01
"""Least gain of the worst failing margin to be worth naming."""
_SAME_MARGIN: Final = 1e-6


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """A value to put at an address, SI."""

    address: str
    value: float
    dimension: Dimension


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change, and what it brings; ``values`` go straight into :func:`hydrokit.rig.replaced`."""

    what: Phrase
    settings: tuple[Setting, ...]
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered after it, as far as suction and switches allow")]
    flow_gain: Annotated[float, Spec(Dimension.FLOW, "more than before")]
    margin_gain: Annotated[float, Spec(Dimension.FRACTION, "of the worst failing margin that any change moves")]
    mends: tuple[str, ...]
    limit_after: str

    @property
    def values(self) -> dict[str, float]:
        """The values to put, by address, SI."""
        return {setting.address: setting.value for setting in self.settings}


def _variation(state: State, tries: list[Candidate]) -> dict[str, Array]:
    """Return one row for the rig as it is, then one for each candidate."""
    varied: dict[str, Array] = {}
    for row, candidate in enumerate(tries, start=1):
        for address, value in candidate.values.items():
            if address not in varied:
                varied[address] = np.full(len(tries) + 1, _now(state, candidate, address))
            varied[address][row] = value
    return varied


def _now(state: State, candidate: Candidate, address: str) -> float:
    """Return what stands at an address, or what a value left out amounts to."""
    if address in candidate.now:
        return candidate.now[address]
    stated: Any = state.plan.values.changed.get(address, value_at(state.rig, address))
    return float(np.ravel(stated)[0])


@dataclass(frozen=True, slots=True)
class _Tried:
    """Everything that was tried at once; row 0 is the rig as it is."""

    state: State
    judged: dict[tuple[str, str], Array]
    flow: Array
    worst: Array
    places: tuple[str, ...]
    power: Array

    def astray(self) -> bool:
        """Return whether water comes only to a source, and not to where it is to arrive: more of it helps nobody."""
        arriving = [name for name, flow in self.state.arrivals.items() if flow[0] > 0.0]
        missed = any(rule == ARRIVES.name and margin[0] < 0.0 for (rule, _), margin in self.judged.items())
        return missed and all(name in self.state.rig.sources for name in arriving)

    def broken(self, row: int) -> bool:
        """Return whether something fails that did not before."""
        return any(margin[row] < 0.0 <= np.nan_to_num(margin[0]) for margin in self.judged.values())

    def mended(self, row: int) -> tuple[str, ...]:
        """Return what failed before and is now known not to."""
        return tuple(
            f"{rule} at {place}"
            for (rule, place), margin in sorted(self.judged.items())
            if margin[0] < 0.0 and margin[row] >= 0.0
        )

    def limit(self, row: int) -> str:
        """Return what limits the rig: the worst failing finding, else the part that costs most."""
        failing = [(margin[row], key) for key, margin in self.judged.items() if margin[row] < 0.0]
        if failing:
            rule, place = min(failing)[1]
            return f"{rule} at {place}"
        return self.places[int(self.power[row].argmax())] if self.power[row].max() > 0.0 else ""


def _tried(state: State, values: Mapping[str, Array | float]) -> _Tried:
    tried = State(solve(state.rig, state.plan.mode, values))
    judged = margins(tried)
    moved = [margin for margin in judged.values() if not (np.isnan(margin) | (margin == margin[0])).all()]
    worst = np.fmin.reduce([np.zeros(tried.variants), *moved])
    return _Tried(tried, judged, usable_flow(tried), worst, *lost_power(tried.solution))


def best_changes(state: State) -> tuple[Change, ...]:
    """Return the changes that bring most, ranked by gain in the worst failing margin, then in flow.

    A change that makes another finding fail or the worst one worse is left out, and so is one that brings nothing. Where
    water only comes to where it is not to arrive, there are none: no part is at fault.
    """
    tries = list(candidates(state))
    if not tries:
        return ()
    tried = _tried(state, {**as_solved(state), **_variation(state, tries)})
    if tried.astray():
        return ()
    changes = []
    for row, candidate in enumerate(tries, start=1):
        gain, more = float(tried.worst[row] - tried.worst[0]), float(tried.flow[row] - tried.flow[0])
        mended = tried.mended(row)
        helps = gain > _WORTH_MARGIN or mended or more > _WORTH_IT * tried.flow[0]
        if tried.broken(row) or gain < -_SAME_MARGIN or not helps:
            continue
        changes.append(
            Change(
                what=candidate.what,
                settings=tuple(
                    Setting(address=address, value=value, dimension=spec_at(state.rig, address).dimension)
                    for address, value in candidate.values.items()
                ),
                flow=float(tried.flow[row]),
                flow_gain=more,
                margin_gain=gain,
                mends=mended,
                limit_after=tried.limit(row),
            )
        )
    changes.sort(key=lambda change: (-round(change.margin_gain, 6), -change.flow_gain))
    return tuple(changes[:_SHOWN])
