"""From what a rig states of batteries, cables and motors to the drives of its running pumps.

Cables are counted out and back. Where no current is known the voltage of the battery alone acts on the speed; where no
rated voltage is stated it is the battery's nominal one.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.bounds import Mistakes
from hydrokit.laws.electricity import loop_resistance
from hydrokit.laws.pump_curve import gain
from hydrokit.network.drives import Drive, wired
from hydrokit.network.values import columns
from hydrokit.parts import PoweredPump

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array
    from hydrokit.laws.pump_curve import CurveTable
    from hydrokit.network.values import Values
    from hydrokit.rig import Rig

    Columns = Sequence[tuple[int, str, PoweredPump]]

__all__ = ["cable_resistance", "drives_of", "kind_of", "open_voltage", "rated_voltage", "stated_currents"]

_SAMPLES: Final = 65
"""Points along the curve at which a current is worked out from an efficiency."""


def kind_of(part: PoweredPump) -> str:
    """Return how a pump answers to its speed: "displacement", "rotodynamic" or, keeping it, "constant power"."""
    if part.driver != "motor":
        return part.driver
    return "displacement" if part.displacement else "rotodynamic"


def open_voltage(rig: Rig, values: Values, name: str) -> Any:
    """Return the voltage of a battery at rest, V: between empty and full in proportion to its charge."""
    battery, address = rig.batteries[name], f"batteries.{name}"
    nominal, full, empty = (
        values.of(address, battery, field) for field in ("nominal_voltage", "full_voltage", "empty_voltage")
    )
    full = nominal if full is None else full
    empty = full if empty is None else empty
    return empty + (full - empty) * values.of(address, battery, "charge")


def rated_voltage(rig: Rig, values: Values, address: str, part: PoweredPump) -> Any:
    """Return the voltage for which a pump's data sheet holds; None where neither it nor a battery states one."""
    stated = values.of(address, part, "rated_voltage")
    if stated is not None or not part.battery:
        return stated
    return values.of(f"batteries.{part.battery}", rig.batteries[part.battery], "nominal_voltage")


def cable_resistance(values: Values, address: str, part: PoweredPump) -> Any:
    """Return the resistance of a pump's cable out and back, contacts included, ohm; None where it is not stated."""
    area, length = (values.of(address, part, field) for field in ("cable_area", "cable_length"))
    if area is None or length is None:
        return None
    return loop_resistance(
        area=area,
        length=length,
        temperature=values.of(address, part, "cable_temperature"),
        stranding=part.cable_stranding,
        joints=values.of(address, part, "contact_resistance"),
    )


def stated_currents(part: PoweredPump) -> tuple[Array, Array, str]:
    """Return the flows at which a pump's data sheet states what it takes, the figures, and which they are.

    Returns
    -------
    flows, figures : array, shape (K,)
        In order; empty where nothing is stated.
    what : {"current", "power", "efficiency", ""}
        Of what the figures are, the first of these that is stated; of an efficiency there is one, for every flow.
    """
    for what, points in (("current", part.currents), ("power", part.powers)):
        if points is not None:
            flows, figures = np.array(sorted(points), np.float64).T
            return flows, figures, what
    if part.efficiency is not None:
        return np.zeros(1), np.array([part.efficiency]), "efficiency"
    return np.empty(0), np.empty(0), ""


def _at_work(table: CurveTable, place: int, pressure_scale: Any, efficiency: Any, rated: Any) -> tuple[Array, Array]:
    """Return flows along a curve and, shape (n, K), the current that an efficiency makes of the work done there."""
    flows = np.linspace(0.0, float(table.open_flow[place]), _SAMPLES)
    sheet = np.zeros((_SAMPLES, len(table.shut_off)))
    sheet[:, place] = flows
    work = np.maximum(gain(table, sheet)[0][:, place] * flows, 0.0)
    per_work = np.atleast_1d(np.asarray(pressure_scale / (efficiency * rated), np.float64))
    return flows, per_work[:, None] * work


