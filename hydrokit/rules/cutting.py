"""A rig cut at a pump: everything but the line of the pump, or all that hangs on one side of it.

The pieces are rigs of their own, solved like any other, so that what a pump draws or pushes can be found at a flow or a
pressure that is not its duty.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.network.batteries import open_voltage
from hydrokit.parts import Fitting, Joint, Source
from hydrokit.rig import Line, Mode, Rig, owners

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["Cut", "after_pump", "before_pump", "circles", "outlet_area", "values_for", "without_line"]

_OUTLET: Final = "cut-at-the-pump"
"""Name of the source that stands for the pump's outlet."""
_PORT: Final = "port-of-the-pump"
_PIECE: Final = "piece"
_LEAST: Final = 0.1
"""V; the least that a battery may state."""


@dataclass(frozen=True, slots=True)
class Cut:
    """A piece of a rig cut off at a pump's outlet, where a source stands.

    ``line`` names the piece's line that ends there, and ``pressure`` is the address of the source's pressure; ``values``
    are what the piece has of its own in every variant, shape (n,).
    """

    rig: Rig
    line: str
    values: dict[str, Array]
    pressure: str = f"sources.{_OUTLET}.pressure"


def _piece(state: State, lines: Mapping[str, Line], cut: Mapping[str, Source]) -> Rig:
    """Return a rig of some lines of a state's rig, in its mode, with sources where they are cut off."""
    rig, mode = state.rig, state.mode
    used = {end for line in lines.values() for end in (line.start, line.end)}
    kept: dict[str, Any] = {
        group: {name: end for name, end in getattr(rig, group).items() if name in used}
        for group in ("sources", "tanks", "outlets")
    }
    kept["sources"] |= cut
    fixed = {*kept["sources"], *kept["tanks"], *kept["outlets"]}
    # every joint is stated: what is left of one may be a single line's end
    kept["joints"] = {name: rig.joints.get(name, Joint()) for name in sorted(used - fixed)}
    there = {f"lines.{name}.{label}" for name, line in lines.items() for label in line.labels()}
    closed = tuple(address for address in mode.closed if address.removeprefix("lines.") in lines)
    off = tuple(address for address in mode.off if address in there)
    return replace(rig, lines=lines, modes={_PIECE: Mode(closed=closed, off=off)}, origins={}, tolerances={}, **kept)


def values_for(state: State, piece: Rig, times: int = 1) -> dict[str, Any]:
    """Return what a piece of a state's rig has of its variants, each so many times over.

    That is every value that was set, and the voltage that pumps elsewhere leave in the batteries of the piece's own.
    """
    there = {address for address, _ in owners(piece)}
    changed = state.plan.values.changed.items()
    own = {address: value for address, value in changed if address.rpartition(".")[0] in there}
    return {address: np.tile(state.full(value), times) for address, value in {**own, **_left(state, there)}.items()}


def _left(state: State, there: Collection[str]) -> dict[str, Any]:
    """Return the voltages of batteries that feed pumps both at the addresses given and elsewhere, less what these take."""
    fed = [(index, getattr(state.plan.elements[index].part, "battery", "")) for index in state.on]
    own = [state.plan.elements[index].address in there for index, _ in fed]
    found: dict[str, Any] = {}
    for name in {battery for (_, battery), here in zip(fed, own, strict=True) if battery and here}:
        elsewhere = [index for (index, battery), here in zip(fed, own, strict=True) if battery == name and not here]
        if elsewhere:
            currents = state.drawn.current[:, [state.on[index] for index in elsewhere]]
            inner = state.plan.values.of(f"batteries.{name}", state.rig.batteries[name], "inner_resistance")
            drop = inner * np.nansum(currents, axis=1)
            left = np.maximum(open_voltage(state.rig, state.plan.values, name) - drop, _LEAST)
            found |= {f"batteries.{name}.{field}": left for field in ("full_voltage", "empty_voltage")}
    return found


