"""Where water comes from, is kept and leaves: sources, tanks, outlets and joints."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar, Final, Literal

from hydrokit.bounds import Choice, Dimension, Flag, Mistakes, Spec, Text, check_fields
from hydrokit.errors import RangeError
from hydrokit.parts.base import HIGHEST, HIGHEST_PRESSURE, LOWEST, MASS, POSITION, stated

__all__ = ["LEAST_DEPTH", "End", "Joint", "Outlet", "Source", "Tank"]

LEAST_DEPTH: Final = 1e-6
"""m; the least depth of water that a tank can hold."""
_HAIR: Final = 1e-9
"""Share by which a level may stand above an overflow: the mouth is a height, and rounding parts the two."""

_GAUGE = Spec(
    Dimension.GAUGE_PRESSURE,
    "pressure kept up there; 0 is open to the air",
    low=-101_325.0,
    high=HIGHEST_PRESSURE,
    example='"2 bar"',
)
_ENTRANCE = Spec(
    Dimension.NUMBER,
    "loss of a bare hose end in velocity heads: 0.5 flush, 0.8 projecting",
    low=0.0,
    high=100.0,
    example="0.8",
)
_EXIT = Spec(Dimension.NUMBER, "velocity heads lost where the water leaves the hose", low=0.0, high=100.0, example="1")


def _bore(what: str, example: str) -> Spec:
    return Spec(Dimension.LENGTH, f"inside diameter of the {what}", low=0.0, high=1.0, example=example)


def _run(what: str) -> Spec:
    return Spec(Dimension.LENGTH, f"along the {what}", low=0.0, high=100.0, source="assumed 1 m", example='"1.5 m"')


def _chlorine(what: str) -> Spec:
    return Spec(Dimension.CONCENTRATION, what, low=0.0, high=1.0, example='"2 mg/L"')


@dataclass(frozen=True, slots=True, kw_only=True)
class End:
    """Where a line may begin or end; the base of the kinds below."""

    kind: ClassVar[str] = "end"

    note: Annotated[str, Text("anything worth remembering")] = ""

    def __init_subclass__(cls) -> None:
        cls.__repr__ = stated  # type: ignore[method-assign]

    def __post_init__(self) -> None:
        check_fields(self)


@dataclass(frozen=True, slots=True, kw_only=True)
class Source(End):
    """Open water of a given level, or a supply of a given pressure.

    Examples
    --------
    >>> Source(surface=-1.5).pressure
    0.0
    """

    kind: ClassVar[str] = "source"

    surface: Annotated[
        float, Spec(Dimension.LENGTH, "height of the water surface", low=LOWEST, high=HIGHEST, example='"0 m"')
    ]
    pressure: Annotated[float, _GAUGE] = 0.0
    treated: Annotated[bool, Flag("true where the water is already fit to drink")] = False
    entrance_k: Annotated[float, _ENTRANCE] = 0.5
    exit_k: Annotated[float, _EXIT] = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Tank(End):
    """A tank open to the air through its vent, taken as upright with straight walls.

    Examples
    --------
    Sixty litres, 0.45 m deep, its floor 1.05 m above the datum:

    >>> Tank(volume=0.06, floor=1.05, depth=0.45).inlet
    'top'
    """

    kind: ClassVar[str] = "tank"

    volume: Annotated[float, Spec(Dimension.VOLUME, "when full", low=1e-9, high=1e9, example='"60 L"')]
    floor: Annotated[float, Spec(Dimension.LENGTH, "height of its floor", low=LOWEST, high=HIGHEST, example='"1.05 m"')]
    depth: Annotated[float, Spec(Dimension.LENGTH, "of water when full", low=LEAST_DEPTH, high=1e4, example='"0.45 m"')]
    level: Annotated[
        float | None,
        Spec(Dimension.LENGTH, "depth of water in it now; left out, half full", low=0.0, high=1e4, example='"0.2 m"'),
    ] = None
    inlet: Annotated[
        Literal["top", "bottom"], Choice("water falls in from the top, or enters at the floor under water")
    ] = "top"
    inlet_height: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "height of the inlet's lip; left out, floor plus depth for a top inlet",
            low=LOWEST,
            high=HIGHEST,
            example='"1.5 m"',
        ),
    ] = None
    outlet_height: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH, "height of the outlet; left out, the floor", low=LOWEST, high=HIGHEST, example='"1.08 m"'
        ),
    ] = None
    pressure_rating: Annotated[
        float | None,
        Spec(
            Dimension.GAUGE_PRESSURE,
            "greatest pressure its walls are rated for",
            low=0.0,
            high=HIGHEST_PRESSURE,
            example='"4 kPa"',
        ),
    ] = None
    entrance_k: Annotated[float, _ENTRANCE] = 0.5
    exit_k: Annotated[float, _EXIT] = 1.0
    mass: Annotated[float | None, MASS] = None
    position: Annotated[float | None, POSITION] = None
    carried: Annotated[bool, Flag("false where it stands on the ground, not on the vehicle")] = True
    length: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "inside, along the vehicle, between walls or baffles",
            low=1e-3,
            high=1e3,
            example='"0.4 m"',
        ),
    ] = None
    lid: Annotated[
        float | None,
        Spec(Dimension.LENGTH, "height of the inside of its lid", low=LOWEST, high=HIGHEST, example='"1.55 m"'),
    ] = None
    vent_bore: Annotated[float | None, _bore("vent, which lets air out and in", '"12 mm"')] = None
    vent_length: Annotated[float, _run("vent")] = 1.0
    vent_height: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "height of its highest point, to which water must climb; left out, the lid",
            low=LOWEST,
            high=HIGHEST,
            example='"1.9 m"',
        ),
    ] = None
    overflow_bore: Annotated[float | None, _bore("overflow; 0 where it has none", '"25 mm"')] = None
    overflow_length: Annotated[float, _run("overflow pipe")] = 1.0
    overflow_height: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "height of its mouth: the tank fills no further where that is below the level when full; left out, that level",
            low=LOWEST,
            high=HIGHEST,
            example='"1.5 m"',
        ),
    ] = None
    chlorine_dose: Annotated[float | None, _chlorine("free chlorine put into the water")] = None
    chlorine_residual: Annotated[float | None, _chlorine("free chlorine left at the end of the wait, measured")] = None
    chlorine_wait: Annotated[
        float | None,
        Spec(
            Dimension.TIME,
            "that the dosed water waits, nothing going in or out, before it is drawn",
            low=0.0,
            high=1e8,
            example='"30 min"',
        ),
    ] = None

    def __post_init__(self) -> None:
        End.__post_init__(self)
        mistakes, mouth = Mistakes(), self.overflow_height
        if self.brim < LEAST_DEPTH:
            mistakes.add("overflow_height", f"{mouth:g} m", f"above the floor, which lies at {self.floor:g} m")
        if self.level is not None and self.level > self.depth:
            mistakes.add("level", f"{self.level:g} m", f"at most the depth when full, {self.depth:g} m")
        elif self.level is not None and self.level > self.brim * (1.0 + _HAIR) and not mistakes.found:
            mistakes.add(
                "level", f"{self.level:g} m", f"at most up to the overflow's mouth, {self.brim:g} m above the floor"
            )
        mistakes.settle(RangeError)

    @property
    def brim(self) -> float:
        """Depth of water at which it runs over, in m: when full, else at the mouth of an overflow below that."""
        if self.overflow_height is None or self.overflow_bore == 0.0:
            return self.depth
        return min(self.depth, self.overflow_height - self.floor)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outlet(End):
    """Where water leaves into the air: a tap, a hose end, an overflow.

    Examples
    --------
    >>> Outlet(height=1.4).exit_k
    1.0
    """

    kind: ClassVar[str] = "outlet"

    height: Annotated[float, Spec(Dimension.LENGTH, "height of the mouth", low=LOWEST, high=HIGHEST, example='"1.4 m"')]
    pressure: Annotated[float, _GAUGE] = 0.0
    exit_k: Annotated[float, _EXIT] = 1.0
    closing_time: Annotated[
        float | None,
        Spec(
            Dimension.TIME,
            "of a tap or nozzle at the very end, from open to shut; left out, it is not shut",
            low=0.0,
            high=1e6,
            example='"0.5 s"',
        ),
    ] = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Joint(End):
    """Where lines meet; needs no entry of its own unless its height or a fixed demand is to be stated.

    Examples
    --------
    >>> Joint(height=1.3).demand
    0.0
    """

    kind: ClassVar[str] = "joint"

    height: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH, "left out, that of the nearest stated point", low=LOWEST, high=HIGHEST, example='"1.3 m"'
        ),
    ] = None
    demand: Annotated[
        float,
        Spec(
            Dimension.FLOW,
            "flow taken out here, whatever the pressure; negative is put in",
            low=-1e3,
            high=1e3,
            example='"2 L/min"',
        ),
    ] = 0.0
