"""What to change first: sensible single changes, each really solved again, all in one batch."""

from __future__ import annotations

from dataclasses import dataclass
from functools import singledispatch
from typing import TYPE_CHECKING, Annotated, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension, Spec
from hydrokit.catalogue import hose_bores
from hydrokit.network import solve
from hydrokit.parts import Coupler, Elbow, Filter, Fitting, FootValve, Hose, HoseTail, Part, Pump, Strainer
from hydrokit.rig import replaced, value_at
from hydrokit.rules import State, margins
from hydrokit.rules.allowed import allowed_flow
from hydrokit.rules.drawing import static_lift
from hydrokit.studies.heads import lost_power

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping

    from hydrokit.bounds import Array
    from hydrokit.rig import Line

__all__ = ["Change", "best_changes", "usable_flow"]

_SHOWN: Final = 5
_WORTH_IT: Final = 0.005
"""Least gain of flow, as a share of it, for a change that mends nothing to be worth naming."""
_STEP_DOWN: Final = 0.5
_SHORTER: Final = 0.75
_SHORTEST: Final = 1.0
_SAME_SIZE: Final = 1.02
"""Bores closer than this are the same size by two names, such as 12.5 mm and half an inch."""
_WIDE_OPEN_KV: Final = 10.0
"""m³/s at 1 bar: as good as no coupler at all."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Change:
    """One change, and what it brings."""

    what: Phrase
    values: dict[str, float]
    flow: Annotated[float, Spec(Dimension.FLOW, "delivered after it, as far as suction allows")]
    flow_gain: Annotated[float, Spec(Dimension.FLOW, "more than before")]
    margin_gain: Annotated[float, Spec(Dimension.FRACTION, "of the worst failing margin")]
    mends: tuple[str, ...]
    limit_after: str


@dataclass(frozen=True, slots=True)
class _Candidate:
    what: Phrase
    values: dict[str, float]


@dataclass(frozen=True, slots=True)
class _Spot:
    """Where a part stands: its address, the narrowest bore of the hoses on either side, the pump it may be."""

    state: State
    address: str
    beside: float | None
    running: int | None


def _next_bore(bore: float) -> float | None:
    wider = [size for _, size in hose_bores("all") if size > bore * _SAME_SIZE]
    return min(wider, default=None)


def _wider(spot: _Spot, bore: float, wide: float) -> _Candidate:
    sizes = {"now": (bore, Dimension.LENGTH), "wide": (wide, Dimension.LENGTH)}
    return _Candidate(phrase(f"Widen {spot.address} from {{now}} to {{wide}}", **sizes), {f"{spot.address}.bore": wide})


@singledispatch
def _changes_of(part: Part, spot: _Spot) -> Iterator[_Candidate]:
    """Yield what a builder could do about one part; nothing by default."""
    del part, spot
    return iter(())


@_changes_of.register(Hose)
def _(part: Hose, spot: _Spot) -> Iterator[_Candidate]:
    wide = _next_bore(part.bore)
    if wide is not None:
        yield _wider(spot, part.bore, wide)
    if part.length > _SHORTEST:
        shorter = part.length * _SHORTER
        yield _Candidate(
            phrase(f"Shorten {spot.address} to {{short}}", short=(shorter, Dimension.LENGTH)),
            {f"{spot.address}.length": shorter},
        )


@_changes_of.register(HoseTail)
@_changes_of.register(Fitting)
@_changes_of.register(Elbow)
def _(part: HoseTail | Fitting | Elbow, spot: _Spot) -> Iterator[_Candidate]:
    if spot.beside is not None and spot.beside > part.bore * _SAME_SIZE:
        yield _wider(spot, part.bore, spot.beside)


@_changes_of.register(Coupler)
def _(part: Coupler, spot: _Spot) -> Iterator[_Candidate]:
    gone = {f"{spot.address}.k": 0.0} if part.kv is None else {f"{spot.address}.kv": _WIDE_OPEN_KV}
    if spot.beside is not None:
        gone[f"{spot.address}.bore"] = max(part.bore, spot.beside)
    yield _Candidate(phrase(f"Leave out the coupler {spot.address}"), gone)


@_changes_of.register(Strainer)
@_changes_of.register(FootValve)
def _(part: Strainer | FootValve, spot: _Spot) -> Iterator[_Candidate]:
    if part.blockage > 0.0:
        yield _Candidate(phrase(f"Clean the screen of {spot.address}"), {f"{spot.address}.blockage": 0.0})


@_changes_of.register(Filter)
def _(part: Filter, spot: _Spot) -> Iterator[_Candidate]:
    if part.loading > 0.0:
        yield _Candidate(phrase(f"Renew the element of {spot.address}"), {f"{spot.address}.loading": 0.0})
    more = part.side_by_side + 1.0
    yield _Candidate(phrase(f"Fit {more:g} of {spot.address} side by side"), {f"{spot.address}.side_by_side": more})


@_changes_of.register(Pump)
def _(part: Pump, spot: _Spot) -> Iterator[_Candidate]:
    if spot.running is None or part.height is None:
        return
    lift = static_lift(spot.state, spot.running)
    if lift is None or lift[0] <= 0.0:
        return
    down = min(_STEP_DOWN, float(lift[0]))
    yield _Candidate(
        phrase(f"Lower {spot.address} by {{down}}", down=(down, Dimension.LENGTH)),
        {f"{spot.address}.height": part.height - down},
    )


def _hose_beside(line: Line, place: int) -> float | None:
    """Return the narrower bore of the hoses nearest to a part on either side."""
    before = next((part.bore for part in reversed(line.parts[:place]) if isinstance(part, Hose)), None)
    after = next((part.bore for part in line.parts[place + 1 :] if isinstance(part, Hose)), None)
    return min((bore for bore in (before, after) if bore is not None), default=None)


def _as_solved(state: State) -> dict[str, float]:
    """Return the values that stand in front of the rig's own."""
    return {address: float(np.ravel(value)[0]) for address, value in state.plan.values.changed.items()}


