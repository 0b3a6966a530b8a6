"""Pumps.

A curve is given as ``points`` (flow, pressure rise) or, as is usual for centrifugal pumps, ``heads`` (flow, head in
metres of the liquid pumped); exactly one of the two.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar, Final, Literal

from hydrokit.bounds import Choice, Curve, Dimension, Mistakes, Spec, Text
from hydrokit.errors import RangeError
from hydrokit.parts.base import BORE, DRAINS, HELD_WATER, PointPart, rated_pressure, rated_vacuum
from hydrokit.units import show

__all__ = ["SUPPLY", "CentrifugalPump", "DiaphragmPump", "HandPump", "PoweredPump", "Pump"]

_FLOW = Spec(Dimension.FLOW, "flow", low=0.0, high=1000.0, example='"8 L/min"')
_RISE = Spec(Dimension.PRESSURE_DROP, "pressure rise", low=-1e8, high=1e9, example='"1.5 bar"')
_NPSH = Spec(Dimension.LENGTH, "head", low=-1e4, high=1e5, example='"2.5 m"')
_HEAD = Spec(Dimension.LENGTH, "head", low=-1e4, high=1e5, example='"12 m"')
_CURRENT = Spec(Dimension.CURRENT, "current", low=0.0, high=1e4, example='"6 A"')
_POWER = Spec(Dimension.POWER, "electrical or shaft power", low=0.0, high=1e9, example='"70 W"')
_DRY_LIFT = Spec(
    Dimension.LENGTH,
    "height from which it draws water up an empty hose, at sea level",
    low=0.0,
    high=10.4,
    example='"2.4 m"',
)
_STARTS = Spec(
    Dimension.GAUGE_PRESSURE, "gauge pressure at its outlet at which its switch starts it", low=0.0, high=1e8,
    example='"1.7 bar"',
)  # fmt: skip
_STOPS = Spec(
    Dimension.GAUGE_PRESSURE, "gauge pressure at its outlet at which its switch stops it", low=0.0, high=1e8,
    example='"2.8 bar"',
)  # fmt: skip


SUPPLY: Final = (
    "battery",
    "cable_area",
    "cable_length",
    "cable_temperature",
    "cable_stranding",
    "cable_rating",
    "contact_resistance",
    "fuse",
)
"""Fields that describe how a pump is supplied, whichever pump it is."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Pump(PointPart):
    """What every pump states; the base of the kinds below."""

    kind: ClassVar[str] = "pump"
    displacement: ClassVar[bool] = False

    dry_lift: Annotated[float | None, _DRY_LIFT] = None
    dry_run_time: Annotated[
        float | None,
        Spec(Dimension.TIME, "for which it may run without water", low=0.0, high=1e9, example='"2 min"'),
    ] = None
    npsh_required: Annotated[
        tuple[tuple[float, float], ...] | None, Curve(_FLOW, _NPSH, "flow against NPSH required", least=1)
    ] = None
    vacuum_rating: Annotated[float | None, rated_vacuum("pump's inlet")] = None
    pressure_rating: Annotated[float | None, rated_pressure("pump")] = None
    inlet_bore: Annotated[float | None, BORE] = None
    outlet_bore: Annotated[float | None, BORE] = None
    holds: Annotated[float | None, HELD_WATER] = None
    drains: Annotated[bool | None, DRAINS] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PoweredPump(Pump):
    """A pump with a data-sheet curve and a motor; its electrical data are all optional."""

    points: Annotated[
        tuple[tuple[float, float], ...] | None, Curve(_FLOW, _RISE, "flow against pressure rise", least=2)
    ] = None
    heads: Annotated[tuple[tuple[float, float], ...] | None, Curve(_FLOW, _HEAD, "flow against head", least=2)] = None
    currents: Annotated[
        tuple[tuple[float, float], ...] | None, Curve(_FLOW, _CURRENT, "flow against current", least=1)
    ] = None
    powers: Annotated[tuple[tuple[float, float], ...] | None, Curve(_FLOW, _POWER, "flow against power", least=1)] = (
        None
    )
    cut_in: Annotated[float | None, _STARTS] = None
    cut_out: Annotated[float | None, _STOPS] = None
    relief: Annotated[
        float | None,
        Spec(
            Dimension.GAUGE_PRESSURE,
            "gauge pressure at which a relief valve or its own bypass lets all its flow off",
            low=0.0,
            high=1e8,
            example='"3.5 bar"',
        ),
    ] = None
    accumulator: Annotated[
        float | None,
        Spec(
            Dimension.VOLUME,
            "of the pressure vessel at its outlet, all air; 0 where it has none",
            low=0.0,
            high=1e3,
            example='"0.75 L"',
        ),
    ] = None
    precharge: Annotated[
        float | None,
        Spec(
            Dimension.GAUGE_PRESSURE,
            "of the air in the vessel when it holds no water; left out, 0.14 bar under cut-in",
            low=0.0,
            high=1e8,
            source="common practice, no source",
            example='"1.2 bar"',
        ),
    ] = None
    speed: Annotated[
        float, Spec(Dimension.FRACTION, "speed over that of the data sheet", low=0.01, high=5.0, example='"90 %"')
    ] = 1.0
    efficiency: Annotated[
        float | None,
        Spec(
            Dimension.FRACTION,
            "of pump and motor together, where neither currents nor powers are stated",
            low=0.01,
            high=1.0,
            example='"35 %"',
        ),
    ] = None
    battery: Annotated[str, Text("name of the battery that drives it, one of [batteries]")] = ""
    rated_voltage: Annotated[
        float | None,
        Spec(
            Dimension.VOLTAGE,
            "for which its data sheet holds; left out, the nominal voltage of its battery",
            low=0.1,
            high=1000.0,
            example='"12 V"',
        ),
    ] = None
    least_voltage: Annotated[
        float | None,
        Spec(Dimension.VOLTAGE, "lowest at which it runs", low=0.1, high=1000.0, example='"9.6 V"'),
    ] = None
    driver: Annotated[
        Literal["motor", "constant power"],
        Choice("a plain motor, which turns with its voltage, or an electronic driver that keeps its speed and power"),
    ] = "motor"
    winding_resistance: Annotated[
        float | None,
        Spec(Dimension.RESISTANCE, "of the motor, hot", low=0.0, high=1e3, example='"0.4 Ω"'),
    ] = None
    cable_area: Annotated[
        float | None,
        Spec(
            Dimension.WIRE_AREA,
            "cross-section of one conductor of its cable",
            low=0.5e-6 * (1.0 - 1e-9),
            high=120e-6 * (1.0 + 1e-9),
            example='"2.5 mm²"',
        ),
    ] = None
    cable_length: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "ONE WAY, from battery to pump; the way back is counted by itself",
            low=0.0,
            high=1e4,
            example='"5 m"',
        ),
    ] = None
    cable_temperature: Annotated[
        float,
        Spec(
            Dimension.TEMPERATURE,
            "of its copper, which the current and the sun warm",
            low=223.15,
            high=473.15,
            source="20 °C, as tables of cable have it",
            example='"40 °C"',
        ),
    ] = 293.15
    cable_stranding: Annotated[
        Literal["solid", "class 2", "class 5"],
        Choice("class 5 is flexible, class 2 stranded (IEC 60228); solid is bare copper of just that area"),
    ] = "class 5"
    cable_rating: Annotated[
        float | None,
        Spec(
            Dimension.CURRENT,
            "that its cable may carry; left out, what is usual for its cross-section",
            low=0.0,
            high=1e4,
            example='"20 A"',
        ),
    ] = None
    contact_resistance: Annotated[
        float,
        Spec(
            Dimension.RESISTANCE, "of switch, fuse and plugs on the way, together", low=0.0, high=1e3, example='"10 mΩ"'
        ),
    ] = 0.0
    fuse: Annotated[
        float | None, Spec(Dimension.CURRENT, "rating of its fuse", low=0.0, high=1e4, example='"10 A"')
    ] = None
    air: Annotated[
        float,
        Spec(
            Dimension.FRACTION,
            "air drawn in through a leak: its share of the volume that the pump draws, at the pressure of its inlet",
            low=0.0,
            high=0.95,
            example='"10 %"',
        ),
    ] = 0.0

    def __post_init__(self) -> None:
        PointPart.__post_init__(self)
        mistakes = Mistakes()
        place = self.name or self.kind
        if (self.points is None) == (self.heads is None):
            found = "neither" if self.points is None else "both"
            mistakes.add(
                place, f"{found} of points and heads", "exactly one curve", 'points = [["0 L/min", "2 bar"], …]'
            )
        if self.cut_in is not None and self.cut_out is not None and self.cut_in >= self.cut_out:
            low, high = (show(limit, Dimension.GAUGE_PRESSURE) for limit in (self.cut_in, self.cut_out))
            mistakes.add(f"{place}.cut_in", low, f"less than cut_out, {high}")
        mistakes.settle(RangeError)

    @property
    def curve(self) -> tuple[tuple[float, float], ...]:
        """The stated curve, whichever way it is given."""
        return self.points if self.points is not None else self.heads or ()


