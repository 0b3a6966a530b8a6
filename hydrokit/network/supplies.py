"""What running pumps draw from their batteries, and batteries that several of them share.

A battery that feeds one pump is part of that pump's law. What others draw through the inner resistance of the same
battery lowers its voltage for each: that alone is found by repetition around the network, until no voltage changes.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.errors import SolverError
from hydrokit.laws.electricity import constant_power_voltage
from hydrokit.laws.pump_duty import read_off
from hydrokit.network.batteries import rated_voltage, stated_currents
from hydrokit.network.driven import line_limits
from hydrokit.network.drives import Drive, sheet_points
from hydrokit.network.loss import pump_gains
from hydrokit.network.newton import solve_flows
from hydrokit.network.repeating import straightened
from hydrokit.network.slip import swept
from hydrokit.parts import PoweredPump

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.network.flows import Flows
    from hydrokit.network.plan import Ends, Plan, Pumps

__all__ = ["Drawn", "Taken", "drawn", "solve_fed", "taken"]

_ROUNDS: Final = 60
_PLAIN: Final = 8
"""Rounds in which what came out is tried as it is; most batteries settle in them."""
_SETTLED: Final = 1e-12
"""Share of a voltage below which it no longer changes."""
_ENOUGH: Final = 1e-9
"""The same where, after all rounds, rounding in the flows lets it come no nearer."""
_LEAST: Final = 1e-3
"""V; what is left of a battery that its loads bring down altogether."""


@dataclass(frozen=True, slots=True)
class Drawn:
    """What each running pump draws, shape (n, U); NaN where no battery feeds it or its current is not known.

    ``speed`` is the speed over that of the data sheet's voltage, 1 without a battery; ``current`` in A; ``voltage`` at
    its motor and ``battery_voltage`` at the terminals of its battery in V. A driver of constant power that the cable
    cannot feed draws no steady current: NaN, with ``browned_out`` True.
    """

    speed: Array
    current: Array
    voltage: Array
    battery_voltage: Array
    browned_out: Any


def _flow_in(pumps: Pumps, drive: Drive, flow: Array) -> Array:
    scaled: Array = (flow / pumps.flow_scale)[:, drive.place]
    return scaled


def _current(drive: Drive, flow: Array) -> tuple[Array, Array, Array]:
    """Return the data sheet's flow, speed and current of some motors at flows over their flow scales, shape (n, D)."""
    point = sheet_points(drive, flow)
    stated = drive.stated_current(point.sheet_flow)
    if drive.kind == "displacement":
        return point.sheet_flow, point.speed, stated
    if drive.kind == "rotodynamic":
        return point.sheet_flow, point.speed, stated * point.speed**2
    power = stated * drive.rated
    return point.sheet_flow, point.speed, power / _driver_voltage(drive, power)


def _driver_voltage(drive: Drive, power: Array) -> Array:
    """Return the voltage at drivers of constant power; NaN where none brings it."""
    wanted = np.maximum(power, 0.0)
    voltage = constant_power_voltage(supply_voltage=drive.supply, power=wanted, resistance=drive.loop)
    return np.asarray(voltage, np.float64)


def _inside(drive: Drive, sheet_flow: Array) -> Any:
    """Return whether currents are stated at flows of the data sheet; stated once, they are for any."""
    finite = np.isfinite(drive.flows)
    last = np.where(finite, drive.flows, -np.inf).max(axis=0)
    within = (sheet_flow >= drive.flows[0] * (1.0 - 1e-9)) & (sheet_flow <= last * (1.0 + 1e-9))
    return drive.known & (within | (finite.sum(axis=0) == 1))