def without_line(state: State, line: str) -> Rig:
    """Return a rig without one of its lines; the joints where it ended are stated, to take its flow as a demand."""
    return _piece(state, {name: each for name, each in state.rig.lines.items() if name != line}, {})


def _fixed(state: State) -> tuple[str, ...]:
    return (*state.rig.sources, *state.rig.tanks, *state.rig.outlets)


def _hanging_on(state: State, start: str, cut: str) -> dict[str, Line]:
    """Return the lines that hang together with an end, whichever way they run, without a certain line."""
    lines = {name: line for name, line in state.rig.lines.items() if name != cut}
    joints = {*state.rig.ends()} - {*_fixed(state)}
    reached, before = {start} & joints, set[str]()
    while reached != before:
        before = set(reached)
        for line in lines.values():
            if reached & {line.start, line.end}:
                reached |= {line.start, line.end} & joints
    return {name: line for name, line in lines.items() if reached & {line.start, line.end}}


def circles(state: State, pump: int) -> bool:
    """Return whether some other line joins the two sides of a pump, so that no cut parts them."""
    line = state.rig.lines[state.line_of(pump)]
    there = _hanging_on(state, line.start, state.line_of(pump)).values()
    return line.end in {end for each in there for end in (each.start, each.end)} - {*_fixed(state)}


def _split(state: State, pump: int) -> tuple[str, Line, int]:
    """Return name, line with every part named, and place of the pump in it."""
    name = state.line_of(pump)
    line = state.rig.lines[name]
    labels = line.labels()
    parts = tuple(replace(part, name=label) for part, label in zip(line.parts, labels, strict=True))
    return name, replace(line, parts=parts), labels.index(state.plan.elements[pump].address.rpartition(".")[2])


def _cut(state: State, pump: int, lines: Mapping[str, Line], outlet: Source, ports: Mapping[str, Any]) -> Cut:
    height = state.walk.height[:, state.outlet(pump)]
    own = {f"sources.{_OUTLET}.surface": height, **{address: state.full(bore) for address, bore in ports.items()}}
    return Cut(_piece(state, lines, {_OUTLET: outlet}), state.line_of(pump), own)


def after_pump(state: State, pump: int) -> Cut:
    """Return what hangs on a pump's outlet, fed by a source of stated pressure.

    A fitting that costs nothing stands for the pump's port, so that the change of bore there still counts; where nothing
    is left of the line and no port is stated, one that is wide open.
    """
    name, line, at = _split(state, pump)
    bore, after = state.of(state.plan.elements[pump], "outlet_bore"), line.parts[at + 1 :]
    port = (Fitting(name=_PORT, bore=1.0, k=0.0),) if bore is not None or not after else ()
    own = Line(start=_OUTLET, end=line.end, parts=(*port, *after))
    ports = {} if bore is None else {f"lines.{name}.{_PORT}.bore": bore}
    return _cut(
        state, pump, {**_hanging_on(state, line.end, name), name: own}, Source(surface=0.0, entrance_k=0.0), ports
    )


def before_pump(state: State, pump: int) -> Cut:
    """Return a pump and all it draws from, pressing against a source of stated pressure."""
    name, line, at = _split(state, pump)
    own = Line(start=line.start, end=_OUTLET, parts=line.parts[: at + 1])
    return _cut(state, pump, {**_hanging_on(state, line.start, name), name: own}, Source(surface=0.0, exit_k=0.0), {})


def outlet_area(state: State, pump: int) -> Array:
    """Return the area of the bore in which a gauge at a pump's outlet sits, m²; infinite where none is known."""
    bore = np.broadcast_to(state.plan.stations.bore, state.walk.head.shape)[:, state.outlet(pump)]
    return np.asarray(np.pi / 4.0 * np.where(np.isnan(bore), np.inf, bore) ** 2, np.float64)