@dataclass(frozen=True, slots=True, kw_only=True)
class CentrifugalPump(PoweredPump):
    """A rotodynamic pump: its head follows the square of its speed, and switched off it lets water through.

    Examples
    --------
    Head in m against flow in m³/s:

    >>> CentrifugalPump(heads=((0.0, 8.0), (0.5e-3, 6.0), (1e-3, 0.0))).speed
    1.0
    """

    kind: ClassVar[str] = "centrifugal pump"

    best_flow: Annotated[
        float | None, Spec(Dimension.FLOW, "flow at best efficiency", low=0.0, high=1000.0, example='"30 L/min"')
    ] = None
    wear: Annotated[
        float,
        Spec(
            Dimension.FRACTION,
            "share that wear has taken from its head and from its flow alike; 0 new",
            low=0.0,
            high=0.95,
            source="common practice, no source",
            example='"15 %"',
        ),
    ] = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class DiaphragmPump(PoweredPump):
    """A small displacement pump: its flow follows its speed, it lets nothing back, and switched off it blocks.

    Examples
    --------
    Pressure rise in Pa against flow in m³/s:

    >>> DiaphragmPump(points=((0.0, 280e3), (0.2e-3, 0.0)), cut_in=190e3, cut_out=280e3).displacement
    True
    """

    kind: ClassVar[str] = "diaphragm pump"
    displacement: ClassVar[bool] = True

    wear: Annotated[
        float,
        Spec(
            Dimension.FRACTION,
            "flow that slips back through worn valves at the highest stated pressure rise, as a share of the open flow;"
            " at a lower rise less in proportion; 0 new",
            low=0.0,
            high=10.0,
            source="common practice, no source",
            example='"15 %"',
        ),
    ] = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class HandPump(Pump):
    """A hand pump: the least of stroke rate, force and what a person sustains.

    Examples
    --------
    >>> HandPump(stroke_volume=0.25e-3, dry_lift=6.0).stroke_time
    1.5
    """

    kind: ClassVar[str] = "hand pump"
    displacement: ClassVar[bool] = True

    stroke_volume: Annotated[
        float, Spec(Dimension.VOLUME, "delivered per stroke", low=1e-7, high=1.0, example='"0.4 L"')
    ]
    stroke_time: Annotated[float, Spec(Dimension.TIME, "for one stroke", low=0.1, high=600.0, example='"1.5 s"')] = 1.5
    greatest_pressure: Annotated[
        float,
        Spec(Dimension.PRESSURE_DROP, "pressure rise at the greatest force", low=1.0, high=1e7, example='"3 bar"'),
    ] = 3e5
    person_power: Annotated[
        float,
        Spec(
            Dimension.POWER,
            "what a person sustains",
            low=1.0,
            high=500.0,
            source="50 to 75 W, from memory",
            example='"60 W"',
        ),
    ] = 60.0