def drawn(pumps: Pumps, flow: Array, *, beyond: bool = False) -> Drawn:
    """Return what running pumps draw at their flows, shape (n, U).

    Where a flow lies outside the stated currents what is drawn is not known; ``beyond`` gives what the pump's law takes it
    to be, the nearest that is stated.
    """
    if _shared(pumps):
        pumps = _fed_at(pumps, flow)
    flow = swept(pumps, flow)
    shape = flow.shape
    found = [np.full(shape, np.nan) for _ in range(3)]
    current, voltage, battery = found
    speed, browned_out = np.ones(shape), np.zeros(shape, np.bool_)
    for drive in pumps.drives:
        at = drive.place
        sheet, turning, taken = _current(drive, _flow_in(pumps, drive, flow))
        known = np.where((_inside(drive, sheet) | (beyond & drive.known)) & (turning > 0.0), taken, np.nan)
        speed[:, at] = np.maximum(turning, 0.0)
        browned_out[:, at] = drive.known & np.isnan(taken)
        current[:, at] = known
        voltage[:, at] = drive.supply - known * (drive.loop - drive.winding)
        battery[:, at] = drive.supply - known * drive.inner
    return Drawn(speed, current, voltage, battery, browned_out)


@dataclass(frozen=True, slots=True)
class Taken:
    """Current in A and power in W that each running pump takes, shape (n, U); NaN where it is not known.

    Power is that which leaves the battery, loss in the cable included; without a battery that of the data sheet.
    """

    current: Array
    power: Array


def _by_sheet(plan: Plan, place: int, flow: Array, sheet_flow: Array) -> tuple[Any, Any]:
    """Return what the data sheet alone says that a pump takes at a flow through it and on its sheet, shape (n,)."""
    pumps = plan.pumps
    assert pumps is not None
    element = plan.elements[int(pumps.element[place])]
    part: Any = element.part
    unknown = np.nan, np.nan
    if not isinstance(part, PoweredPump):
        return unknown
    # A motor that turns slower than its data sheet takes another current: read off only at rated speed.
    as_rated = np.where(np.equal(plan.values.of(element.address, part, "speed"), 1.0), 1.0, np.nan)
    power: Any
    what, rated = stated_currents(part)[2], rated_voltage(plan.rig, plan.values, element.address, part)
    volts: Any = np.nan if rated is None else rated
    through = np.maximum(sheet_flow, 0.0)
    if what == "current":
        current: Any = as_rated * read_off(points=part.currents or (), flow=through)[0]
        power = current * volts if part.powers is None else as_rated * read_off(points=part.powers, flow=through)[0]
        return current, power
    if what == "power":
        power = as_rated * read_off(points=part.powers or (), flow=through)[0]
    elif what == "efficiency":
        all_flows = np.zeros((len(flow), len(pumps.line)))
        all_flows[:, place] = np.maximum(flow, 0.0)
        work = pump_gains(pumps, all_flows)[0][:, place] * plan.conditions.weight * through
        power = as_rated * work / plan.values.of(element.address, part, "efficiency")
    else:
        return unknown
    return power / volts, power


def taken(plan: Plan, flow: Array) -> Taken:
    """Return what every running pump of a plan takes at line flows, shape (n, L)."""
    pumps = plan.pumps
    assert pumps is not None
    through = flow[:, pumps.line]
    fed = drawn(pumps, through)
    current, power = fed.current.copy(), fed.current * fed.battery_voltage
    driven = {int(place) for drive in pumps.drives for place in drive.place}
    sheet = swept(pumps, through) / pumps.flow_scale
    for place in range(len(pumps.line)):
        if place not in driven:
            current[:, place], power[:, place] = _by_sheet(plan, place, through[:, place], sheet[:, place])
    return Taken(current, power)


def _shared(pumps: Pumps | None) -> bool:
    """Return whether some battery with a resistance of its own feeds several running pumps."""
    if pumps is None or not pumps.drives:
        return False
    names = [name for drive in pumps.drives for name in drive.batteries]
    return len(set(names)) < len(names) and any(np.any(drive.inner > 0.0) for drive in pumps.drives)


def _supplies(pumps: Pumps, flow: Array) -> list[Array]:
    """Return the voltage that each battery has left for each of its motors, for the flows (n, U) as they are."""
    totals: dict[str, Array] = {}
    currents = []
    flow = swept(pumps, flow)
    for drive in pumps.drives:
        taken = _current(drive, _flow_in(pumps, drive, flow))[2]
        strongest = drive.supply / (2.0 * np.maximum(drive.loop, 1e-9))  # all that the cable brings in a brown-out
        taken = np.where(np.isnan(taken), strongest, taken)
        currents.append(taken)
        for column, name in enumerate(drive.batteries):
            totals[name] = totals.get(name, 0.0) + taken[:, column]
    supplies = []
    for drive, taken in zip(pumps.drives, currents, strict=True):
        others = np.stack([totals[name] for name in drive.batteries], axis=1) - taken
        supplies.append(np.maximum(drive.open_voltage - drive.inner * others, _LEAST))
    return supplies


