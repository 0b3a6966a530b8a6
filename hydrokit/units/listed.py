"""The listed units: for each dimension the units it may be written in, and their factors.

Conventions
-----------
- Pressure units are the same for all four pressure dimensions; ``pressures`` tells gauge, absolute and vacuum from each
  other. Columns of water and mercury are the conventional ones (1000 and 13595.1 kg/m³ under 9.80665 m/s²).
- Flow coefficient: SI is Kv taken as a flow, m³/s of water at a drop of 1 bar; Cv is US gal/min at 1 psi.
- Turbidity stays in NTU, which has no SI unit. ppm is read as mg/L, as the water trade does.
- The first units of each dimension are the ones that messages suggest.

Factors are exact by definition, except that torr is taken as mmHg (0.14 parts in a million more): international yard and pound (1959), standard gravity 9.80665 m/s², horsepower
550 ft lbf/s; NIST SP 811 (2008), appendix B (from memory).
"""

from __future__ import annotations

import math
from typing import Final

from hydrokit.bounds import Dimension
from hydrokit.units.gallons import CUBIC_METRES, gallon_units
from hydrokit.units.unit import Unit, irrational, unit

__all__ = ["LISTED", "PRESSURES"]

_LBF: Final = (44_482_216_152_605, 10**13)  # pound force, N
_LENGTH: Final = (
    unit("m", 1, 1, "metre, metres, meter, meters, mtr"),
    unit("mm", 1, 1000, "millimetre, millimetres, millimeter, millimeters"),
    unit("cm", 1, 100, "centimetre, centimetres, centimeter, centimeters"),
    unit("km", 1000, 1, "kilometre, kilometres, kilometer, kilometers"),
    unit("µm", 1, 10**6, "um, micron, microns, micrometre, micrometres"),
    unit("in", 127, 5000, "inch, inches, in., ins, \", ''"),
    unit("ft", 381, 1250, "foot, feet, ft., '"),
    unit("yd", 1143, 1250, "yard, yards, yds"),
)
_MIL: Final = 25.4e-6
_AREA: Final = (
    unit("m²", 1, 1, "sq m, square metre, square metres, square meters"),
    unit("mm²", 1, 10**6, "sq mm, mmq, square mm, square millimetre, square millimetres"),
    unit("cm²", 1, 10**4, "sq cm, square cm, square centimetres"),
    unit("in²", 16_129, 25_000_000, "sq in, square inch, square inches"),
    unit("ft²", 145_161, 1_562_500, "sq ft, square foot, square feet"),
    irrational("circular mil", math.pi / 4 * _MIL**2, "circular mils, circular_mil, cmil, cmils"),
    irrational("kcmil", 1000 * math.pi / 4 * _MIL**2, "MCM"),
)
_VOLUME: Final = (
    unit("L", 1, 1000, "litre, litres, liter, liters, ltr, dm3"),
    unit("mL", 1, 10**6, "millilitre, millilitres, milliliter, milliliters, cm3, cc", strict=True),
    unit("m³", 1, 1, "cubic metre, cubic metres, cubic meters, cu m"),
    *gallon_units(Dimension.VOLUME, "US"),
    *gallon_units(Dimension.VOLUME, "imperial"),
    unit("ft³", 55_306_341, 1_953_125_000, "cu ft, cubic foot, cubic feet"),
)
_FLOW: Final = (
    unit("L/min", 1, 60_000, "lpm, litre/min, litres/min, litres/minute, liters/minute, L/mn, dm3/min"),
    unit("L/s", 1, 1000, "lps, L/sec, litres/second, dm3/s"),
    unit("L/h", 1, 3_600_000, "lph, L/hr, L/hour, litres/hour, litres/h"),
    unit("L/d", 1, 86_400_000, "L/day, litres/day"),
    unit("mL/min", 1, 60_000_000, "cc/min, cm3/min", strict=True),
    unit("m³/h", 1, 3600, "m3/hr, m3/hour, cmh"),
    unit("m³/min", 1, 60, "m3/minute"),
    unit("m³/s", 1, 1, "m3/sec, cumec, cumecs"),
    unit("m³/d", 1, 86_400, "m3/day"),
    *gallon_units(Dimension.FLOW, "US"),
    *gallon_units(Dimension.FLOW, "imperial"),
    unit("ft³/s", 55_306_341, 1_953_125_000, "cfs, ft3/sec, cu ft/s"),
    unit("ft³/min", 55_306_341, 117_187_500_000, "cfm, cu ft/min"),
)
_BAR_TO_PSI: Final = 1e5 * 0.0254**2 / 4.4482216152605
_FLOW_COEFFICIENT: Final = (
    unit("Kv", 1, 3600, "m3/h, m3/hr"),
    irrational("Cv", CUBIC_METRES["US"][0] / CUBIC_METRES["US"][1] / 60 * math.sqrt(_BAR_TO_PSI)),
)
_VELOCITY: Final = (
    unit("m/s", 1, 1, "m/sec, metres/second"),
    unit("cm/s", 1, 100),
    unit("mm/s", 1, 1000),
    unit("ft/s", 381, 1250, "fps, ft/sec, feet/second"),
    unit("m/min", 1, 60),
    unit("m/h", 1, 3600, "m/hr"),
    unit("ft/min", 381, 75_000, "fpm"),
)
_TIME: Final = (
    unit("s", 1, 1, "sec, secs, second, seconds"),
    unit("min", 60, 1, "mins, minute, minutes, mn"),
    unit("h", 3600, 1, "hr, hrs, hour, hours"),
    unit("d", 86_400, 1, "day, days"),
    unit("week", 604_800, 1, "weeks"),
    unit("ms", 1, 1000, "millisecond, milliseconds"),
)
_ROTATION: Final = (
    irrational("rpm", math.pi / 30, "r/min, rev/min, revs/min, 1/min, revolutions/minute"),
    irrational("rev/s", 2 * math.pi, "rps, r/s, revs/s, revolutions/second"),
    unit("rad/s", 1, 1, "rad/sec, radians/second"),
)
_MASS: Final = (
    unit("kg", 1, 1, "kgs, kilo, kilos, kilogram, kilograms"),
    unit("g", 1, 1000, "gram, grams, gramme, grammes"),
    unit("t", 1000, 1, "tonne, tonnes"),
    unit("lb", 45_359_237, 10**8, "lbs, lbm, pound, pounds"),
    unit("oz", 45_359_237, 16 * 10**8, "ounce, ounces"),
)
_MASS_PER_LENGTH: Final = (
    unit("kg/m", 1, 1),
    unit("g/m", 1, 1000),
    unit("lb/ft", 45_359_237 * 1250, 381 * 10**8),
)
_DENSITY: Final = (
    unit("kg/m³", 1, 1),
    unit("g/cm³", 1000, 1, "g/cc, g/mL"),
    unit("kg/L", 1000, 1),
    unit("lb/ft³", 45_359_237 * 1_953_125_000, 55_306_341 * 10**8, "lb/cu ft"),
)
_VISCOSITY: Final = (
    unit("mPa s", 1, 1000, "mPas, mPa.s, mPa-s", strict=True),
    unit("Pa s", 1, 1, "Pas, Pa.s, Pa-s, kg/m/s"),
    unit("cP", 1, 1000, "centipoise"),
)
_PRESSURE: Final = (
    unit("bar", 10**5, 1, "bars"),
    unit("kPa", 1000, 1, "kilopascal, kilopascals, kN/m2"),
    unit("psi", _LBF[0], 6_451_600_000, "lb/in2, lbf/in2, lb/sq in, pounds/square inch"),
    unit("mbar", 100, 1, "mb, millibar, millibars"),
    unit("hPa", 100, 1),
    unit("Pa", 1, 1, "pascal, pascals, N/m2"),
    unit("MPa", 10**6, 1, "megapascal, N/mm2", strict=True),
    unit("GPa", 10**9, 1, "gigapascal, kN/mm2"),
    unit("mH2O", 980_665, 100, "mH₂O, m of water, m water, metres of water, meters of water, mwc, mca, m H2O"),
    unit("cmH2O", 980_665, 10**4, "cm of water, cm water, cm H2O"),
    unit("mmH2O", 980_665, 10**5, "mm of water, mm water, mm H2O, mmwc"),
    unit("ftH2O", 980_665 * 381, 125_000, "ft of water, ft water, feet of water, ft H2O"),
    unit("inH2O", 980_665 * 127, 500_000, "in of water, in water, inches of water, in H2O, inwc"),
    unit("inHg", 133_322_387_415 * 127, 5 * 10**9, 'in of mercury, inches of mercury, in Hg, "Hg'),
    unit("mmHg", 133_322_387_415, 10**9, "mm of mercury, mm Hg, torr"),
    unit("atm", 101_325, 1, "atmosphere, atmospheres"),
    unit("kgf/cm²", 980_665, 10, "kg/cm2, kgf/sq cm"),
)
_TEMPERATURE: Final = (
    unit("°C", 100, 100, "C, degC, celsius, degree C, degrees C, degrees celsius, deg celsius", add=27_315),
    unit("°F", 500, 900, "F, degF, fahrenheit, degree F, degrees F, degrees fahrenheit", add=229_835),
    unit("K", 1, 1, "kelvin, kelvins"),
)
_TEMPERATURE_DIFFERENCE: Final = (
    unit("K", 1, 1, "kelvin, kelvins"),
    unit("°C", 1, 1, "C, degC, celsius, degree C, degrees C, degrees celsius"),
    unit("°F", 5, 9, "F, degF, fahrenheit, degree F, degrees F, degrees fahrenheit"),
)
_VOLTAGE: Final = (unit("V", 1, 1, "volt, volts, Vdc, V DC"), unit("mV", 1, 1000, "millivolts", strict=True))
_CURRENT: Final = (unit("A", 1, 1, "amp, amps, ampere, amperes"), unit("mA", 1, 1000, "milliamps", strict=True))
_RESISTANCE: Final = (
    unit("Ω", 1, 1, "ohm, ohms, R"),
    unit("mΩ", 1, 1000, "mohm, mohms, milliohm, milliohms", strict=True),
    unit("kΩ", 1000, 1, "kohm, kohms"),
)
_POWER: Final = (
    unit("W", 1, 1, "watt, watts"),
    unit("kW", 1000, 1, "kilowatt, kilowatts"),
    unit("mW", 1, 1000, "milliwatts", strict=True),
    unit("hp", 550 * 381 * _LBF[0], 1250 * _LBF[1], "horsepower"),
)
_ENERGY: Final = (
    unit("Wh", 3600, 1, "W h, watt hour, watt hours, watt-hours"),
    unit("kWh", 3_600_000, 1, "kW h, kilowatt hours"),
    unit("J", 1, 1, "joule, joules"),
    unit("kJ", 1000, 1),
    unit("MJ", 10**6, 1, strict=True),
)
_CHARGE: Final = (
    unit("Ah", 3600, 1, "A h, amp hour, amp hours, amp-hours"),
    unit("mAh", 18, 5, "mA h", strict=True),
    unit("C", 1, 1, "coulomb, coulombs"),
)
_US_GALLON, _IMPERIAL_GALLON = CUBIC_METRES["US"], CUBIC_METRES["imperial"]
_ENERGY_PER_VOLUME: Final = (
    unit("Wh/L", 3_600_000, 1, "kWh/m3"),
    unit("Wh/US gal", 3600 * _US_GALLON[1], _US_GALLON[0]),
    unit("Wh/imperial gal", 3600 * _IMPERIAL_GALLON[1], _IMPERIAL_GALLON[0]),
    unit("J/m³", 1, 1),
    unit("kJ/L", 10**6, 1),
)
_CHARGE_PER_VOLUME: Final = (
    unit("mAh/L", 3600, 1),
    unit("Ah/L", 3_600_000, 1),
    unit("mAh/US gal", 18 * _US_GALLON[1], 5 * _US_GALLON[0]),
    unit("mAh/imperial gal", 18 * _IMPERIAL_GALLON[1], 5 * _IMPERIAL_GALLON[0]),
    unit("C/m³", 1, 1),
)
_CONCENTRATION: Final = (
    unit("mg/L", 1, 1000, "ppm, g/m3", strict=True),
    unit("g/L", 1, 1),
    unit("µg/L", 1, 10**6, "ug/L, ppb"),
    unit("kg/m³", 1, 1),
)
_DOSE: Final = (
    unit("mJ/cm²", 10, 1, "mW s/cm2, mWs/cm2, mW.s/cm2", strict=True),
    unit("J/m²", 1, 1),
    unit("J/cm²", 10**4, 1),
)
_FORCE: Final = (
    unit("N", 1, 1, "newton, newtons"),
    unit("kN", 1000, 1),
    unit("lbf", *_LBF, "lb force, pounds force"),
    unit("kgf", 980_665, 10**5, "kilogram force, kg force"),
)