def _currents(
    values: Values, column: tuple[int, str, PoweredPump], table: CurveTable, rated: Any, weight: Any
) -> tuple[Array, Array]:
    """Return the flows and currents of a data sheet at the stated speed, shapes (K,) and (n, K); empty if unknown."""
    place, address, part = column
    flows, figures, what = stated_currents(part)
    if what == "efficiency":
        efficiency = values.of(address, part, "efficiency")
        flows, found = _at_work(table, place, 1.0 if part.heads is None else weight, efficiency, rated)
    elif what == "power":
        found = figures / np.atleast_1d(np.asarray(rated, np.float64))[:, None]
    else:
        found = figures[None, :]
    power = (0 if part.displacement else 2) + (0 if part.driver == "motor" else 1)
    if power:  # torque goes with the square of a rotodynamic pump's speed, and the power that a driver takes with speed
        speed = np.asarray(values.of(address, part, "speed"), np.float64)
        found = found * np.atleast_1d(speed**power)[:, None]
    return flows, np.asarray(found, np.float64)


def _pieces(curves: Sequence[tuple[Array, Array]]) -> tuple[Array, Array]:
    """Return the flows (K, D) of some currents and intercept and slope of their pieces (n, K + 1, D, 2)."""
    most = max(1, *(len(flows) for flows, _ in curves))
    rows = max(len(found) for _, found in curves)
    whole = np.full((most, len(curves)), np.inf)
    pieces = np.zeros((rows, most + 1, len(curves), 2))
    for column, (flows, found) in enumerate(curves):
        count = len(flows)
        if not count:
            continue
        whole[:count, column] = flows
        pieces[:, 0, column, 0] = found[:, 0]
        pieces[:, count:, column, 0] = found[:, -1:]
        rise = np.diff(found, axis=1) / np.diff(flows)
        pieces[:, 1:count, column, 1] = rise
        pieces[:, 1:count, column, 0] = found[:, :-1] - rise * flows[:-1]
    return whole, pieces


def _drive(rig: Rig, values: Values, kind: str, alike: Columns, table: CurveTable, weight: Any) -> Drive:
    def read(field: str) -> list[Any]:
        return [values.of(address, part, field) for _, address, part in alike]

    names = [part.battery for _, _, part in alike]
    rated = [rated_voltage(rig, values, address, part) for _, address, part in alike]
    inner = [values.of(f"batteries.{name}", rig.batteries[name], "inner_resistance") for name in names]
    cables = [cable_resistance(values, address, part) for _, address, part in alike]
    cables = [
        contacts if cable is None else cable for cable, contacts in zip(cables, read("contact_resistance"), strict=True)
    ]
    winding = columns(
        [0.0 if each is None or kind == "constant power" else each for each in read("winding_resistance")]
    )
    flows, pieces = _pieces(
        [_currents(values, column, table, volts, weight) for column, volts in zip(alike, rated, strict=True)]
    )
    supply = columns([open_voltage(rig, values, name) for name in names])
    own = columns(inner)
    return Drive(
        kind=kind,
        place=np.array([place for place, _, _ in alike], np.intp),
        batteries=tuple(names),
        open_voltage=supply,
        supply=supply,
        inner=own,
        loop=own + columns(cables) + winding,
        winding=winding,
        rated=columns(rated),
        flows=flows,
        currents=pieces,
        knots=np.empty((1, 0, 0)),
        known=np.array([bool(stated_currents(part)[2]) for _, _, part in alike], np.bool_),
    )


def drives_of(
    rig: Rig, values: Values, running: Sequence[tuple[str, Any]], table: CurveTable, weight: Any
) -> tuple[Drive, ...]:
    """Return the motors on batteries among the running pumps, those of one kind together.

    Parameters
    ----------
    rig : Rig
    values : Values
        As varied.
    running : sequence of (address, part)
        Every running pump, in the order of the plan.
    table : CurveTable
        Their curves.
    weight : float or array, shape (n,)
        Pascals per metre of head. [Pa/m]

    Raises
    ------
    InputError
        If the curve that a drive leaves would rise, or a winding would drop the whole rated voltage; names the pump.
    """
    groups: dict[str, list[tuple[int, str, PoweredPump]]] = {}
    for place, (address, part) in enumerate(running):
        if isinstance(part, PoweredPump) and part.battery:
            groups.setdefault(kind_of(part), []).append((place, address, part))
    mistakes = Mistakes()
    drives = tuple(
        wired(
            _drive(rig, values, kind, alike, table, weight),
            table,
            tuple(address for _, address, _ in alike),
            mistakes,
        )
        for kind, alike in groups.items()
    )
    mistakes.settle()
    return drives
