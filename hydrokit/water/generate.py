"""Makes ``fit_data.py`` from CoolProp: ``python -m hydrokit.water.generate``.

CoolProp takes over a second to import, the fit some microseconds. The logarithm of viscosity and vapour pressure
is fitted, because both fall or rise by a factor and a polynomial follows the logarithm a thousand times closer.
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

__all__ = ["COLDEST", "WARMEST", "fit_coefficients", "write_fit"]

COLDEST: Final = 273.15  # K, 0 °C
WARMEST: Final = 333.15  # K, 60 °C
DEGREE: Final = 12  # the least that follows every property to 1e-9
_SAMPLES: Final = 120
_NAMES: Final = ("density", "viscosity", "vapour pressure", "speed of sound", "heat capacity")
_LOGARITHMIC: Final = (1, 2)  # viscosity and vapour pressure

_HEADER: Final = '''"""Water at one atmosphere between 0 and 60 °C, as Chebyshev coefficients. Made by ``hydrokit.water.generate``.

Do not edit: change the generating module and run it. A test makes the table again and compares.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

__all__ = ["COEFFICIENTS", "COLDEST", "WARMEST"]

'''


def fit_coefficients() -> Array:
    """Return the Chebyshev coefficients of each property.

    Returns
    -------
    array, shape (5, 13)
        Of density, log of viscosity, log of vapour pressure, speed of sound, heat capacity, over the temperature
        scaled to -1 to 1.
    """
    spots = np.cos(np.pi * np.arange(_SAMPLES) / (_SAMPLES - 1))  # both ends among them
    temperature = np.clip(COLDEST + (WARMEST - COLDEST) * (spots + 1.0) / 2.0, COLDEST, WARMEST)
    rows = reference_properties(temperature, np.full_like(temperature, STANDARD_PRESSURE))
    for row in _LOGARITHMIC:
        rows[row] = np.log(rows[row])
    return np.asarray(chebyshev.chebfit(spots, rows.T, DEGREE).T, dtype=np.float64)


def write_fit(path: Path) -> None:
    """Write the table as a module.

    Parameters
    ----------
    path : Path
        File to write.
    """
    lines = [_HEADER, f"COLDEST: Final = {COLDEST}  # K\n", f"WARMEST: Final = {WARMEST}  # K\n"]
    lines.append("COEFFICIENTS: Final = (\n")
    for row, (name, coefficients) in enumerate(zip(_NAMES, fit_coefficients(), strict=True)):
        lines.append(f"    (  # {'logarithm of ' if row in _LOGARITHMIC else ''}{name}\n")
        lines.extend(f"        {float(value)!r},\n" for value in coefficients)
        lines.append("    ),\n")
    lines.append(")\n")
    path.write_text("".join(lines), encoding="utf-8")


if __name__ == "__main__":
    write_fit(Path(__file__).with_name("fit_data.py"))
