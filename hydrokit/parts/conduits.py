"""Hose and pipe.

Roughness figures are from memory of the table beside Moody's diagram (Moody, L. F., Friction factors for pipe flow,
Trans. ASME 66, 1944, 671-684), which calls drawn tubing 0.0015 mm; at the Reynolds numbers of a rig the bore matters
far more than the wall.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Annotated, ClassVar, Final, Literal

from hydrokit.bounds import Choice, Dimension, Mistakes, Spec
from hydrokit.errors import RangeError
from hydrokit.parts.base import BORE, HIGHEST, LOWEST, Part, rated_pressure, rated_vacuum

__all__ = ["ROUGHNESS", "Hose", "Material", "check_corrugated", "wall_roughness"]

Material = Literal[
    "smooth rubber", "smooth plastic", "copper", "stainless steel", "galvanised steel", "corrugated plastic"
]

ROUGHNESS: Final[dict[str, float]] = {
    "smooth rubber": 1.0e-5,  # from memory
    "smooth plastic": 1.5e-6,  # drawn tubing, Moody 1944, from memory
    "copper": 1.5e-6,  # drawn tubing, Moody 1944, from memory
    "stainless steel": 1.5e-5,  # from memory
    "galvanised steel": 1.5e-4,  # Moody 1944, from memory
    "corrugated plastic": 1.5e-6,  # of the plastic between the ribs, whose loss friction_multiplier adds
}


def wall_roughness(material: Material, stated: float | None) -> float:
    """Return the height of wall roughness in metres: as stated, else that of the material."""
    return ROUGHNESS[material] if stated is None else stated


def check_corrugated(mistakes: Mistakes, place: str, material: str, friction_multiplier: float) -> None:
    """Note a corrugated hose that would lose no more than a smooth one; for hoses whose wall is not measured."""
    if material == "corrugated plastic" and friction_multiplier == 1.0:
        expected = "how many times as much it loses; 2 is common practice, no source"
        mistakes.add(place, "corrugated plastic that loses no more than a smooth bore", expected, "2")


@dataclass(frozen=True, slots=True, kw_only=True)
class Hose(Part):
    """One length of hose or pipe of constant bore, running straight or in easy curves.

    Examples
    --------
    Six metres of 19 mm:

    >>> Hose(length=6.0, bore=0.019, material="smooth rubber").wall_roughness
    1e-05
    """

    kind: ClassVar[str] = "hose"

    length: Annotated[float, Spec(Dimension.LENGTH, "along the hose", low=0.0, high=1e6, example='"6 m"')]
    bore: Annotated[float, BORE]
    material: Annotated[
        Material, Choice("sets the wall roughness where none is stated; corrugated needs friction_multiplier too")
    ] = "smooth plastic"
    roughness: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH, "height of wall roughness", low=0.0, high=0.1, source="by material", example='"0.01 mm"'
        ),
    ] = None
    friction_factor: Annotated[
        float | None,
        Spec(Dimension.NUMBER, "Darcy friction factor, given instead of roughness", low=1e-4, high=1.0, example="0.03"),
    ] = None
    friction_multiplier: Annotated[
        float,
        Spec(
            Dimension.NUMBER,
            "loss against that of a smooth bore; 2 for ribbed or corrugated",
            low=0.1,
            high=20.0,
            example="2",
        ),
    ] = 1.0
    high_point: Annotated[
        float | None,
        Spec(
            Dimension.LENGTH,
            "height of the highest point, where it lies above both ends",
            low=LOWEST,
            high=HIGHEST,
            example='"2.3 m"',
        ),
    ] = None
    pressure_rating: Annotated[float | None, rated_pressure("hose")] = None
    vacuum_rating: Annotated[float | None, rated_vacuum("hose")] = None
    wave_speed: Annotated[
        float | None,
        Spec(
            Dimension.VELOCITY,
            "at which a pressure wave runs in it full of water; left out, by its wall, else by material",
            low=1.0,
            high=2000.0,
            example='"280 m/s"',
        ),
    ] = None
    wall: Annotated[
        float | None, Spec(Dimension.LENGTH, "thickness of its wall", low=1e-5, high=1.0, example='"3 mm"')
    ] = None
    wall_modulus: Annotated[
        float | None,
        Spec(
            Dimension.PRESSURE_DROP,
            "Young's modulus of its wall for a quick load",
            low=1e4,
            high=1e13,
            example='"50 MPa"',
        ),
    ] = None
    mass_per_length: Annotated[
        float | None,
        Spec(
            Dimension.MASS_PER_LENGTH,
            "without water, instead of the mass of the whole hose",
            low=0.0,
            high=1e4,
            example='"180 g/m"',
        ),
    ] = None

    def __post_init__(self) -> None:
        Part.__post_init__(self)
        mistakes = Mistakes()
        place = self.name or self.kind
        if self.mass is not None and self.mass_per_length is not None:
            mistakes.add(f"{place}.mass_per_length", "mass as well", "either the mass or that of a length")
        measured = self.roughness is not None or self.friction_factor is not None
        if not measured:
            check_corrugated(mistakes, f"{place}.friction_multiplier", self.material, self.friction_multiplier)
        mistakes.settle(RangeError)

    @property
    def wall_roughness(self) -> float:
        """Height of wall roughness in metres: as stated, else by material."""
        return wall_roughness(self.material, self.roughness)