def _candidates(state: State) -> Iterator[_Candidate]:
    running = {state.plan.elements[index].address: index for index in state.running}
    stands = replaced(state.rig, _as_solved(state))  # with what the mode and the caller have set
    for number, (name, line) in enumerate(stands.lines.items()):
        if state.closed[number]:
            continue
        for place, (label, part) in enumerate(zip(line.labels(), line.parts, strict=True)):
            address = f"lines.{name}.{label}"
            yield from _changes_of(part, _Spot(state, address, _hose_beside(line, place), running.get(address)))


def usable_flow(state: State) -> Array:
    """Return what is delivered in every variant, m³/s, scaled down where suction allows a pump less than its duty."""
    share = np.ones(state.variants)
    for index in state.running:
        allowed = allowed_flow(state, index)
        duty = state.flow_at(index)
        if allowed is not None:
            share = np.minimum(share, np.divide(allowed, duty, out=np.ones_like(duty), where=duty > 0.0))
    return state.delivered * share


def _variation(state: State, candidates: list[_Candidate]) -> dict[str, Array]:
    """Return one row for the rig as it is, then one for each candidate."""
    varied: dict[str, Array] = {}
    for row, candidate in enumerate(candidates, start=1):
        for address, value in candidate.values.items():
            if address not in varied:
                stated: Any = state.plan.values.changed.get(address, value_at(state.rig, address))
                varied[address] = np.full(len(candidates) + 1, value if stated is None else float(np.ravel(stated)[0]))
            varied[address][row] = value
    return varied


def best_changes(state: State) -> tuple[Change, ...]:
    """Return the changes that bring most, ranked by gain in the worst failing margin, then in flow.

    A change that makes another finding fail is left out, and so is one that brings nothing.
    """
    candidates = list(_candidates(state))
    if not candidates:
        return ()
    tried = State(solve(state.rig, state.plan.mode, {**_as_solved(state), **_variation(state, candidates)}))
    judged = margins(tried)
    failing = {key: value < 0.0 for key, value in judged.items()}
    now_bad = {key for key, bad in failing.items() if bad[0]}
    worst = np.min([np.minimum(judged[key], 0.0) for key in judged], axis=0) if judged else np.zeros(tried.variants)
    flow = usable_flow(tried)
    places, power = lost_power(tried.solution)
    changes = []
    for row, candidate in enumerate(candidates, start=1):
        if any(bad[row] for key, bad in failing.items() if key not in now_bad):
            continue
        gain, more = float(worst[row] - worst[0]), float(flow[row] - flow[0])
        mended = tuple(f"{rule} at {place}" for rule, place in sorted(now_bad) if not failing[rule, place][row])
        if gain <= 1e-6 and not mended and more <= _WORTH_IT * max(flow[0], 1e-9):
            continue
        changes.append(
            Change(
                what=candidate.what,
                values=candidate.values,
                flow=float(flow[row]),
                flow_gain=more,
                margin_gain=gain,
                mends=mended,
                limit_after=_limit_after(judged, places, power, row),
            )
        )
    changes.sort(key=lambda change: (-round(change.margin_gain, 6), -change.flow_gain))
    return tuple(changes[:_SHOWN])


def _limit_after(judged: Mapping[tuple[str, str], Array], places: tuple[str, ...], power: Array, row: int) -> str:
    """Return what limits the rig then: the worst failing finding, else the part that costs most."""
    failing = [(value[row], key) for key, value in judged.items() if value[row] < 0.0]
    if failing:
        rule, place = min(failing)[1]
        return f"{rule} at {place}"
    return places[int(power[row].argmax())] if power[row].max() > 0.0 else ""
