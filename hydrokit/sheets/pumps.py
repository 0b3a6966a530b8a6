"""What each running pump does, one column a pump."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.places import said
from hydrokit.units import si

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.duties import Duty

__all__ = ["lay_pumps"]

_NOT_KNOWN: Final = "not known"
_PER: Final = {"metric": "100 L", "US": "10 US gal", "imperial": "10 imperial gal"}


def _inlet(duty: Duty, view: View) -> str:
    if duty.inlet_pressure is None:
        return _NOT_KNOWN
    if duty.inlet_pressure < 0.0:
        return view.show(-duty.inlet_pressure, Dimension.VACUUM)
    return view.show(duty.inlet_pressure, Dimension.GAUGE_PRESSURE)


def _energy(duty: Duty, view: View) -> str:
    if duty.energy_per_volume is None:
        return _NOT_KNOWN
    volume = _PER[view.system]
    return f"{view.show(duty.energy_per_volume * si(volume, Dimension.VOLUME), Dimension.ENERGY)} per {volume}"


_ROWS: Final[tuple[tuple[str, Callable[[Duty, View], str]], ...]] = (
    ("flow of the full pipe", lambda duty, view: view.show(duty.flow, Dimension.FLOW)),
    ("flow that suction allows", lambda duty, view: view.show(duty.allowed_flow, Dimension.FLOW, _NOT_KNOWN)),
    ("head added", lambda duty, view: view.show(duty.head, Dimension.LENGTH)),
    ("at its inlet", _inlet),
    ("at its outlet, gauge", lambda duty, view: view.show(duty.outlet_pressure, Dimension.GAUGE_PRESSURE)),
    ("height above the water", lambda duty, view: view.show(duty.static_lift, Dimension.LENGTH, _NOT_KNOWN)),
    ("NPSH available", lambda duty, view: view.show(duty.npsh_available, Dimension.LENGTH)),
    ("current", lambda duty, view: view.show(duty.current, Dimension.CURRENT, _NOT_KNOWN)),
    ("power", lambda duty, view: view.show(duty.power, Dimension.POWER, _NOT_KNOWN)),
    ("energy", _energy),
)


def lay_pumps(page: Page, duties: tuple[Duty, ...], view: View) -> None:
    """Write the duty of every running pump."""
    if not duties:
        return
    page.heading("Pumps" if len(duties) > 1 else "Pump")
    page.table(
        ["", *(said(duty.place) for duty in duties)],
        [[name, *(cell(duty, view) for duty in duties)] for name, cell in _ROWS],
    )
