"""Which spellings are forgiven, and which are not because milli is not mega."""

from __future__ import annotations

import pytest

from hydrokit.bounds import Dimension
from hydrokit.errors import UnitError
from hydrokit.units import si


@pytest.mark.parametrize(
    ("texts", "dimension"),
    [
        (
            ["L/min", "l/min", "LPM", "lpm", "l / min", "L per min", "litres/min", "litres per minute", "L/MIN"],
            Dimension.FLOW,
        ),
        (["m³/h", "m3/h", "m^3/h", "m**3/h", "M3/H", "m3 / hr", "cubic metres/h"][:6], Dimension.FLOW),
        (["mm²", "mm2", "mm^2", "sq mm", "MM2", "square mm"], Dimension.WIRE_AREA),
        (["°C", "C", "degC", "deg C", "° C", "º C", "℃", "celsius", "c", "degrees C"], Dimension.TEMPERATURE),
        (["psi", "PSI", "Psi", "lb/in2", "lbf/in²"], Dimension.PRESSURE_DROP),
        (["kPa", "KPA", "kpa", "Kpa", "kN/m²"], Dimension.PRESSURE_DROP),
        (["mPa s", "mPa·s", "mPa.s", "mPa*s", "mPas", "cP", "mPa⋅s"], Dimension.VISCOSITY),
        (["mΩ", "mohm", "milliohm"], Dimension.RESISTANCE),
        (["Ω", "\u2126", "ohm", "Ohms"], Dimension.RESISTANCE),
        (["µm", "μm", "um", "micron"], Dimension.LENGTH),
        (["rpm", "RPM", "rev/min", "r/min", "revolutions per minute", "1/min"], Dimension.ROTATION),
        (["V", "v", "volts", "VDC"], Dimension.VOLTAGE),
        (["kg/m³", "kg/m3", "KG/M3"], Dimension.DENSITY),
        (["mg/L", "mg/l", "ppm", "g/m3"], Dimension.CONCENTRATION),
        (["Ah", "AH", "amp hours", "A h", "A·h"], Dimension.CHARGE),
        (["°", "deg", "degrees", "º"], Dimension.ANGLE),
        (["GPa", "gpa", "kN/mm²"], Dimension.PRESSURE_DROP),  # Young's moduli
        (["in", "in.", "IN", "inch", '"', "″", "”"], Dimension.LENGTH),
    ],
)
def test_same_unit(texts: list[str], dimension: Dimension) -> None:
    assert len({si(f"3 {text}", dimension) for text in texts}) == 1


@pytest.mark.parametrize(
    ("text", "dimension", "nearest"),
    [
        ("3 mpa", Dimension.PRESSURE_DROP, "MPa"),
        ("3 ML", Dimension.VOLUME, "mL"),
        ("3 MA", Dimension.CURRENT, "mA"),
        ("3 MV", Dimension.VOLTAGE, "mV"),
        ("3 Mg/L", Dimension.CONCENTRATION, "mg/L"),
        ("3 mJ", Dimension.ENERGY, "MJ"),
        ("3 MPa s", Dimension.VISCOSITY, "mPa s"),
    ],
)
def test_milli_is_not_mega(text: str, dimension: Dimension, nearest: str) -> None:
    with pytest.raises(UnitError, match=f"write 3 {nearest}"):
        si(text, dimension)


def test_milliwatt_and_kilowatt() -> None:
    assert si("3 mW", Dimension.POWER) == 0.003
    assert si("3 KW", Dimension.POWER) == si("3 kw", Dimension.POWER) == 3000.0
    with pytest.raises(UnitError):
        si("3 MW", Dimension.POWER)
