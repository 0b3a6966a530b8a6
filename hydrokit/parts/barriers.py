"""Barriers: the parts that treat the water."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from hydrokit.bounds import Choice, Curve, Dimension, Spec
from hydrokit.parts.base import BORE, PointPart, rated_pressure

__all__ = ["DROP_POINTS", "RATED_FLOW", "Filter", "Lamp"]

_FLOW = Spec(Dimension.FLOW, "flow", low=1e-12, high=100.0, example='"8 L/min"')
_DROP = Spec(Dimension.PRESSURE_DROP, "pressure drop", low=0.0, high=1e8, example='"12 kPa"')
DROP_POINTS = Curve(_FLOW, _DROP, "flow against pressure drop when new, from the data sheet", least=1)
RATED_FLOW = Spec(Dimension.FLOW, "greatest flow that one is rated for", low=1e-9, high=100.0, example='"10 L/min"')
_POINTS_TEMPERATURE = Spec(
    Dimension.TEMPERATURE,
    "of the water in the data sheet",
    low=273.15,
    high=373.15,
    source="assumed 20 °C",
    example='"20 °C"',
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Filter(PointPart):
    """A filter element in its housing."""

    kind: ClassVar[str] = "filter"

    points: Annotated[tuple[tuple[float, float], ...], DROP_POINTS]
    points_temperature: Annotated[float | None, _POINTS_TEMPERATURE] = None
    medium: Annotated[
        Literal["sediment", "carbon", "membrane", "ceramic"], Choice("what it is for; sediment alone treats nothing")
    ] = "sediment"
    bore: Annotated[float | None, BORE] = None
    rated_flow: Annotated[float | None, RATED_FLOW] = None
    side_by_side: Annotated[
        float, Spec(Dimension.NUMBER, "how many of these share the flow", low=1.0, high=100.0, example="2")
    ] = 1.0
    end_drop: Annotated[
        tuple[tuple[float, float], ...] | None,
        Curve(_FLOW, _DROP, "flow and drop at which the element is changed", least=1, most=1),
    ] = None
    life: Annotated[float | None, Spec(Dimension.VOLUME, "water passed in a lifetime", low=0.0, example='"8000 L"')] = (
        None
    )
    loading: Annotated[
        float,
        Spec(
            Dimension.FRACTION, "how far to the end drop: 0 new, 1 to be changed", low=0.0, high=2.0, example='"50 %"'
        ),
    ] = 0.0
    pressure_rating: Annotated[float | None, rated_pressure("housing")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Lamp(PointPart):
    """An ultraviolet lamp in its chamber."""

    kind: ClassVar[str] = "lamp"

    points: Annotated[tuple[tuple[float, float], ...], DROP_POINTS]
    points_temperature: Annotated[float | None, _POINTS_TEMPERATURE] = None
    bore: Annotated[float | None, BORE] = None
    rated_flow: Annotated[float | None, RATED_FLOW] = None
    pressure_rating: Annotated[float | None, rated_pressure("chamber")] = None
