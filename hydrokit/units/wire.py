"""American wire gauge: the cross-section of a solid conductor by its gauge number.

d = 0.127 mm × 92^((36 − n)/39), where 1/0, 2/0, 3/0 and 4/0 are n = 0, −1, −2 and −3: ASTM B258 (from memory).
Cable for boats and vehicles after SAE J1128 has about 10 % less copper than its gauge.
"""

from __future__ import annotations

import math
import re
from typing import Final

__all__ = ["gauge_area", "gauge_name", "read_gauge"]

_THINNEST: Final = 40
_THICKEST: Final = -3
_BEFORE: Final = re.compile(r"(?:AWG|#) ?#?(0{1,4}|[1-4]/0|[1-9][0-9]?)(?: ?AWG)?", re.IGNORECASE)
_AFTER: Final = re.compile(r"#?(0{1,4}|[1-4]/0|[1-9][0-9]?) ?(?:AWG|ga|gauge)", re.IGNORECASE)


def gauge_area(gauge: int) -> float:
    """Return the cross-section of a gauge number, 0 being 1/0 and −3 being 4/0. [m²]."""
    diameter = 0.127e-3 * math.pow(92.0, (36 - gauge) / 39)
    return math.pi / 4 * diameter**2


def _gauge_of_area(area: float) -> float:
    """Return the gauge number, not rounded, whose cross-section is the area in m²."""
    diameter = math.sqrt(area * 4 / math.pi)
    return 36 - 39 * math.log(diameter / 0.127e-3) / math.log(92.0)


def gauge_name(area: float) -> str:
    """Return a gauge such as ``14 AWG`` where the area in m² is one to 0.5 %, else an empty text."""
    if area <= 0:
        return ""
    gauge = round(_gauge_of_area(area))
    if not _THICKEST <= gauge <= _THINNEST or abs(gauge_area(gauge) / area - 1) > 0.005:
        return ""
    return f"{gauge} AWG" if gauge > 0 else f"{1 - gauge}/0 AWG"


def read_gauge(text: str) -> float | None:
    """Return the cross-section in m² of a text such as ``AWG 14`` or ``2/0 AWG``; None where it is no gauge."""
    match = _BEFORE.fullmatch(text) or _AFTER.fullmatch(text)
    if match is None:
        return None
    word = match[1]
    if word.endswith("/0"):
        gauge = 1 - int(word[0])
    elif word.startswith("0"):
        gauge = 1 - len(word)
    else:
        gauge = int(word)
    return gauge_area(gauge) if gauge <= _THINNEST else None
