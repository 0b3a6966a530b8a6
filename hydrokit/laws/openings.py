r"""Openings: jets from orifices and nozzles, plates that throttle a line, and water spilling over an edge.

Head is metres of the liquid that flows, above the centre of the opening or above the edge. Pressure drops are in pascals.

References
----------
.. [white] White, F. M., Fluid Mechanics, 7th ed., 2011, sec. 3.5 (Torricelli), 6.12 (obstruction meters), 10.7 (weirs).
.. [iso5167] ISO 5167-2:2003, Measurement of fluid flow by pressure differential devices: orifice plates.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias, get_args

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require, require_word
from hydrokit.errors import SolverError
from hydrokit.laws.elementwise import bore_area, elementwise, plain
from hydrokit.laws.fittings import require_bore
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from hydrokit.bounds import Real

__all__ = [
    "SHARP_ORIFICE",
    "Taps",
    "efflux_velocity",
    "jet_flow",
    "meter_bore",
    "meter_flow",
    "orifice_plate_coefficient",
    "orifice_plate_flow",
    "orifice_plate_k",
    "weir_flow",
]

SHARP_ORIFICE: Final = 0.61
"""Discharge coefficient of a sharp-edged hole. Source: [white]_, sec. 6.12; 0.60 to 0.62 in every handbook."""
Taps: TypeAlias = Literal["corner", "flange", "D and D/2"]


@as_annotated
def efflux_velocity(head: Real) -> Real:
    r"""Return Torricelli's velocity, :math:`v = \sqrt{2 g h}`.

    Parameters
    ----------
    head : float or array, shape (n,)
        Water level above the jet; 0 or more. [m]

    Returns
    -------
    float or array, shape (n,)
        Of a jet without friction. [m/s]

    Raises
    ------
    RangeError
        If the head is negative.

    Notes
    -----
    Source: [white]_, sec. 3.5.

    Examples
    --------
    >>> efflux_velocity(0.45)
    2.97
    """
    require("head", head, 0.0, 1e6, "m")
    return plain(np.sqrt(2.0 * STANDARD_GRAVITY * np.asarray(head)))


def _require_opening(bore: Real, discharge_coefficient: Real) -> None:
    require_bore("bore", bore)
    require("discharge_coefficient", discharge_coefficient, 0.01, 1.2)


def _beta(bore: Real, around: Real, name: str) -> Real:
    """Return the bore of an opening over that of the pipe or tank around it, whose argument has the name."""
    require_bore(name, around)
    beta = plain(np.asarray(bore) / around)
    require(f"bore / {name}", beta, 0.0, 0.99)
    return beta


@as_annotated
def jet_flow(
    *, head: Real, bore: Real, discharge_coefficient: Real = SHARP_ORIFICE, approach_bore: Real | None = None
) -> Real:
    r"""Return the flow of a jet into the open air.

    .. math:: Q = C A \sqrt{\frac{2 g h}{1 - \beta^4}}

    Parameters
    ----------
    head : float or array, shape (n,)
        Static head at the opening; 0 or more. [m]
    bore : float or array, shape (n,)
        Of the opening. [m]
    discharge_coefficient : float or array, shape (n,), default 0.61
        1 is without loss or contraction. [-]
    approach_bore : float or array, shape (n,), optional
        Bore of the tank or pipe that the head was measured in; not given: wide, so that its velocity does not count. [m]

    Returns
    -------
    float or array, shape (n,)
        Flow. [m^3/s]

    Raises
    ------
    RangeError
        If the head is negative, a bore impossible, the opening over 0.99 of the approach, or the coefficient outside.

    Notes
    -----
    Steady, opening small against the head. Source: [white]_, sec. 3.5 and 6.12.

    Examples
    --------
    >>> jet_flow(head=0.45, bore=0.0125) * 60_000
    13.3
    """
    require("head", head, 0.0, 1e6, "m")
    _require_opening(bore, discharge_coefficient)
    beta4 = 0.0 if approach_bore is None else np.asarray(_beta(bore, approach_bore, "approach_bore")) ** 4
    return plain(
        discharge_coefficient * bore_area(bore) * np.sqrt(2.0 * STANDARD_GRAVITY * np.asarray(head) / (1.0 - beta4))
    )


@as_annotated
def meter_flow(
    *, pressure_drop: Real, bore: Real, pipe_bore: Real, density: Real, discharge_coefficient: Real = SHARP_ORIFICE
) -> Real:
    r"""Return the flow through an orifice or nozzle in a pipe, from the drop at its taps.

    .. math:: Q = C A \sqrt{\frac{2 \Delta p}{\rho (1 - \beta^4)}}

    Parameters
    ----------
    pressure_drop : float or array, shape (n,)
        At the taps, not the part that is lost for good; 0 or more. [Pa]
    bore, pipe_bore : float or array, shape (n,)
        Of the opening and of the pipe before it. [m]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]
    discharge_coefficient : float or array, shape (n,), default 0.61
        [-]

    Returns
    -------
    float or array, shape (n,)
        Flow. [m^3/s]

    Raises
    ------
    RangeError
        If a value is impossible or the opening over 0.99 of the pipe.

    Notes
    -----
    Source: [white]_, sec. 6.12.

    Examples
    --------
    >>> meter_flow(pressure_drop=4e3, bore=0.0095, pipe_bore=0.019, density=999.7) * 60_000
    7.58
    """
    require("pressure_drop", pressure_drop, 0.0, 1e9, "Pa")
    require("density", density, 1.0, 25e3, "kg/m^3")
    _require_opening(bore, discharge_coefficient)
    beta4 = np.asarray(_beta(bore, pipe_bore, "pipe_bore")) ** 4
    speed = np.sqrt(2.0 * np.asarray(pressure_drop) / (density * (1.0 - beta4)))
    return plain(discharge_coefficient * bore_area(bore) * speed)


@as_annotated
def meter_bore(
    *, flow: Real, pressure_drop: Real, pipe_bore: Real, density: Real, discharge_coefficient: Real = SHARP_ORIFICE
) -> Real:
    r"""Return the bore of the orifice or nozzle that shows a drop at a flow, the inverse of :func:`meter_flow`.

    .. math:: \beta^2 = \frac{c}{\sqrt{1 + c^2}}, \quad c = \frac{Q}{C A_{pipe}} \sqrt{\frac{\rho}{2 \Delta p}}

    Parameters
    ----------
    flow : float or array, shape (n,)
        Above 0. [m^3/s]
    pressure_drop : float or array, shape (n,)
        At the taps; above 0. [Pa]
    pipe_bore : float or array, shape (n,)
        Of the pipe before it. [m]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]
    discharge_coefficient : float or array, shape (n,), default 0.61
        [-]

    Returns
    -------
    float or array, shape (n,)
        Bore of the opening; always below the pipe's. [m]

    Raises
    ------
    RangeError
        If a value is impossible.

    Notes
    -----
    Source: [white]_, sec. 6.12, solved for the bore.

    Examples
    --------
    >>> meter_bore(flow=7.58 / 60_000, pressure_drop=4e3, pipe_bore=0.019, density=999.7)
    0.0095
    """
    require("flow", flow, 1e-12, 1e4, "m^3/s")
    require("pressure_drop", pressure_drop, 1e-6, 1e9, "Pa")
    require("density", density, 1.0, 25e3, "kg/m^3")
    require_bore("pipe_bore", pipe_bore)
    _require_opening(pipe_bore, discharge_coefficient)
    ideal = discharge_coefficient * bore_area(pipe_bore) * np.sqrt(2.0 * np.asarray(pressure_drop) / density)
    ratio = np.asarray(flow) / ideal
    return plain(pipe_bore * np.sqrt(ratio / np.sqrt(1.0 + ratio**2)))


@as_annotated
def orifice_plate_coefficient(*, bore: Real, pipe_bore: Real, reynolds: Real, taps: Taps = "corner") -> Real:
    """Return the discharge coefficient of a sharp-edged plate in a pipe.

    Parameters
    ----------
    bore, pipe_bore : float or array, shape (n,)
        Of the hole and of the pipe; ratio 0.1 to 0.75. [m]
    reynolds : float or array, shape (n,)
        In the pipe; at least 5000. [-]
    taps : {"corner", "flange", "D and D/2"}, default "corner"
        Where the drop is measured.

    Returns
    -------
    float or array, shape (n,)
        Discharge coefficient. [-]

    Raises
    ------
    RangeError
        If a value is outside what the standard covers.
    InputError
        If the taps are not listed.

    Notes
    -----
    Source: [iso5167]_, equation of Reader-Harris and Gallagher, through ``fluids``. The standard itself asks for pipes of
    50 mm or more and holes of 12.5 mm or more; smaller ones follow it less closely.

    Examples
    --------
    >>> orifice_plate_coefficient(bore=0.0127, pipe_bore=0.0254, reynolds=2e4)
    0.618
    """
    _require_plate(bore, pipe_bore, taps)
    require("reynolds", reynolds, 5000.0, 1e9)
    return _plate_coefficient(bore, pipe_bore, reynolds, taps)


def _require_plate(bore: Real, pipe_bore: Real, taps: str) -> None:
    require_bore("bore", bore)
    require_bore("pipe_bore", pipe_bore)
    require("bore / pipe_bore", plain(np.asarray(bore) / pipe_bore), 0.1, 0.75)
    require_word("taps", taps, get_args(Taps))


def _plate_coefficient(bore: Real, pipe_bore: Real, reynolds: Real, taps: str) -> Real:
    from fluids.flow_meter import C_Reader_Harris_Gallagher

    def coefficient(hole: float, pipe: float, number: float) -> float:
        mass_flow = number * np.pi / 4.0 * pipe  # of a liquid of unit viscosity, so that Re is the number asked for
        return float(C_Reader_Harris_Gallagher(D=pipe, Do=hole, rho=1.0, mu=1.0, m=mass_flow, taps=taps))

    return elementwise(coefficient, bore, pipe_bore, reynolds)


@as_annotated
def orifice_plate_flow(
    *, pressure_drop: Real, bore: Real, pipe_bore: Real, density: Real, viscosity: Real, taps: Taps = "corner"
) -> Real:
    """Return the flow through a sharp-edged plate, its coefficient computed along with it.

    Parameters
    ----------
    pressure_drop : float or array, shape (n,)
        At the taps; above 0. [Pa]
    bore, pipe_bore : float or array, shape (n,)
        Of the hole and of the pipe; ratio 0.1 to 0.75. [m]
    density : float or array, shape (n,)
        Of the liquid. [kg/m^3]
    viscosity : float or array, shape (n,)
        Dynamic. [Pa s]
    taps : {"corner", "flange", "D and D/2"}, default "corner"
        Where the drop is measured.

    Returns
    -------
    float or array, shape (n,)
        Flow. [m^3/s]

    Raises
    ------
    RangeError
        If a value is impossible, or the Reynolds number in the pipe comes out below 5000.
    InputError
        If the taps are not listed.
    SolverError
        If the coefficient does not settle.

    Notes
    -----
    Source: [iso5167]_. The coefficient hardly depends on the flow, so that repeating it settles in a few rounds.

    Examples
    --------
    >>> orifice_plate_flow(pressure_drop=20e3, bore=0.0127, pipe_bore=0.0254, density=999.7,
    ...                    viscosity=1.306e-3) * 60_000
    30.6
    """
    require("pressure_drop", pressure_drop, 1e-6, 1e9, "Pa")
    require("viscosity", viscosity, 1e-6, 1e3, "Pa s")
    _require_plate(bore, pipe_bore, taps)
    unit = meter_flow(
        pressure_drop=pressure_drop, bore=bore, pipe_bore=pipe_bore, density=density, discharge_coefficient=1.0
    )
    per_flow = 4.0 * np.asarray(density) / (np.pi * np.asarray(pipe_bore) * viscosity)
    coefficient: Real = SHARP_ORIFICE
    for _ in range(50):
        better = _plate_coefficient(bore, pipe_bore, plain(per_flow * coefficient * unit), taps)
        settled = bool(np.all(np.abs(np.asarray(better) / coefficient - 1.0) < 1e-12))
        coefficient = better
        if settled:
            require("reynolds", plain(per_flow * coefficient * unit), 5000.0, 1e9)
            return plain(coefficient * unit)
    raise SolverError("the discharge coefficient of the orifice plate does not settle")


@as_annotated
def orifice_plate_k(*, bore: Real, pipe_bore: Real, discharge_coefficient: Real = SHARP_ORIFICE) -> Real:
    r"""Return K of a sharp-edged plate: what is lost for good, not the drop at the taps.

    .. math:: K = \left(\frac{\sqrt{1 - \beta^4 (1 - C^2)}}{C \beta^2} - 1\right)^2

    Parameters
    ----------
    bore, pipe_bore : float or array, shape (n,)
        Of the hole and of the pipe. [m]
    discharge_coefficient : float or array, shape (n,), default 0.61
        [-]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the pipe. [-]

    Raises
    ------
    RangeError
        If a bore is impossible, the hole over 0.99 of the pipe, or the coefficient outside.

    Notes
    -----
    Source: [iso5167]_, pressure loss.

    Examples
    --------
    >>> orifice_plate_k(bore=0.0095, pipe_bore=0.019)
    29.5
    """
    _require_opening(bore, discharge_coefficient)
    beta2 = np.asarray(_beta(bore, pipe_bore, "pipe_bore")) ** 2
    coefficient = np.asarray(discharge_coefficient)
    return plain((np.sqrt(1.0 - beta2**2 * (1.0 - coefficient**2)) / (coefficient * beta2) - 1.0) ** 2)


@as_annotated
def weir_flow(*, head: Real, width: Real, discharge_coefficient: Real = 0.62) -> Real:
    r"""Return the flow over a level edge.

    .. math:: Q = \tfrac{2}{3} C b \sqrt{2 g} \, h^{3/2}

    Parameters
    ----------
    head : float or array, shape (n,)
        Still water above the edge; below it nothing flows. [m]
    width : float or array, shape (n,)
        Of the edge, along it. [m]
    discharge_coefficient : float or array, shape (n,), default 0.62
        0.62 suits a thin edge. [-]

    Returns
    -------
    float or array, shape (n,)
        Flow. [m^3/s]

    Raises
    ------
    RangeError
        If head or width is impossible or the coefficient outside.

    Notes
    -----
    Source: [white]_, sec. 10.7, thin-plate weir.

    Examples
    --------
    >>> weir_flow(head=0.01, width=0.2) * 60_000
    22.0
    """
    require("head", head, -1e3, 1e3, "m")
    require("width", width, 1e-6, 1e4, "m")
    require("discharge_coefficient", discharge_coefficient, 0.01, 1.2)
    above = np.maximum(head, 0.0)
    return plain(2.0 / 3.0 * discharge_coefficient * np.sqrt(2.0 * STANDARD_GRAVITY) * width * above**1.5)
