"""From a rig and a mode to a plan of arrays."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.bounds import Mistakes
from hydrokit.errors import Mistake, NetworkError
from hydrokit.laws.friction import REST_REYNOLDS
from hydrokit.laws.hand_pump import hand_pump_points
from hydrokit.laws.pump_curve import affinity, compile_curves
from hydrokit.network.batteries import drives_of
from hydrokit.network.driven import line_limits
from hydrokit.network.elements import Element, elements_of
from hydrokit.network.ends import fixed_ends
from hydrokit.network.loss import line_loss, starting_flow
from hydrokit.network.lossless import check_resisted
from hydrokit.network.plan import Ends, Layout, Losses, Plan, Pumps
from hydrokit.network.rubbing import hoses_of, put_together, runs
from hydrokit.network.stations import stations_of
from hydrokit.network.stopped import with_stopped
from hydrokit.network.values import Conditions, Values, columns, conditions_of
from hydrokit.parts import CentrifugalPump, DiaphragmPump, FloatValve, HandPump, Joint, Pump
from hydrokit.rig import replaced

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Array, Real
    from hydrokit.laws.pump_curve import CurveTable
    from hydrokit.network.ends import LineEnds
    from hydrokit.rig import Mode, Rig

__all__ = ["build_plan"]

_NOMINAL_VELOCITY: Final = 1.0
"""m/s; to start the search from."""
_LEAST_WEAR: Final = 1e-5
"""Less is lost in rounding: where a curve ends upright, all its pressure would hang on the last digit."""


@dataclass(frozen=True, slots=True)
class _Gathered:
    """Everything read from the rig, before it becomes arrays."""

    rig: Rig
    values: Values
    conditions: Conditions
    elements: list[Element]
    line_of: list[int]
    off: frozenset[str]
    mode: Mode


def build_plan(
    rig: Rig,
    mode: str | None = None,
    variation: Mapping[str, Real] | None = None,
    *,
    levels_apart: bool = False,
) -> Plan:
    """Gather a rig and mode into arrays; every derived figure is computed here, from the varied values.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    variation : mapping of address to float or array, shape (n,), optional
        Values that stand in front of the rig's own, SI. Arrays of one length make n variants.
    levels_apart : bool
        Whether the levels of tanks are kept apart, to be stepped through time: then none counts as too low for an
        outlet or too high for a float valve.

    Raises
    ------
    InputError
        If the mode or an address is unknown or a value is not possible.
    NetworkError
        If joints are cut off from every end of known head, or a line has nothing in it.
    """
    name, chosen = rig.mode(mode)
    values = Values(rig, chosen, variation or {})
    conditions = conditions_of(rig.site, values)
    elements: list[Element] = []
    line_of: list[int] = []
    told = _with_left_out(rig, values)
    for number, line in enumerate(rig.lines):
        found = elements_of(told, line, values, conditions, levels_apart=levels_apart)
        found = with_stopped(found, set(chosen.off), conditions)
        elements += found
        line_of += [number] * len(found)
    gathered = _Gathered(rig, values, conditions, elements, line_of, frozenset(chosen.off), chosen)
    hoses = hoses_of(elements, line_of, conditions.kinematic_viscosity)
    ends = {line: fixed_ends(rig, line, values, conditions, levels_apart=levels_apart) for line in rig.lines}
    layout = _layout(rig)
    _check_reach(rig, layout, gathered)
    element_losses = _element_losses(gathered)
    pumps = _pumps(gathered)
    lines = np.array(line_of, np.intp)
    plan = Plan(
        rig=rig,
        mode=name,
        variants=values.variants,
        values=values,
        conditions=conditions,
        layout=layout,
        hoses=hoses,
        rubbing=put_together(hoses),
        pumps=pumps,
        losses=_line_losses(element_losses, lines, len(layout.lines)),
        ends=_ends(gathered, layout, ends, pumps),
        elements=tuple(elements),
        element_losses=element_losses,
        element_line=lines,
        stations=stations_of(rig, values, elements, line_of, ends),
    )
    check_resisted(plan)
    return replace(plan, nominal_law=line_loss(plan, starting_flow(plan)))


def _with_left_out(rig: Rig, values: Values) -> Rig:
    """Return a rig whose parts state what they leave out and what is set all the same: whether they do is asked of the part.

    They state the first of its values; what is read goes by all of them.
    """
    found: dict[str, float] = {}
    for address, value in values.changed.items():
        owner, _, name = address.rpartition(".")
        if owner.startswith("lines.") and getattr(rig.by_address[owner], name) is None:
            found[address] = float(np.ravel(value)[0])
    return replaced(rig, found) if found else rig


def _layout(rig: Rig) -> Layout:
    joints = tuple(name for name, end in rig.ends().items() if isinstance(end, Joint))
    place = {name: index for index, name in enumerate(joints)}
    fixed = len(joints)
    return Layout(
        lines=tuple(rig.lines),
        joints=joints,
        start=np.array([place.get(line.start, fixed) for line in rig.lines.values()], np.intp),
        end=np.array([place.get(line.end, fixed) for line in rig.lines.values()], np.intp),
    )


def _check_reach(rig: Rig, layout: Layout, gathered: _Gathered) -> None:
    mistakes = Mistakes()
    fixed = len(layout.joints)
    reached = {fixed}
    pairs = list(zip(layout.start.tolist(), layout.end.tolist(), strict=True))
    for _ in range(len(layout.joints)):
        more = {node for pair in pairs if reached & set(pair) for node in pair} - reached
        if not more:
            break
        reached |= more
    for index, joint in enumerate(layout.joints):
        if index not in reached:
            mistakes.add(f"joints.{joint}", "no way to a source, tank or outlet", "lines that lead to one")
    filled = set(gathered.line_of)
    for number, line in enumerate(rig.lines):
        if number not in filled:
            mistakes.add(f"lines.{line}.parts", "nothing", "at least one part", '{ part = "hose", … }')
    mistakes.settle(NetworkError)


def _curve(element: Element, values: Values) -> tuple[tuple[float, float], ...]:
    """Return the points of a pump; those of a hand pump are made of its figures, which therefore serve all variants.

    Raises
    ------
    NetworkError
        If such a figure differs from one variant to another.
    """
    part = element.part
    if isinstance(part, HandPump):
        names = ("stroke_volume", "stroke_time", "greatest_pressure", "person_power")
        return hand_pump_points(
            **{name: _in_all(f"{element.address}.{name}", values.of(element.address, part, name)) for name in names}
        )
    assert isinstance(part, (CentrifugalPump, DiaphragmPump))
    return part.curve


def _in_all(address: str, value: Any) -> float:
    first = float(np.ravel(value)[0])
    if np.any(np.not_equal(value, first)):
        found = f"{np.size(value)} values in one batch of variants"
        raise NetworkError(
            [
                Mistake(
                    address,
                    found,
                    "one value in all, as a hand pump's curve is made of it: leave out its ±, or try one at a time",
                )
            ]
        )
    return first


def _scales(element: Element, gathered: _Gathered) -> tuple[Real, Real]:
    """Return head and flow scale of a running pump."""
    part = element.part
    if not isinstance(part, CentrifugalPump | DiaphragmPump):
        return 1.0 / gathered.conditions.weight, 1.0
    speed, air = (gathered.values.of(element.address, part, name) for name in ("speed", "air"))
    rise, flow = affinity(speed, "displacement" if part.displacement else "rotodynamic")
    flow = flow * (1.0 - air)
    if isinstance(part, CentrifugalPump):
        worn = 1.0 - gathered.values.of(element.address, part, "wear")
        rise, flow = rise * worn * (1.0 - air), flow * worn  # the mixture is lighter by the air in it
    return rise if part.heads is not None else rise / gathered.conditions.weight, flow


def _slip(gathered: _Gathered, running: Sequence[int], table: CurveTable, head_scale: Array) -> Array | None:
    """Return the flow that leaks back inside each pump per metre of head added, shape (n, U); None where none does.

    What a worn displacement pump draws is what it sweeps less what leaks back; air takes its share of that.
    """
    found: list[Any] = []
    for place, index in enumerate(running):
        element = gathered.elements[index]
        part = element.part
        if not isinstance(part, DiaphragmPump):
            found.append(0.0)
            continue
        wear, air = (gathered.values.of(element.address, part, name) for name in ("wear", "air"))
        greatest = max(rise for _, rise in part.curve)
        told = np.where(np.less(wear, _LEAST_WEAR), 0.0, wear)
        found.append(told * (1.0 - air) * table.open_flow[place] / max(greatest, 1e-9))
    slip = columns(found)
    return slip / head_scale if slip.any() else None


def _running(gathered: _Gathered) -> list[int]:
    return [
        index
        for index, element in enumerate(gathered.elements)
        if isinstance(element.part, Pump) and element.address not in gathered.off
    ]


def _pumps(gathered: _Gathered) -> Pumps | None:
    running = _running(gathered)
    if not running:
        return None
    parts = [gathered.elements[index].part for index in running]
    curves = [_curve(gathered.elements[index], gathered.values) for index in running]
    scales = [_scales(gathered.elements[index], gathered) for index in running]
    line = [gathered.line_of[index] for index in running]
    begins, lines = runs(line)
    addresses = [gathered.elements[index].address for index in running]
    table = compile_curves(curves, places=addresses)
    named = list(zip(addresses, parts, strict=True))
    head_scale = columns([head for head, _ in scales])
    return Pumps(
        line=np.array(line, np.intp),
        begins=begins,
        lines=lines,
        element=np.array(running, np.intp),
        table=table,
        head_scale=head_scale,
        flow_scale=columns([flow for _, flow in scales]),
        drives=drives_of(gathered.rig, gathered.values, named, table, gathered.conditions.weight),
        slip=_slip(gathered, running, table, head_scale),
    )


def _rest_flow(element: Element, kinematic_viscosity: Real) -> Any:
    """Return the flow at which Reynolds number is that of rest in the narrower bore of an element, m³/s."""
    if element.bore is None or element.bore_before is None:
        return None
    narrow: Any = np.minimum(np.asarray(element.bore), np.asarray(element.bore_before))
    return REST_REYNOLDS * np.pi * narrow * kinematic_viscosity / 4.0


def _element_losses(gathered: _Gathered) -> Losses:
    elements = gathered.elements
    kinematic = gathered.conditions.kinematic_viscosity
    rest = [_rest_flow(element, kinematic) for element in elements]
    return Losses(
        square_forward=columns([element.square_forward for element in elements]),
        square_backward=columns([element.square_backward for element in elements]),
        linear=columns([element.linear for element in elements]),
        cracking=columns([element.cracking for element in elements]),
        rest_flow=columns(rest, missing=np.inf),
    )


def _line_losses(losses: Losses, line: Any, count: int) -> Losses:
    begins = np.searchsorted(line, np.arange(count))

    def total(values: Array) -> Array:
        return np.add.reduceat(values, begins, axis=1)

    narrowest = np.minimum.reduceat(losses.rest_flow, begins, axis=1)
    return Losses(
        square_forward=total(losses.square_forward),
        square_backward=total(losses.square_backward),
        linear=total(losses.linear),
        cracking=total(losses.cracking),
        rest_flow=np.where(np.isfinite(narrowest), narrowest, 0.0),
    )


def _ends(gathered: _Gathered, layout: Layout, ends: Mapping[str, LineEnds], pumps: Pumps | None) -> Ends:
    mode = gathered.mode
    low: list[Any] = []
    high: list[Any] = []
    blocked = {
        gathered.line_of[index]
        for index, element in enumerate(gathered.elements)
        if isinstance(element.part, Pump) and element.part.displacement and element.address in gathered.off
    }
    one_way = {gathered.line_of[index] for index, element in enumerate(gathered.elements) if element.one_way}
    limits = line_limits(pumps, len(layout.lines))
    floats_shut = {
        at: element.shut
        for at, element in zip(gathered.line_of, gathered.elements, strict=True)
        if isinstance(element.part, FloatValve)
    }
    for number, name in enumerate(layout.lines):
        if f"lines.{name}" in mode.closed or number in blocked:
            low.append(0.0)
            high.append(0.0)
            continue
        forward = number in one_way or ends[name].inward_only
        shut = floats_shut.get(number, False)
        low.append(0.0 if forward else np.where(shut, 0.0, -np.inf))
        high.append(np.where(np.logical_or(ends[name].uncovered, shut), 0.0, limits[:, number]))
    start = columns([ends[name].start for name in layout.lines])
    end = columns([ends[name].end for name in layout.lines])
    joints = gathered.rig.ends()
    demand = [gathered.values.of(f"joints.{name}", joints[name], "demand") for name in layout.joints]
    return Ends(
        fixed_drop=np.nan_to_num(start) - np.nan_to_num(end),
        fixed_start=start,
        fixed_end=end,
        low=columns(low),
        high=columns(high),
        demand=columns(demand),
        nominal=_nominal(gathered, len(layout.lines)),
    )


def _nominal(gathered: _Gathered, count: int) -> Array:
    """Return a plain guess at each line's flow: walking pace in its narrowest bore."""
    guess = np.full((1, count), 1e-4)
    narrowest: dict[int, float] = {}
    for line, element in zip(gathered.line_of, gathered.elements, strict=True):
        if element.bore is not None:
            narrowest[line] = min(narrowest.get(line, np.inf), float(np.min(element.bore)))
    for line, bore in narrowest.items():
        guess[0, line] = _NOMINAL_VELOCITY * np.pi * bore**2 / 4.0
    return guess