PRESSURES: Final = frozenset(
    {Dimension.PRESSURE_DROP, Dimension.GAUGE_PRESSURE, Dimension.ABSOLUTE_PRESSURE, Dimension.VACUUM}
)
LISTED: Final[dict[Dimension, tuple[Unit, ...]]] = {
    Dimension.NUMBER: (unit("", 1, 1, "1"),),
    Dimension.FRACTION: (unit("%", 1, 100, "percent, per cent, pct"), unit("", 1, 1, "1")),
    Dimension.ANGLE: (
        irrational("°", math.pi / 180, "deg, degree, degrees"),
        unit("rad", 1, 1, "radian, radians"),
    ),
    Dimension.LENGTH: _LENGTH,
    Dimension.AREA: _AREA,
    Dimension.WIRE_AREA: _AREA,
    Dimension.VOLUME: _VOLUME,
    Dimension.FLOW: _FLOW,
    Dimension.FLOW_COEFFICIENT: _FLOW_COEFFICIENT,
    Dimension.VELOCITY: _VELOCITY,
    Dimension.TIME: _TIME,
    Dimension.ROTATION: _ROTATION,
    Dimension.MASS: _MASS,
    Dimension.MASS_PER_LENGTH: _MASS_PER_LENGTH,
    Dimension.DENSITY: _DENSITY,
    Dimension.VISCOSITY: _VISCOSITY,
    Dimension.PRESSURE_DROP: _PRESSURE,
    Dimension.GAUGE_PRESSURE: _PRESSURE,
    Dimension.ABSOLUTE_PRESSURE: _PRESSURE,
    Dimension.VACUUM: _PRESSURE,
    Dimension.TEMPERATURE: _TEMPERATURE,
    Dimension.TEMPERATURE_DIFFERENCE: _TEMPERATURE_DIFFERENCE,
    Dimension.VOLTAGE: _VOLTAGE,
    Dimension.CURRENT: _CURRENT,
    Dimension.RESISTANCE: _RESISTANCE,
    Dimension.POWER: _POWER,
    Dimension.ENERGY: _ENERGY,
    Dimension.CHARGE: _CHARGE,
    Dimension.ENERGY_PER_VOLUME: _ENERGY_PER_VOLUME,
    Dimension.CHARGE_PER_VOLUME: _CHARGE_PER_VOLUME,
    Dimension.TURBIDITY: (unit("NTU", 1, 1, "ntu"),),
    Dimension.CONCENTRATION: _CONCENTRATION,
    Dimension.DOSE: _DOSE,
    Dimension.FORCE: _FORCE,
}