def _change(pumps: Pumps, supplies: list[Array]) -> Array:
    """Return by what share of its open voltage some supply changes at most, shape (n,)."""
    changes = [
        (np.abs(new - drive.supply) / drive.open_voltage).max(axis=1)
        for drive, new in zip(pumps.drives, supplies, strict=True)
    ]
    return np.asarray(np.maximum.reduce(changes))


def _fed(pumps: Pumps, supplies: list[Array]) -> Pumps:
    return replace(pumps, drives=tuple(drive.fed(supply) for drive, supply in zip(pumps.drives, supplies, strict=True)))


class _Tries:
    """Voltages to try, round by round: those that came out, and after a while where a straight line would have them agree."""

    def __init__(self) -> None:
        self.round = 0
        self.before: tuple[Array, Array] | None = None

    def following(self, pumps: Pumps, supplies: list[Array]) -> list[Array]:
        """Return the voltages to try after ``supplies`` have come out of those that the pumps have."""
        tried = np.concatenate(
            [np.broadcast_to(drive.supply, new.shape) for drive, new in zip(pumps.drives, supplies, strict=True)],
            axis=1,
        )
        told = np.concatenate(supplies, axis=1)
        off, self.round = told - tried, self.round + 1
        ahead = told
        if self.before is not None and self.round > _PLAIN:
            ahead = np.maximum(straightened(told, off, *self.before), _LEAST)
        self.before = (told, off)
        return np.split(ahead, np.cumsum([new.shape[1] for new in supplies])[:-1], axis=1)


def _wanted() -> Iterator[float]:
    """Yield, round by round, the change of a voltage that counts as none."""
    yield from [_SETTLED] * (_ROUNDS - 1)
    yield _ENOUGH


def _fed_at(pumps: Pumps, flow: Array) -> Pumps:
    """Return the pumps on the voltages that agree with what they draw at their flows."""
    tries = _Tries()
    for wanted in _wanted():
        supplies = _supplies(pumps, flow)
        change = _change(pumps, supplies)
        if (change <= wanted).all():
            return pumps
        pumps = _fed(pumps, tries.following(pumps, supplies))
    raise _unsettled(pumps, change)


def _unsettled(pumps: Pumps, change: Array) -> SolverError:
    names = sorted({name for drive in pumps.drives for name in drive.batteries})
    return SolverError(
        f"the voltage of the batteries shared by several pumps does not settle: {', '.join(names)}",
        tuple(np.flatnonzero(change > _ENOUGH).tolist()),
    )


def _ends_with(ends: Ends, before: Pumps, after: Pumps) -> Ends:
    """Return what the ends of the lines impose with the flows that pumps never pass as they now are."""
    lines = ends.high.shape[1]
    old, new = line_limits(before, lines), line_limits(after, lines)
    return replace(ends, high=np.where(ends.high == old, new, ends.high))


def solve_fed(plan: Plan) -> tuple[Plan, Flows]:
    """Return the flows of a plan, and the plan with what shared batteries have left for each pump.

    Raises
    ------
    NetworkError, SolverError
        As :func:`hydrokit.network.newton.solve_flows`; SolverError too if a shared battery's voltage does not settle.
    """
    flows = solve_flows(plan)
    if not _shared(plan.pumps):
        return plan, flows
    tries = _Tries()
    for wanted in _wanted():
        pumps = plan.pumps
        assert pumps is not None
        supplies = _supplies(pumps, flows.flow[:, pumps.line])
        change = _change(pumps, supplies)
        if (change <= wanted).all():
            return plan, flows
        fed = _fed(pumps, tries.following(pumps, supplies))
        plan = replace(plan, pumps=fed, ends=_ends_with(plan.ends, pumps, fed), nominal_law=None)
        flows = solve_flows(plan)
    assert plan.pumps is not None
    raise _unsettled(plan.pumps, change)
