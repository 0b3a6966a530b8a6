"""Makes ``fit_data.py`` from CoolProp: ``python -m hydrokit.water.generate``.

CoolProp takes over a second to import, the fit some microseconds. The logarithm of viscosity and vapour pressure
is fitted, because both fall or rise by a factor and a polynomial follows the logarithm a thousand times closer. Water
that is too hot for most rigs has a table of its own, so that it costs the others no digit.
"""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final

import numpy as np
from numpy.polynomial import chebyshev

from hydrokit.water.air import STANDARD_PRESSURE
from hydrokit.water.reference import reference_properties

if TYPE_CHECKING:
    from hydrokit.bounds import Array

__all__ = ["BOILING", "COLDEST", "WARMEST", "fit_coefficients", "hot_coefficients", "write_fit"]

COLDEST: Final = 273.15  # K, 0 °C
WARMEST: Final = 333.15  # K, 60 °C
BOILING: Final = 373.12429584766636  # K at one atmosphere, IAPWS-95
DEGREE: Final = 12  # the least that follows every property to 1e-9
HOT_DEGREE: Final = 8  # follows every property to 1e-10; beyond it coefficients are rounding
_SAMPLES: Final = 120
_NAMES: Final = ("density", "viscosity", "vapour pressure", "speed of sound", "heat capacity")
_LOGARITHMIC: Final = (1, 2)  # viscosity and vapour pressure

_HEADER: Final = '''"""Water at one atmosphere from 0 °C to boiling, as Chebyshev coefficients. Made by ``hydrokit.water.generate``.

Do not edit: change the generating module and run it. A test makes the table again and compares.
"""

from __future__ import annotations

from typing import Final

__all__ = ["BOILING", "COEFFICIENTS", "COLDEST", "HOT_COEFFICIENTS", "WARMEST"]

'''


def _fitted(low: float, high: float, degree: int) -> Array:
    spots = np.cos(np.pi * np.arange(_SAMPLES) / (_SAMPLES - 1))  # both ends among them
    temperature = np.clip(low + (high - low) * (spots + 1.0) / 2.0, low, high)
    rows = reference_properties(temperature, np.full_like(temperature, STANDARD_PRESSURE))
    for row in _LOGARITHMIC:
        rows[row] = np.log(rows[row])
    return np.asarray(chebyshev.chebfit(spots, rows.T, degree).T, dtype=np.float64)


def fit_coefficients() -> Array:
    """Return the Chebyshev coefficients of each property from 0 to 60 °C.

    Returns
    -------
    array, shape (5, 13)
        Of density, log of viscosity, log of vapour pressure, speed of sound, heat capacity, over the temperature
        scaled to -1 to 1.
    """
    return _fitted(COLDEST, WARMEST, DEGREE)


def hot_coefficients() -> Array:
    """Return those from 60 °C to boiling, shape (5, 9)."""
    return _fitted(WARMEST, BOILING, HOT_DEGREE)


def write_fit(path: Path) -> None:
    """Write the table as a module.

    Parameters
    ----------
    path : Path
        File to write.
    """
    lines = [
        f"{name}: Final = {value}  # K\n"
        for name, value in (("COLDEST", COLDEST), ("WARMEST", WARMEST), ("BOILING", BOILING))
    ]
    for name, table in (("COEFFICIENTS", fit_coefficients()), ("HOT_COEFFICIENTS", hot_coefficients())):
        lines.append(f"{name}: Final = (\n")
        for row, (subject, coefficients) in enumerate(zip(_NAMES, table, strict=True)):
            lines.append(f"    (  # {'logarithm of ' if row in _LOGARITHMIC else ''}{subject}\n")
            lines.extend(f"        {float(value)!r},\n" for value in coefficients)
            lines.append("    ),\n")
        lines.append(")\n")
    path.write_text("".join([_HEADER, *lines]), encoding="utf-8")


if __name__ == "__main__":
    write_fit(Path(__file__).with_name("fit_data.py"))
