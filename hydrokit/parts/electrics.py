"""Batteries that drive pumps; what a pump's own motor, cable and fuse state stands with the pump.

Voltages are direct current. What is left out is not known, and what rests on it is told as not known.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar

from hydrokit.bounds import Choice, Dimension, Mistakes, Spec, Text, check_fields
from hydrokit.errors import RangeError
from hydrokit.laws.battery import CHEMISTRIES, Chemistry
from hydrokit.parts.base import stated

__all__ = ["Battery"]

_HIGHEST = 1000.0  # V


def _voltage(doc: str, example: str) -> Spec:
    return Spec(Dimension.VOLTAGE, doc, low=0.1, high=_HIGHEST, example=example)


@dataclass(frozen=True, slots=True, kw_only=True)
class Battery:
    """A battery; between full and empty its voltage at rest falls in proportion to its charge.

    Examples
    --------
    >>> Battery(nominal_voltage=12.0, capacity=75 * 3600.0, chemistry="AGM lead-acid").charge
    1.0
    """

    kind: ClassVar[str] = "battery"

    nominal_voltage: Annotated[float, _voltage("by which it is called", '"12 V"')]
    full_voltage: Annotated[float | None, _voltage("at rest when full; left out, the nominal voltage", '"12.8 V"')] = (
        None
    )
    empty_voltage: Annotated[float | None, _voltage("at rest when empty; left out, that when full", '"11.8 V"')] = None
    inner_resistance: Annotated[
        float, Spec(Dimension.RESISTANCE, "of the battery itself", low=0.0, high=100.0, example='"10 mΩ"')
    ] = 0.0
    capacity: Annotated[
        float | None,
        Spec(Dimension.CHARGE, "rated charge, drawn in the rating time", low=1.0, high=1e9, example='"75 Ah"'),
    ] = None
    chemistry: Annotated[
        Chemistry | None, Choice("what it is made of; gives the usable share and the exponent where they are left out")
    ] = None
    usable: Annotated[
        float | None,
        Spec(
            Dimension.FRACTION,
            "of its charge that may be used; left out, what is usual for its chemistry",
            low=0.0,
            high=1.0,
            example='"50 %"',
        ),
    ] = None
    peukert_exponent: Annotated[
        float | None,
        Spec(
            Dimension.NUMBER,
            "by which it yields less at a large current; left out, what is usual for its chemistry, else 1",
            low=1.0,
            high=2.0,
            example="1.18",
        ),
    ] = None
    rating_time: Annotated[
        float,
        Spec(
            Dimension.TIME,
            "in which its charge was drawn when rated",
            low=60.0,
            high=8.64e6,
            source="20 h: common practice, no source",
            example='"20 h"',
        ),
    ] = 72_000.0
    temperature: Annotated[
        float | None,
        Spec(
            Dimension.TEMPERATURE,
            "of the battery; the cold takes charge from some chemistries",
            low=220.0,
            high=350.0,
            example='"5 °C"',
        ),
    ] = None
    charge: Annotated[
        float,
        Spec(
            Dimension.FRACTION, "of its whole charge that is in it now; 1 is full", low=0.0, high=1.0, example='"80 %"'
        ),
    ] = 1.0
    power_in: Annotated[
        float | None,
        Spec(Dimension.POWER, "from sun or alternator, mean over day and night", low=0.0, high=1e6, example='"10 W"'),
    ] = None
    charge_efficiency: Annotated[
        float,
        Spec(
            Dimension.FRACTION,
            "of what goes in that comes out again",
            low=0.01,
            high=1.0,
            source="0.8: from memory, lead-acid",
            example='"80 %"',
        ),
    ] = 0.8
    other_power: Annotated[
        float,
        Spec(Dimension.POWER, "of all else that it feeds, mean over day and night", low=0.0, high=1e6, example='"2 W"'),
    ] = 0.0
    note: Annotated[str, Text("anything worth remembering")] = ""

    __repr__ = stated

    def __post_init__(self) -> None:
        check_fields(self)
        full, empty = self.voltage_when_full, self.voltage_when_empty
        if empty > full:
            mistakes = Mistakes()
            mistakes.add("empty_voltage", f"{empty:g} V", f"at most that when full, {full:g} V")
            mistakes.settle(RangeError)

    @property
    def voltage_when_full(self) -> float:
        """Voltage at rest, V."""
        return self.nominal_voltage if self.full_voltage is None else self.full_voltage

    @property
    def voltage_when_empty(self) -> float:
        """Voltage at rest, V."""
        return self.voltage_when_full if self.empty_voltage is None else self.empty_voltage

    @property
    def usable_share(self) -> float | None:
        """Of its charge that may be used: as stated, else as usual for its chemistry; None where neither is known."""
        if self.usable is not None or self.chemistry is None:
            return self.usable
        return CHEMISTRIES[self.chemistry].usable

    @property
    def exponent(self) -> float:
        """Peukert's: as stated, else as usual for its chemistry, else 1."""
        if self.peukert_exponent is not None:
            return self.peukert_exponent
        return 1.0 if self.chemistry is None else CHEMISTRIES[self.chemistry].exponent

    @property
    def cold_loss(self) -> float:
        """Share of its charge lost for each kelvin below 25 °C, 1/K."""
        return 0.0 if self.chemistry is None else CHEMISTRIES[self.chemistry].cold_loss
