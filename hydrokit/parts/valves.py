"""Valves: by hand, and the ones that shut by themselves against backward flow."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from hydrokit.bounds import Choice, Dimension, Spec
from hydrokit.parts.base import BORE, HIGHEST, PointPart, rated_pressure

__all__ = ["FloatValve", "FootValve", "NonReturnValve", "Valve"]

_KV = Spec(
    Dimension.FLOW_COEFFICIENT,
    "flow coefficient wide open, given instead of a pattern",
    low=1e-9,
    high=10.0,
    example='"4 Kv"',
)
_K = Spec(
    Dimension.NUMBER, "loss in velocity heads of its bore, given instead of a pattern", low=0.0, high=1e6, example="3"
)
_CRACKING = Spec(Dimension.PRESSURE_DROP, "pressure needed to open it at all", low=0.0, high=1e6, example='"4 kPa"')


@dataclass(frozen=True, slots=True, kw_only=True)
class Valve(PointPart):
    """A hand valve or solenoid, open; a mode shuts the line it stands in.

    Examples
    --------
    >>> Valve(bore=0.019).pattern
    'ball'
    """

    kind: ClassVar[str] = "valve"

    bore: Annotated[float, BORE]
    pattern: Annotated[Literal["ball", "gate", "globe", "angle", "butterfly"], Choice("how it is built")] = "ball"
    k: Annotated[float | None, _K] = None
    kv: Annotated[float | None, _KV] = None
    closing_time: Annotated[
        float | None, Spec(Dimension.TIME, "from open to shut", low=0.0, high=1e6, example='"0.3 s"')
    ] = None
    pressure_rating: Annotated[float | None, rated_pressure("valve")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class NonReturnValve(PointPart):
    """Lets water through forward only.

    Examples
    --------
    >>> NonReturnValve(bore=0.019, cracking_pressure=4e3).pattern
    'spring'
    """

    kind: ClassVar[str] = "non-return valve"

    bore: Annotated[float, BORE]
    pattern: Annotated[Literal["spring", "swing", "lift"], Choice("how it is built")] = "spring"
    k: Annotated[float | None, _K] = None
    kv: Annotated[float | None, _KV] = None
    cracking_pressure: Annotated[float, _CRACKING] = 0.0
    pressure_rating: Annotated[float | None, rated_pressure("non-return valve")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class FootValve(PointPart):
    """A non-return valve at the bottom of the suction hose, usually with a strainer; keeps the hose full.

    Examples
    --------
    >>> FootValve(bore=0.019).pattern
    'hinged'
    """

    kind: ClassVar[str] = "foot valve"

    bore: Annotated[float, BORE]
    pattern: Annotated[Literal["poppet", "hinged"], Choice("how it is built")] = "hinged"
    k: Annotated[float | None, _K] = None
    cracking_pressure: Annotated[float, _CRACKING] = 0.0
    blockage: Annotated[
        float, Spec(Dimension.FRACTION, "share of its screen blocked", low=0.0, high=0.99, example='"30 %"')
    ] = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class FloatValve(PointPart):
    """Shuts the line it ends as the tank there fills; the last part of a line into a tank.

    Examples
    --------
    >>> FloatValve(bore=0.0125, kv=1.5 / 3600).band
    0.05
    """

    kind: ClassVar[str] = "float valve"

    bore: Annotated[float, BORE]
    kv: Annotated[
        float, Spec(Dimension.FLOW_COEFFICIENT, "flow coefficient wide open", low=1e-9, high=10.0, example='"1.5 Kv"')
    ]
    shut_level: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "depth of water at which it is shut; left out, the tank's",
            low=0.0,
            high=HIGHEST,
            example='"0.40 m"',
        ),
    ] = None
    band: Annotated[
        float,
        Spec(Dimension.LENGTH, "rise over which it goes from open to shut", low=1e-4, high=10.0, example='"50 mm"'),
    ] = 0.05
    pressure_rating: Annotated[float | None, rated_pressure("float valve")] = None
