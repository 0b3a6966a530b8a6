"""A rig cut at a pump: everything but the line of the pump, or all that hangs on one side of it.

The pieces are rigs of their own, solved like any other, so that what a pump draws or pushes can be found at a flow or a
pressure that is not its duty.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.parts import Fitting, Joint, Source
from hydrokit.rig import Line, Mode, Rig, owners

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["Cut", "after_pump", "before_pump", "circles", "outlet_area", "values_for", "without_line"]

_OUTLET: Final = "cut-at-the-pump"
"""Name of the source that stands for the pump's outlet."""
_PORT: Final = "port-of-the-pump"
_PIECE: Final = "piece"


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
    """Return the values set in a state's variants that a piece of its rig has too, each variant so many times over."""
    there = {address for address, _ in owners(piece)}
    return {
        address: np.tile(np.broadcast_to(np.asarray(value, np.float64), (state.variants,)), times)
        for address, value in state.plan.values.changed.items()
        if address.rpartition(".")[0] in there
    }


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
