"""Fittings: short parts that cost head and have no moving parts.

K is the loss in velocity heads of the stated bore. Changes of bore between neighbours are found by the network and
need no part of their own.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar, Literal

from hydrokit.bounds import Choice, Dimension, Spec
from hydrokit.parts.base import BORE, PointPart, rated_pressure

__all__ = ["Coupler", "Elbow", "Fitting", "HoseTail", "Strainer", "Tee"]

_K = Spec(Dimension.NUMBER, "loss in velocity heads of its bore", low=0.0, high=1e6, example="2.0")


@dataclass(frozen=True, slots=True, kw_only=True)
class Fitting(PointPart):
    """Anything with a known loss coefficient.

    Examples
    --------
    >>> Fitting(bore=0.019, k=1.5).k
    1.5
    """

    kind: ClassVar[str] = "fitting"

    bore: Annotated[float, BORE]
    k: Annotated[float, _K]
    k_backward: Annotated[
        float | None, Spec(Dimension.NUMBER, "the same for flow backward", low=0.0, high=1e6, example="1.5")
    ] = None
    pressure_rating: Annotated[float | None, rated_pressure("fitting")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Elbow(PointPart):
    """An elbow or bend.

    Examples
    --------
    >>> Elbow(bore=0.019).shape
    '90'
    """

    kind: ClassVar[str] = "elbow"

    bore: Annotated[float, BORE]
    shape: Annotated[
        Literal["90", "45", "90 swept", "180"],
        Choice("turn in degrees: threaded or barbed, or swept with a radius of 1.5 bores"),
    ] = "90"
    pressure_rating: Annotated[float | None, rated_pressure("elbow")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Tee(PointPart):
    """A tee as this line meets it, its loss taken on this line's own velocity.

    Examples
    --------
    >>> Tee(bore=0.019, way="run").way
    'run'
    """

    kind: ClassVar[str] = "tee"

    bore: Annotated[float, BORE]
    way: Annotated[Literal["run", "branch"], Choice("straight through, or turning into or out of the branch")] = (
        "branch"
    )
    pressure_rating: Annotated[float | None, rated_pressure("tee")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class HoseTail(PointPart):
    """A ridged spigot pushed inside a hose: a contraction, a short narrow bore and a sudden expansion.

    Examples
    --------
    >>> HoseTail(bore=0.0155).length
    0.03
    """

    kind: ClassVar[str] = "hose tail"

    bore: Annotated[float, BORE]
    length: Annotated[float, Spec(Dimension.LENGTH, "of the narrow bore", low=0.0, high=10.0, example='"30 mm"')] = 0.03
    pressure_rating: Annotated[float | None, rated_pressure("hose tail")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Coupler(PointPart):
    """A push-together coupling; ask the seller for Kv, the valved ones restrict most.

    Examples
    --------
    >>> Coupler(bore=0.0095).k
    0.5
    """

    kind: ClassVar[str] = "coupler"

    bore: Annotated[float, BORE]
    k: Annotated[float, _K] = 0.5
    kv: Annotated[
        float | None,
        Spec(
            Dimension.FLOW_COEFFICIENT, "flow coefficient, given instead of k", low=1e-9, high=10.0, example='"1.2 Kv"'
        ),
    ] = None
    pressure_rating: Annotated[float | None, rated_pressure("coupler")] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Strainer(PointPart):
    """A coarse mesh that protects the pump; not a treatment stage.

    Examples
    --------
    >>> Strainer(bore=0.019, blockage=0.3).k
    2.0
    """

    kind: ClassVar[str] = "strainer"

    bore: Annotated[float, BORE]
    k: Annotated[float, _K] = 2.0
    blockage: Annotated[
        float, Spec(Dimension.FRACTION, "share of the open area blocked", low=0.0, high=0.99, example='"30 %"')
    ] = 0.0
