"""The door between what people write and SI floats.

``si`` and ``measured`` read text, pairs and pint quantities; ``show`` and ``text_of`` write them. Inside the library
every value is a plain float in SI, and pint is loaded only when a quantity enters or leaves.

Files: ``unit`` is one unit, ``listed`` all of them, ``gallons`` and ``wire`` two special cases; ``spelling`` finds a unit
by its name, ``pressures`` tells gauge from absolute, ``refusals`` words the messages, ``grammar`` reads text; ``door``
takes values in, ``ladders``, ``display`` and ``columns`` write them out, ``pint_door`` deals with pint.
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
