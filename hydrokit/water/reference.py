"""The door to CoolProp: liquid water from the IAPWS-95 equation of state and the IAPWS 2008 viscosity.

The phase is stated as liquid, because CoolProp otherwise refuses water at exactly 0 °C (which at one atmosphere lies
2.5 mK below the melting curve) and gives steam above the boiling point without a word. Callers keep to the liquid.

References
----------
IAPWS R6-95(2018), thermodynamic properties of ordinary water substance. IAPWS R12-08, viscosity.
I. H. Bell, J. Wronski, S. Quoilin, V. Lemort, Ind. Eng. Chem. Res. 53 (2014) 2498-2508, the CoolProp library.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from hydrokit.bounds import Array

__all__ = ["boiling_temperature", "reference_properties"]


def reference_properties(temperature: Array, pressure: Array) -> Array:
    """Return the properties of liquid water, one row each.

    Parameters
    ----------
    temperature, pressure : array, shape (n,)
        Between freezing and boiling; not checked. [K], [Pa]

    Returns
    -------
    array, shape (5, n)
        Density, dynamic viscosity, vapour pressure, speed of sound, isobaric heat capacity.
        [kg/m^3, Pa s, Pa, m/s, J/kg/K]
    """
    from CoolProp.CoolProp import PT_INPUTS, QT_INPUTS, AbstractState, iphase_liquid

    liquid = AbstractState("HEOS", "Water")
    liquid.specify_phase(iphase_liquid)
    boiling = AbstractState("HEOS", "Water")
    rows = np.empty((5, temperature.size))
    for column, (kelvin, pascal) in enumerate(zip(temperature, pressure, strict=True)):
        liquid.update(PT_INPUTS, pascal, kelvin)
        boiling.update(QT_INPUTS, 0.0, kelvin)
        rows[:, column] = (
            liquid.rhomass(),
            liquid.viscosity(),
            boiling.p(),
            liquid.speed_sound(),
            liquid.cpmass(),
        )
    return rows


def boiling_temperature(pressure: Array) -> Array:
    """Return the boiling point of water.

    Parameters
    ----------
    pressure : array, shape (n,)
        Absolute, from the triple point to the critical point; not checked. [Pa]

    Returns
    -------
    array, shape (n,)
        Temperature. [K]
    """
    from CoolProp.CoolProp import PQ_INPUTS, AbstractState

    state = AbstractState("HEOS", "Water")
    boiling = np.empty_like(pressure)
    for place, pascal in enumerate(pressure):
        state.update(PQ_INPUTS, pascal, 0.0)
        boiling[place] = state.T()
    return boiling
