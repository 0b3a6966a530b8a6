"""What each running pump does, one column a pump; and each battery that drives one."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.places import said
from hydrokit.units import si

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.course.supplying import BatteryUse
    from hydrokit.studies.facts.duties import Duty

__all__ = ["lay_batteries", "lay_pumps"]

_NOT_KNOWN: Final = "not known"


def _inlet(duty: Duty, view: View) -> str:
    if duty.inlet_pressure is None:
        return _NOT_KNOWN
    if duty.inlet_pressure < 0.0:
        return view.show(-duty.inlet_pressure, Dimension.VACUUM)
    return view.show(duty.inlet_pressure, Dimension.GAUGE_PRESSURE)


def _energy(duty: Duty, view: View) -> str:
    if duty.energy_per_volume is None:
        return _NOT_KNOWN
    energy = duty.energy_per_volume * si(view.per, Dimension.VOLUME)
    return f"{view.show(energy, Dimension.ENERGY)} per {view.per}"


def _charge(duty: Duty, view: View) -> str:
    if duty.charge_per_volume is None:
        return _NOT_KNOWN
    charge = duty.charge_per_volume * si(view.per, Dimension.VOLUME)
    return f"{view.show(charge, Dimension.CHARGE)} per {view.per}"


def _primes(duty: Duty, view: View) -> str:
    """Return how long a pump with an empty suction side runs on air."""
    if duty.empty_climb is not None and duty.empty_climb <= 0.0:
        return "fills by itself"
    if duty.prime_time is not None:
        return f"{view.show(duty.prime_time, Dimension.TIME)} if tight"
    never = duty.dry_lift is not None and duty.empty_climb is not None and duty.dry_lift <= duty.empty_climb
    return "never primes" if never else _NOT_KNOWN


_ROWS: Final[tuple[tuple[str, Callable[[Duty, View], str]], ...]] = (
    ("flow of the full pipe", lambda duty, view: view.show(duty.flow, Dimension.FLOW)),
    ("flow that suction allows", lambda duty, view: view.show(duty.allowed_flow, Dimension.FLOW, _NOT_KNOWN)),
    ("head added", lambda duty, view: view.show(duty.head, Dimension.LENGTH)),
    ("at its inlet", _inlet),
    ("at its outlet, gauge", lambda duty, view: view.show(duty.outlet_pressure, Dimension.GAUGE_PRESSURE)),
    ("height above the water", lambda duty, view: view.show(duty.static_lift, Dimension.LENGTH, _NOT_KNOWN)),
    ("NPSH available", lambda duty, view: view.show(duty.npsh_available, Dimension.LENGTH)),
    ("draws an empty hose up to", lambda duty, view: view.show(duty.dry_lift, Dimension.LENGTH, _NOT_KNOWN)),
    ("pushes its air out against", lambda duty, view: view.show(duty.air_pushed_against, Dimension.GAUGE_PRESSURE)),
    ("time to prime an empty hose", _primes),
    ("speed over its data sheet", lambda duty, view: view.show(duty.speed, Dimension.FRACTION, _NOT_KNOWN)),
    ("volts at its motor", lambda duty, view: view.show(duty.voltage, Dimension.VOLTAGE, _NOT_KNOWN)),
    ("current", lambda duty, view: view.show(duty.current, Dimension.CURRENT, _NOT_KNOWN)),
    ("power", lambda duty, view: view.show(duty.power, Dimension.POWER, _NOT_KNOWN)),
    ("energy", _energy),
    ("charge", _charge),
)


def lay_pumps(page: Page, duties: tuple[Duty, ...], view: View) -> None:
    """Write the duty of every running pump."""
    if not duties:
        return
    page.heading("Pumps" if len(duties) > 1 else "Pump")
    rows = [[name, *(cell(duty, view) for duty in duties)] for name, cell in _ROWS]
    known = [row for row in rows if not all(cell in {"", _NOT_KNOWN} for cell in row[1:])]
    page.table(["", *(said(duty.place) for duty in duties)], known)
    if any(duty.prime_time is not None and (duty.empty_climb or 0.0) > 0.0 for duty in duties):
        page.say("A leak on the suction side makes priming take longer; how much longer is not known.")
    unknown = [row[0] for row in rows if row not in known and any(row[1:])]
    if unknown:
        page.say(f"Not known: {', '.join(unknown)}.")


def _keeps_up(use: BatteryUse, view: View) -> str:
    """Return what the mean input of a battery does for its pumps."""
    if use.power_in is None:
        return "What comes in from sun or alternator is not stated."
    power = view.show(use.power_in, Dimension.POWER)
    if use.share_of_time is None:
        return f"How much of that the {power} that comes in on average makes up for is not known."
    if use.share_of_time <= 0.0:
        return f"The {power} that comes in on average does not even make up for what else it feeds."
    if use.share_of_time >= 1.0:
        return f"The {power} that comes in on average keeps up with it day and night."
    share = view.show(use.share_of_time, Dimension.FRACTION, digits=2)
    return f"The {power} that comes in on average makes up for pumping {share} of the time."


def _left(use: BatteryUse, view: View) -> str:
    if use.run_time is None:
        return "How long it lasts is not known: state its capacity and usable share or chemistry."
    if use.run_time <= 0.0:
        return "Nothing is left of its usable share."
    time, charge = view.show(use.run_time, Dimension.TIME), view.show(use.usable_charge, Dimension.CHARGE)
    return f"Of its usable share {charge} is left, {time} of pumping like this."


def lay_batteries(page: Page, uses: tuple[BatteryUse, ...], view: View) -> None:
    """Write what every battery in use gives and how long it lasts."""
    if not uses:
        return
    page.heading("Batteries" if len(uses) > 1 else "Battery")
    for use in uses:
        rest, charge = (
            view.show(use.open_voltage, Dimension.VOLTAGE),
            view.show(use.charge, Dimension.FRACTION, digits=2),
        )
        if use.current is None:
            given = "what its pumps take is not known."
        else:
            current, volts = view.show(use.current, Dimension.CURRENT), view.show(use.voltage, Dimension.VOLTAGE)
            given = f"gives {current} at {volts}, {view.show(use.power, Dimension.POWER)}. {_left(use, view)}"
        page.say(f"Battery {use.name}, {charge} charged, {rest} at rest: {given} {_keeps_up(use, view)}")
