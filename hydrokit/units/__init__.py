"""The door between what people write and SI floats.

``si`` and ``measured`` read text, pairs and pint quantities; ``show`` and ``text_of`` write them. Inside the library
every value is a plain float in SI, and pint is loaded only when a quantity enters or leaves.

Files: ``unit`` one unit, ``listed`` all of them, ``gallons`` and ``wire`` their oddities, ``spelling`` finds one by
name, ``pressures`` gauge and absolute, ``refusals`` the messages, ``grammar`` reads text, ``door`` lets values in,
``ladders``, ``display`` and ``columns`` let them out, ``pint_door`` pint.
"""

from __future__ import annotations

from hydrokit.units.columns import aligned
from hydrokit.units.display import display_unit, in_unit, listed_units, show, text_of
from hydrokit.units.door import Measured, measured, quantity, si, unit_of
from hydrokit.units.gallons import Gallon
from hydrokit.units.ladders import SYSTEMS

__all__ = [
    "SYSTEMS",
    "Gallon",
    "Measured",
    "aligned",
    "display_unit",
    "in_unit",
    "listed_units",
    "measured",
    "quantity",
    "show",
    "si",
    "text_of",
    "unit_of",
]
