r"""Ultraviolet lamps: dose against flow, clarity and age, and the log reduction credited for a dose.

Dose is J/m² (10 is 1 mJ/cm²), transmittance is the share of light at 254 nm that passes 1 cm of the water.

References
----------
.. [uvdgm] US EPA, Ultraviolet Disinfection Guidance Manual, EPA 815-R-06-007, 2006, table 1.4; the same as 40 CFR
   141.720. Read: 1, 2 and 3 log of Cryptosporidium, 3 of Giardia, 4 of viruses; the other rows are from memory.
.. [bolton] Bolton, J. R. and Linden, K. G., Standardization of methods for fluence (UV dose) determination in bench-scale
   UV experiments, J. Environ. Eng. 129 (2003): the water factor (from memory).

A credit says what the table allows for a dose that the lamp was validated for. It never says that water is safe.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require, require_word
from hydrokit.laws.elementwise import plain
from hydrokit.laws.log_reduction import Organism  # noqa: TC001  read at run time: it is a word, not a class

if TYPE_CHECKING:
    import numpy.typing as npt

    from hydrokit.bounds import Array, Real

__all__ = [
    "DOSES",
    "DOSE_LOGS",
    "LampRating",
    "credited_dose",
    "dose_credit",
    "dose_wanted",
    "inside_rating",
    "lamp_dose",
    "lamp_output",
    "water_factor",
]

DOSE_LOGS: Final = (0.5, 1.0, 1.5, 2.0, 2.5, 3.0, 3.5, 4.0)
"""Log reductions of the table. [-]"""

DOSES: Final[dict[Organism, tuple[float, ...]]] = {
    "cryptosporidium": (1.6, 2.5, 3.9, 5.8, 8.5, 12.0, 15.0, 22.0),
    "giardia": (1.5, 2.1, 3.0, 5.2, 7.7, 11.0, 15.0, 22.0),
    "virus": (39.0, 58.0, 79.0, 100.0, 121.0, 143.0, 163.0, 186.0),
}
"""Dose for each of them; that for viruses was set by adenovirus. [mJ/cm²] Source: [uvdgm]_."""

MJ_PER_CM2: Final = 10.0
"""One mJ/cm². [J/m^2]"""

_ROUNDING: Final = 1e-9
"""Slack, so that a value converted into SI and back is still read in its own row of a table."""


def _doses(organism: Organism) -> Array:
    require_word("organism", organism, DOSES)
    return np.array(DOSES[organism]) * MJ_PER_CM2


@as_annotated
def dose_wanted(*, organism: Organism, logs: Real) -> Real:
    """Return the dose that a log reduction takes: that of the table's next higher row.

    Parameters
    ----------
    organism : {"cryptosporidium", "giardia", "virus"}
        See :data:`DOSES`.
    logs : float or array, shape (n,)
        Up to 4. [-]

    Returns
    -------
    float or array, shape (n,)
        [J/m^2]

    Raises
    ------
    RangeError
        If more logs are asked for than the table has.
    InputError
        If the organism is none of the three.

    Notes
    -----
    Source: [uvdgm]_; never interpolated.

    Examples
    --------
    >>> dose_wanted(organism="cryptosporidium", logs=3.0) / 10.0
    12.0
    """
    require("logs", logs, 0.0, DOSE_LOGS[-1])
    doses = np.array([0.0, *_doses(organism)])
    return plain(doses[np.searchsorted(np.array([0.0, *DOSE_LOGS]), np.asarray(logs) - _ROUNDING)])


@as_annotated
def dose_credit(*, organism: Organism, dose: Real) -> Real:
    """Return the log reduction credited for a validated dose: that of the highest row it reaches.

    Parameters
    ----------
    organism : {"cryptosporidium", "giardia", "virus"}
        See :data:`DOSES`.
    dose : float or array, shape (n,)
        Validated; see :func:`credited_dose`. [J/m^2]

    Returns
    -------
    float or array, shape (n,)
        0 to 4, in steps of a half. [-]

    Raises
    ------
    RangeError
        If the dose is outside what is possible.
    InputError
        If the organism is none of the three.

    Notes
    -----
    Source: [uvdgm]_; never interpolated.

    Examples
    --------
    40 mJ/cm²:

    >>> [dose_credit(organism=name, dose=400.0) for name in ("cryptosporidium", "giardia", "virus")]
    [4.0, 4.0, 0.5]
    """
    require("dose", dose, 0.0, 1e7, "J/m^2")
    logs = np.array([0.0, *DOSE_LOGS])
    reached = np.searchsorted(_doses(organism), np.asarray(dose) * (1.0 + _ROUNDING), side="right")
    return plain(logs[reached])


@as_annotated
def water_factor(*, transmittance: Real, path: Real) -> Real:
    r"""Return the mean intensity along a path through water over that at its start.

    .. math:: W = \frac{1 - T^l}{-l \ln T}

    Parameters
    ----------
    transmittance : float or array, shape (n,)
        *T*, share that passes 1 cm; clear spring water 0.95, brown river water below 0.6. [-]
    path : float or array, shape (n,)
        *l*, from the sleeve to the wall; the formula takes it in centimetres. [m]

    Returns
    -------
    float or array, shape (n,)
        1 in perfectly clear water. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: law of Beer and Lambert, averaged; [bolton]_. Light taken as parallel: around a lamp it also thins with
    distance, which does not depend on the water and so drops out of a ratio.

    Examples
    --------
    >>> water_factor(transmittance=0.75, path=0.02)
    0.760
    """
    require("transmittance", transmittance, 1e-6, 1.0)
    require("path", path, 1e-4, 1.0, "m")
    depth = -np.log(np.asarray(transmittance, np.float64)) * np.asarray(path) * 100.0
    safe = np.where(depth > 1e-12, depth, 1.0)
    return plain(np.where(depth > 1e-12, -np.expm1(-safe) / safe, 1.0))


@as_annotated
def lamp_output(*, age: Real, life: Real, end_output: Real) -> Real:
    """Return what is left of a lamp's output: falling evenly to its end, 0 after it.

    Parameters
    ----------
    age, life : float or array, shape (n,)
        Hours lit and rated, in seconds; off at night counts as not lit. [s]
    end_output : float or array, shape (n,)
        Share left at the end of its life, from its data sheet. [-]

    Returns
    -------
    float or array, shape (n,)
        Share of the new lamp's. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Even fall: common practice, no source. Past its life a lamp still glows blue and is credited with nothing.

    Examples
    --------
    >>> lamp_output(age=4500.0, life=9000.0, end_output=0.8)
    0.9
    """
    require("age", age, 0.0, 1e10, "s")
    require("life", life, 1.0, 1e10, "s")
    require("end_output", end_output, 0.0, 1.0)
    spent = np.asarray(age, np.float64) / life
    return plain(np.where(spent <= 1.0, 1.0 - spent * (1.0 - np.asarray(end_output)), 0.0))


@dataclass(frozen=True, slots=True)
class LampRating:
    """For what a lamp is rated, or validated, at the end of its life.

    Parameters
    ----------
    dose : float or array, shape (n,)
        At the flow and clarity below. [J/m^2]
    flow : float or array, shape (n,)
        Greatest. [m^3/s]
    transmittance : float or array, shape (n,)
        Least, through 1 cm. [-]
    output : float or array, shape (n,), default 1
        Share of a new lamp's output that the dose counts on; see :func:`lamp_output`. [-]
    """

    dose: Real
    flow: Real
    transmittance: Real
    output: Real = 1.0

    def __post_init__(self) -> None:
        require("dose", self.dose, 0.0, 1e7, "J/m^2")
        require("flow", self.flow, 1e-9, 1e3, "m^3/s")
        require("transmittance", self.transmittance, 1e-6, 1.0)
        require("output", self.output, 1e-3, 1.0)


@as_annotated
def lamp_dose(rating: LampRating, *, flow: Real, transmittance: Real, path: Real, output: Real = 1.0) -> Real:
    r"""Estimate the dose that a lamp gives here; an estimate, not a credit.

    .. math:: D = D_r \, \frac{Q_r}{Q} \, \frac{W(T)}{W(T_r)} \, \frac{o}{o_r}

    Parameters
    ----------
    rating : LampRating
        What it is rated for.
    flow : float or array, shape (n,)
        The greatest at any moment, not the mean. [m^3/s]
    transmittance : float or array, shape (n,)
        Of this water, measured: the eye cannot tell. [-]
    path : float or array, shape (n,)
        From the sleeve to the wall; see :func:`water_factor`. [m]
    output : float or array, shape (n,), default 1
        Of this lamp today; see :func:`lamp_output`. [-]

    Returns
    -------
    float or array, shape (n,)
        [J/m^2]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Time in the chamber goes as 1/flow: common practice, no source. Clarity by [bolton]_.

    Examples
    --------
    A lamp of 40 mJ/cm² at 10 L/min and 0.75, run at 8 L/min in water of 0.60; in mJ/cm²:

    >>> rating = LampRating(dose=400.0, flow=10.0 / 60e3, transmittance=0.75)
    >>> lamp_dose(rating, flow=8.0 / 60e3, transmittance=0.60, path=0.02) / 10.0
    41.2
    """
    require("flow", flow, 1e-9, 1e3, "m^3/s")
    require("output", output, 0.0, 1.0)
    here = np.asarray(water_factor(transmittance=transmittance, path=path))
    clear = here / np.asarray(water_factor(transmittance=rating.transmittance, path=path))
    slow = np.asarray(rating.flow) / np.asarray(flow)
    return plain(np.asarray(rating.dose) * slow * clear * np.asarray(output) / rating.output)


@as_annotated
def inside_rating(rating: LampRating, *, flow: Real, transmittance: Real, output: Real = 1.0) -> npt.NDArray[np.bool_]:
    """Return where flow, clarity and output are all within what the lamp is rated for.

    Parameters
    ----------
    rating : LampRating
        What the lamp is rated for.
    flow : float or array, shape (n,)
        Through the lamp. [m^3/s]
    transmittance : float or array, shape (n,)
        Of 1 cm of the water at 254 nm. [-]
    output : float or array, shape (n,), default 1
        Of the lamp, as a share of that when new. [-]

    Returns
    -------
    array of bool, shape (n,)

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [uvdgm]_: a validation holds for the conditions that it was made in.

    Examples
    --------
    >>> rating = LampRating(dose=400.0, flow=10.0 / 60e3, transmittance=0.75)
    >>> bool(inside_rating(rating, flow=8.0 / 60e3, transmittance=0.60))
    False
    """
    require("flow", flow, 0.0, 1e3, "m^3/s")
    require("transmittance", transmittance, 0.0, 1.0)
    require("output", output, 0.0, 1.0)
    slow = np.asarray(flow) <= np.asarray(rating.flow) * (1.0 + _ROUNDING)
    clear = np.asarray(transmittance) >= np.asarray(rating.transmittance) * (1.0 - _ROUNDING)
    young = np.asarray(output) >= np.asarray(rating.output) * (1.0 - _ROUNDING)
    return np.asarray(slow & clear & young)


@as_annotated
def credited_dose(rating: LampRating, *, flow: Real, transmittance: Real, output: Real = 1.0) -> Real:
    """Return the dose that a lamp is credited with: that of its rating inside it, nothing outside.

    Parameters
    ----------
    rating : LampRating
        What the lamp is rated for.
    flow : float or array, shape (n,)
        Through the lamp. [m^3/s]
    transmittance : float or array, shape (n,)
        Of 1 cm of the water at 254 nm. [-]
    output : float or array, shape (n,), default 1
        Of the lamp, as a share of that when new. [-]

    Returns
    -------
    float or array, shape (n,)
        Never above the rated dose, however slow and clear the water. [J/m^2]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [uvdgm]_: a credit holds for the conditions of the validation alone.

    Examples
    --------
    >>> rating = LampRating(dose=400.0, flow=10.0 / 60e3, transmittance=0.75)
    >>> credited_dose(rating, flow=8.0 / 60e3, transmittance=0.90)
    400.0
    >>> credited_dose(rating, flow=8.0 / 60e3, transmittance=0.60)
    0.0
    """
    inside = inside_rating(rating, flow=flow, transmittance=transmittance, output=output)
    return plain(np.where(inside, np.asarray(rating.dose), 0.0))
