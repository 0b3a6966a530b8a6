"""Whether water arrives where an open line leads."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import FloatValve, FootValve, Outlet, Pump, Strainer, Tank
from hydrokit.rules.naming import capital, listed
from hydrokit.rules.resting import heads_at_rest
from hydrokit.rules.rule import Measure, Rule

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rig import Line
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["ARRIVES"]

_TRACE: Final = 1e-3
"""m of head; a line that stands still lacks at least this, or the water would creep."""


def _address(state: State, end: str) -> str:
    return f"tanks.{end}" if end in state.rig.tanks else f"outlets.{end}"


def _line_number(state: State, address: str) -> int:
    return state.plan.layout.lines.index(address.split(".")[1])


def _bare(state: State, line: Line) -> Mask:
    """Return where the tank that a line starts from is empty down to its outlet."""
    tank = state.rig.tanks.get(line.start)
    if tank is None:
        return np.zeros(state.variants, np.bool_)
    stated = state.plan.values.of(f"tanks.{line.start}", tank, "outlet_height")
    outlet = state.plan.values.of(f"tanks.{line.start}", tank, "floor") if stated is None else stated
    return np.asarray(state.surface_of(line.start) <= outlet, np.bool_)


def _full(state: State, number: int) -> Mask:
    """Return where a float valve at the end of a line has shut it."""
    shut = [
        state.plan.elements[index].shut
        for index in state.own[number]
        if isinstance(state.plan.elements[index].part, FloatValve)
    ]
    return np.broadcast_to(np.any(shut, axis=0) if shut else np.False_, (state.variants,))


def _short(state: State, number: int) -> Array:
    """Return the head that a line which stands still lacks at its end, m; infinite where no water reaches it at all."""
    last = int(state.plan.stations.begins[number]) + len(state.own[number])
    wanted = np.broadcast_to(state.plan.ends.fixed_end, state.solution.flows.flow.shape)[:, number]
    there, rest = state.walk.head[:, last], heads_at_rest(state)[:, last]
    return np.maximum(wanted - np.where(np.isnan(there) | np.isinf(rest), rest, there), _TRACE)


def _levels(state: State, number: int, line: Line) -> bool:
    """Return whether a line merely levels two tanks: it may stand still, or run either way."""
    tanks = all(isinstance(state.rig.ends()[name], Tank) for name in (line.start, line.end))
    both_ways = any(way.line == number and way.start == line.end for way in state.ways)
    return tanks and both_ways and not any(index in state.on for index in state.own[number])


def _turned_round(state: State) -> str:
    """Return a sentence on the first open line that leads into open water, from which none comes, as an intake would lead out."""
    lines = [(name, line) for number, (name, line) in enumerate(state.rig.lines.items()) if not state.closed[number]]
    drawn_from = {line.start for _, line in lines}
    for name, line in lines:
        intake = any(isinstance(part, Pump | FootValve | Strainer) for part in line.parts)
        if intake and line.end in state.rig.sources and line.end not in drawn_from:
            return f" Line {name} leads into source {line.end}: if it is to draw from there, let from and to change places."
    return ""


def _word(
    state: State, line: Line, masks: dict[str, Mask], numbers: dict[str, Array], row: int
) -> tuple[Phrase, Phrase]:
    end = state.named(_address(state, line.end))
    flow, short = numbers["flow"][row], numbers["short"][row]
    if flow > 0.0:
        return phrase(f"{{flow}} arrives at {end}.", flow=(flow, Dimension.FLOW)), phrase("")
    if masks["full"][row]:
        return phrase(f"{capital(end)} is full: its float valve is shut."), phrase("")
    if flow < 0.0:
        return (
            phrase(f"Water runs out of {end} instead of into it, {{back}} of it.", back=(-flow, Dimension.FLOW)),
            phrase("Fit a non-return valve in that line, or let it end above the water."),
        )
    if masks["bare"][row]:
        return (
            phrase(f"Nothing arrives at {end}: the water in tank {line.start} stands no higher than its outlet."),
            phrase(f"Fill tank {line.start}, or lower its outlet."),
        )
    if not np.isfinite(short):
        return (
            phrase(f"Nothing arrives at {end}: no open line brings water to where its own begins."),
            phrase(f"Open a line that does, or switch the pump on.{_turned_round(state)}"),
        )
    said = phrase(f"Nothing arrives at {end}: {{short}} of head is missing.", short=(short, Dimension.LENGTH))
    stopped = [state.named(address) for address in state.mode.off if not state.closed[_line_number(state, address)]]
    pump = f"Switch {listed(stopped)} on" if stopped else "Take a pump with more pressure at no flow"
    return said, phrase(f"{pump}, lower the end of the line, or raise the water it draws from.")


def _line_arrives(state: State, number: int, name: str) -> Measure:
    line, flow = state.rig.lines[name], state.solution.flow(name)
    still = state.stands_still(flow)
    short = _short(state, number)
    masks = {"full": _full(state, number), "bare": _bare(state, line)}
    numbers = {"flow": np.where(still, 0.0, flow), "short": short}
    wanted = np.broadcast_to(state.plan.ends.fixed_end, state.solution.flows.flow.shape)[:, number]
    lowest = np.min([state.head_of(end) for end in (*state.rig.sources, *state.rig.tanks)], axis=0, initial=np.inf)
    known = np.where(np.isfinite(short), short, 1.0)
    share = np.minimum(known / np.maximum(wanted - lowest, known), 1.0)
    missing = np.where(masks["bare"] | ~np.isfinite(short), 1.0, share)
    arrives: Any = (numbers["flow"] > 0.0) | masks["full"]
    return Measure(
        place=f"lines.{name}",
        value=numbers["flow"],
        limit=np.zeros(state.variants),
        margin=np.where(arrives, 1.0, np.where(numbers["flow"] < 0.0, -1.0, -missing)),
        word=partial(_word, state, line, masks, numbers),
    )


def _no_way(state: State) -> Iterator[Measure]:
    """Yield a failure where no open line leads to a tank or outlet of the rig, so that there is nothing else to judge."""
    ends = state.rig.ends()
    leading = [
        number
        for number, line in enumerate(state.rig.lines.values())
        if isinstance(ends[line.end], (Tank, Outlet)) and state.closed[number]
    ]
    if not leading or np.any(state.plan.ends.demand):
        return
    pumps = [
        state.blocked[number] for number in range(len(state.own)) if state.blocked[number] and not state.shut[number]
    ]
    if pumps:
        place = pumps[0]
        said = f"Nothing arrives anywhere: {state.named(place)} is switched off, and lets nothing through."
        advice = "Switch it on, or open another way for the water."
    else:
        place = f"lines.{state.plan.layout.lines[leading[0]]}"
        said = "No water is led to a tank or outlet: this mode shuts every line that leads to one."
        advice = _turned_round(state).strip() or "Open one of them in this mode."
    yield Measure(
        place=place,
        value=np.zeros(state.variants),
        limit=np.zeros(state.variants),
        margin=np.full(state.variants, -1.0),
        word=lambda _row: (phrase(said), phrase(advice)),
    )


def _arrives(state: State) -> Iterator[Measure]:
    if not state.deliveries:
        yield from _no_way(state)
        return
    for number, (name, line) in enumerate(state.rig.lines.items()):
        if line.end in state.deliveries and not state.closed[number] and not _levels(state, number, line):
            yield _line_arrives(state, number, name)


ARRIVES: Final = Rule(
    name="water arrives",
    doc="Every open line that leads to a tank or outlet carries water to it.",
    formula="flow > 0 in each open line that ends in a tank or outlet; else what is told is the head that is missing",
    dimension=Dimension.FLOW,
    source="conservation of energy",
    measure=_arrives,
)
