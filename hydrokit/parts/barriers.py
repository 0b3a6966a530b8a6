"""Barriers: the parts that treat the water."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from hydrokit.bounds import Choice, Curve, Dimension, Spec, Text
from hydrokit.parts.base import BORE, DRAINS, HELD_WATER, PointPart, rated_pressure

__all__ = ["RATED_FLOW", "Barrier", "Filter", "Lamp"]

_FLOW = Spec(Dimension.FLOW, "flow", low=1e-12, high=100.0, example='"8 L/min"')
_DROP = Spec(Dimension.PRESSURE_DROP, "pressure drop", low=0.0, high=1e8, example='"12 kPa"')
_DROP_POINTS = Curve(_FLOW, _DROP, "flow against pressure drop when new, from the data sheet", least=1)
RATED_FLOW = Spec(Dimension.FLOW, "greatest flow that one is rated for", low=1e-9, high=100.0, example='"10 L/min"')
_POINTS_TEMPERATURE = Spec(
    Dimension.TEMPERATURE,
    "of the water in the data sheet",
    low=273.15,
    high=373.15,
    source="assumed 20 °C",
    example='"20 °C"',
)
_LOGS = Spec(
    Dimension.NUMBER,
    "log reduction that its maker claims, under every condition that is stated",
    low=0.0,
    high=12.0,
    example="4",
)
_GREATEST_TURBIDITY = Spec(
    Dimension.TURBIDITY, "cloudiest water that it is rated for", low=0.0, high=1e5, example='"5 NTU"'
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Barrier(PointPart):
    """What every barrier states; the base of the kinds below. Claims count only while its conditions are met."""

    kind: ClassVar[str] = "barrier"

    points: Annotated[tuple[tuple[float, float], ...], _DROP_POINTS]
    points_temperature: Annotated[float | None, _POINTS_TEMPERATURE] = None
    bore: Annotated[float | None, BORE] = None
    rated_flow: Annotated[float | None, RATED_FLOW] = None
    greatest_turbidity: Annotated[float | None, _GREATEST_TURBIDITY] = None
    bacteria_logs: Annotated[float | None, _LOGS] = None
    virus_logs: Annotated[float | None, _LOGS] = None
    protozoa_logs: Annotated[float | None, _LOGS] = None
    claims_source: Annotated[str, Text("who claims the log reductions, and by which test")] = ""
    holds: Annotated[float | None, HELD_WATER] = None
    drains: Annotated[bool | None, DRAINS] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Filter(Barrier):
    """A filter element in its housing.

    Examples
    --------
    4 kPa at 5 L/min and 18 kPa at 15 L/min when new:

    >>> Filter(points=((5 / 60e3, 4e3), (15 / 60e3, 18e3)), rated_flow=18 / 60e3).medium
    'sediment'
    """

    kind: ClassVar[str] = "filter"

    medium: Annotated[
        Literal["sediment", "carbon", "membrane", "ceramic"],
        Choice("what it is for; a sediment element treats nothing"),
    ] = "sediment"
    side_by_side: Annotated[
        float, Spec(Dimension.NUMBER, "how many of these share the flow", low=1.0, high=100.0, example="2")
    ] = 1.0
    end_drop: Annotated[
        tuple[tuple[float, float], ...] | None,
        Curve(_FLOW, _DROP, "flow and drop at which the element is changed", least=1, most=1),
    ] = None
    life: Annotated[
        float | None, Spec(Dimension.VOLUME, "water passed in a lifetime", low=0.0, high=1e9, example='"8000 L"')
    ] = None
    loading: Annotated[
        float,
        Spec(
            Dimension.FRACTION, "how far to the end drop: 0 new, 1 to be changed", low=0.0, high=2.0, example='"50 %"'
        ),
    ] = 0.0
    passed: Annotated[
        float,
        Spec(Dimension.VOLUME, "water passed so far; counts against its life", low=0.0, high=1e9, example='"2000 L"'),
    ] = 0.0
    element: Annotated[
        Literal["surface", "depth", "unknown"],
        Choice(
            "where it catches solids: on the surface (pleated, fibres), as a cake, or in the depth (wound, melt-blown)"
        ),
    ] = "unknown"
    dirt_capacity: Annotated[
        float | None,
        Spec(Dimension.MASS, "solids that one holds at its end drop", low=1e-9, high=1e6, example='"60 g"'),
    ] = None
    retains: Annotated[
        float | None,
        Spec(
            Dimension.FRACTION,
            "share of the suspended solids that it keeps back, by mass; no log credit",
            low=0.0,
            high=1.0,
            example='"70 %"',
        ),
    ] = None
    flush_restores: Annotated[
        float | None,
        Spec(
            Dimension.FRACTION,
            "share of the solids in it that a flush, backwash or scrub takes out again",
            low=0.0,
            high=1.0,
            example='"80 %"',
        ),
    ] = None
    pressure_rating: Annotated[float | None, rated_pressure("housing")] = None
    pore_size: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "micron rating as printed: tells coarse from fine, is never a log credit",
            low=1e-10,
            high=1e-2,
            example='"5 µm"',
        ),
    ] = None
    turbidity_after: Annotated[
        float | None,
        Spec(
            Dimension.TURBIDITY,
            "cloudiest that its water leaves it; left out, as it came",
            low=0.0,
            high=1e5,
            example='"1 NTU"',
        ),
    ] = None
    medium_volume: Annotated[
        float | None,
        Spec(Dimension.VOLUME, "of the carbon or other medium, empty-bed", low=0.0, high=1e3, example='"1.1 L"'),
    ] = None
    contact_time: Annotated[
        float | None,
        Spec(Dimension.TIME, "least that the water is to stay in the medium", low=0.0, high=1e6, example='"6 s"'),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp(Barrier):
    """An ultraviolet lamp in its chamber.

    Examples
    --------
    >>> Lamp(points=((10 / 60e3, 5e3),), rated_flow=10 / 60e3, rated_dose=400.0).age
    0.0
    """

    kind: ClassVar[str] = "lamp"

    pressure_rating: Annotated[float | None, rated_pressure("chamber")] = None
    rated_dose: Annotated[
        float | None,
        Spec(
            Dimension.DOSE,
            "at the rated flow and transmittance, at the end of its life",
            low=0.0,
            high=1e6,
            example='"40 mJ/cm²"',
        ),
    ] = None
    rated_transmittance: Annotated[
        float | None,
        Spec(
            Dimension.FRACTION,
            "least that 1 cm of the water lets through at 254 nm",
            low=1e-6,
            high=1.0,
            example='"75 %"',
        ),
    ] = None
    life: Annotated[
        float | None, Spec(Dimension.TIME, "hours lit in a lifetime", low=1.0, high=3.6e9, example='"9000 h"')
    ] = None
    age: Annotated[float, Spec(Dimension.TIME, "hours lit so far; 0 new", low=0.0, high=3.6e9, example='"4000 h"')] = (
        0.0
    )
