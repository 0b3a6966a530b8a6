r"""Chlorine: what is left of a dose, contact (Ct) against the tables, and the log reduction credited for it.

Concentrations are kg/m³ (a thousandth is 1 mg/L), Ct is kg s/m³ (0.06 is 1 mg min/L), temperatures kelvin. The residual
is free chlorine **at the end** of the contact, measured, or worked out from a demand that somebody has measured; demand and
decay are never guessed here.

References
----------
.. [epa] US EPA, Disinfection Profiling and Benchmarking Technical Guidance Manual, EPA 815-R-20-003, June 2020, tables
   B-1 and B-2, entered conservatively; logs of Giardia in proportion to Ct; baffling factors.
.. [lantagne] Lantagne et al., Sodium hypochlorite dosage for household and emergency water treatment, J. Water Health 16
   (2018).
.. [cdc] US CDC: inactivation of Cryptosporidium by chlorine (from memory).

A credit says what the tables allow for clear water. It never says that water is safe. Test the water; local codes rule.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import require, require_word
from hydrokit.laws.ct_tables import GIARDIA_CHLORINE, GIARDIA_CT, GIARDIA_PH, TEMPERATURES, VIRUS_CT, VIRUS_PH
from hydrokit.laws.elementwise import plain
from hydrokit.laws.log_reduction import Organism  # noqa: TC001  read at run time: it is a word, not a class

if TYPE_CHECKING:
    import numpy.typing as npt

    from hydrokit.bounds import Array, Real

__all__ = [
    "BAFFLING",
    "TABLE_LOGS",
    "chlorine_credit",
    "chlorine_dose",
    "chlorine_residual",
    "contact_ct",
    "contact_time",
    "ct_wanted",
    "product_volume",
]

MG_MIN_PER_LITRE: Final = 0.06
"""One mg min/L. [kg s/m^3]"""

TABLE_LOGS: Final[dict[Organism, float]] = {"cryptosporidium": 0.0, "giardia": 3.0, "virus": 4.0}
"""Most log reduction that chlorine is credited with: where the tables end. Source: [epa]_.

None for Cryptosporidium, whose Ct for 3 log, about 15 300 mg min/L [cdc]_, is out of reach of any rig.
"""

BAFFLING: Final[dict[str, float]] = {
    "unbaffled": 0.1,
    "poor": 0.3,
    "average": 0.5,
    "superior": 0.7,
    "pipe": 1.0,
    "closed batch": 1.0,
}
"""Share of the mean time that nine tenths of the water stays at least. [-] Source: [epa]_; the batch by its nature."""

_VIRUS_LOGS: Final = tuple(VIRUS_CT)
"""Logs of the rows for viruses, in order."""

_ROUNDING: Final = 1e-9
"""Slack, so that a value converted into SI and back is still read in its own row of a table."""


_MOST_DECAY: Final = 100.0
"""Greatest product of decay rate and time for which a dose is worked out: beyond it the sum has no meaning."""


def _require_chlorine(name: str, chlorine: Real) -> None:
    require(name, chlorine, 0.0, 1.0, "kg/m^3")


@as_annotated
def chlorine_residual(*, dose: Real, demand: Real, decay_rate: Real, time: Real) -> Real:
    r"""Return the free chlorine left of a dose.

    .. math:: C = \max(D - d, 0) \, e^{-k t}

    Parameters
    ----------
    dose : float or array, shape (n,)
        Put in. [kg/m^3]
    demand : float or array, shape (n,)
        Used up at once by what the water holds; measured on that water. [kg/m^3]
    decay_rate : float or array, shape (n,)
        Of the rest; measured, or 0 if the demand was taken over the same time. [1/s]
    time : float or array, shape (n,)
        Since dosing. [s]

    Returns
    -------
    float or array, shape (n,)
        [kg/m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Demand at once, then first-order decay: common practice, no source. A test kit at the tap is worth more.

    Examples
    --------
    2 mg/L put in, 0.8 used up at once, half of the rest gone in 6 h; in mg/L after 1 h:

    >>> chlorine_residual(dose=2e-3, demand=0.8e-3, decay_rate=np.log(2) / 21_600, time=3600.0) * 1e3
    1.07
    """
    _require_chlorine("dose", dose)
    _require_chlorine("demand", demand)
    _require_decay(decay_rate, time)
    left = np.maximum(np.asarray(dose, np.float64) - demand, 0.0)
    return plain(left * np.exp(-np.asarray(decay_rate) * time))


def _require_decay(decay_rate: Real, time: Real) -> None:
    require("decay_rate", decay_rate, 0.0, 10.0, "1/s")
    require("time", time, 0.0, 1e8, "s")


@as_annotated
def chlorine_dose(*, residual: Real, demand: Real, decay_rate: Real, time: Real) -> Real:
    """Return the dose that leaves a residual after a time, the inverse of :func:`chlorine_residual`.

    Parameters
    ----------
    residual : float or array, shape (n,)
        Free chlorine left at the end. [kg/m^3]
    demand : float or array, shape (n,)
        That the water uses up at once. [kg/m^3]
    decay_rate : float or array, shape (n,)
        Of what is left, first order. [1/s]
    time : float or array, shape (n,)
        That the water waits. [s]

    Returns
    -------
    float or array, shape (n,)
        [kg/m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible, or so much decays that no dose would leave anything (a factor of e^100).

    Notes
    -----
    Source: decay of first order, common practice, no source.

    Examples
    --------
    >>> chlorine_dose(residual=0.5e-3, demand=1e-3, decay_rate=0.0, time=1800.0) * 1e3
    1.5
    """
    _require_chlorine("residual", residual)
    _require_chlorine("demand", demand)
    _require_decay(decay_rate, time)
    require("decay_rate * time", plain(np.asarray(decay_rate) * time), 0.0, _MOST_DECAY)
    return plain(np.asarray(residual, np.float64) * np.exp(np.asarray(decay_rate) * time) + demand)


@as_annotated
def product_volume(*, dose: Real, water_volume: Real, strength: Real) -> Real:
    """Return how much product a dose takes.

    Parameters
    ----------
    dose : float or array, shape (n,)
        Free chlorine wanted in the water. [kg/m^3]
    water_volume : float or array, shape (n,)
        To be dosed. [m^3]
    strength : float or array, shape (n,)
        Available chlorine in the product, as its label says and not past its date: 5 % by volume is 50. [kg/m^3]

    Returns
    -------
    float or array, shape (n,)
        [m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: balance of chlorine; strengths by [lantagne]_.

    Examples
    --------
    Millilitres for 120 L at 2 mg/L, with a product of 50 g/L:

    >>> product_volume(dose=2e-3, water_volume=0.12, strength=50.0) * 1e6
    4.8
    """
    _require_chlorine("dose", dose)
    require("water_volume", water_volume, 0.0, 1e6, "m^3")
    require("strength", strength, 1e-3, 2e3, "kg/m^3")
    return plain(np.asarray(dose) * water_volume / np.asarray(strength))


@as_annotated
def contact_time(*, volume: Real, flow: Real, baffling_factor: Real) -> Real:
    r"""Return how long nine tenths of the water stays in a tank that it flows through, :math:`\beta V / Q`.

    Parameters
    ----------
    volume : float or array, shape (n,)
        Least water in the tank while it flows. [m^3]
    flow : float or array, shape (n,)
        Greatest. [m^3/s]
    baffling_factor : float or array, shape (n,)
        See :data:`BAFFLING`; a plain tank is 0.1. [-]

    Returns
    -------
    float or array, shape (n,)
        A closed batch needs no such sum: its time is its own. [s]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [epa]_.

    Examples
    --------
    >>> contact_time(volume=0.06, flow=8.0 / 60e3, baffling_factor=0.1) / 60.0
    0.75
    """
    require("volume", volume, 0.0, 1e6, "m^3")
    require("flow", flow, 1e-12, 1e4, "m^3/s")
    require("baffling_factor", baffling_factor, 0.01, 1.0)
    return plain(np.asarray(volume) * baffling_factor / np.asarray(flow))


@as_annotated
def contact_ct(*, residual: Real, time: Real) -> Real:
    """Return Ct: the residual at the end times the contact time.

    Parameters
    ----------
    residual : float or array, shape (n,)
        Free chlorine left at the end. [kg/m^3]
    time : float or array, shape (n,)
        Of contact. [s]

    Returns
    -------
    float or array, shape (n,)
        0.06 is 1 mg min/L. [kg*s/m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible.

    Notes
    -----
    Source: [epa]_.

    Examples
    --------
    0.5 mg/L after 30 minutes, in mg min/L:

    >>> contact_ct(residual=0.5e-3, time=1800.0) / 0.06
    15.0
    """
    _require_chlorine("residual", residual)
    require("time", time, 0.0, 1e8, "s")
    return plain(np.asarray(residual) * time)


def _row_below(value: Array, rows: tuple[float, ...]) -> npt.NDArray[np.intp]:
    """Return the index of the last row not above the value; the first serves all below it."""
    return np.asarray(np.maximum(np.searchsorted(np.array(rows), value + _ROUNDING, side="right") - 1, 0))


def _row_above(value: Array, rows: tuple[float, ...]) -> npt.NDArray[np.intp]:
    """Return the index of the first row not below the value; one past the last where there is none."""
    return np.searchsorted(np.array(rows), value - _ROUNDING)


def _giardia(temperature: Array, ph: Array, chlorine: Array) -> Array:
    table = np.array(GIARDIA_CT, np.float64)
    table = np.pad(table, ((0, 0), (0, 1), (0, 1)), constant_values=np.nan)  # beyond the last row nothing is known
    rows = _row_above(chlorine, GIARDIA_CHLORINE), _row_above(ph, GIARDIA_PH)
    return np.asarray(table[_row_below(temperature, TEMPERATURES), *rows])


def _virus(temperature: Array, ph: Array) -> Array:
    """Return the Ct of the rows for 2, 3 and 4 log, shape (3, ...)."""
    table = np.array([VIRUS_CT[logs] for logs in _VIRUS_LOGS], np.float64)[:, _row_below(temperature, TEMPERATURES)]
    low, middle, high = VIRUS_PH
    ct = np.where(ph <= middle + _ROUNDING, table[..., 0], table[..., 1])
    return np.asarray(np.where((ph >= low - _ROUNDING) & (ph <= high + _ROUNDING), ct, np.nan), np.float64)


def _virus_ct(logs: Array, rows: Array) -> Array:
    """Return the Ct wanted for logs of viruses, by the rows for 2, 3 and 4 log; between two rows the greater reading."""
    wanted: Array = logs / _VIRUS_LOGS[0] * rows[0]
    for first, last, low, high in zip(_VIRUS_LOGS, _VIRUS_LOGS[1:], rows, rows[1:], strict=False):
        between = np.maximum(low + (logs - first) / (last - first) * (high - low), logs / last * high)
        wanted = np.where(logs > first + _ROUNDING, between, wanted)
    return wanted


def _virus_logs(ct: Array, rows: Array) -> Array:
    """Return the most logs of viruses for which a Ct suffices, the inverse of :func:`_virus_ct`."""
    ct = ct * (1.0 + _ROUNDING)
    credited: Array = _VIRUS_LOGS[0] * ct / rows[0]
    for first, last, low, high in zip(_VIRUS_LOGS, _VIRUS_LOGS[1:], rows, rows[1:], strict=False):
        rise = np.where(high > low, high - low, 1.0)
        between = np.clip(np.minimum(first + (last - first) * (ct - low) / rise, last * ct / high), first, last)
        credited = np.where(ct >= low, np.where(ct >= high, last, between), credited)
    return credited


def _table_ct(organism: Organism, temperature: Real, ph: Real, chlorine: Real) -> Array:
    """Return the Ct of the table, in kg s/m³, NaN where it has no entry: of viruses for 2, 3 and 4 log, else for all."""
    require("temperature", temperature, 273.15, 373.15, "K")
    require("ph", ph, 0.0, 14.0)
    _require_chlorine("chlorine", chlorine)
    degrees, acidity, residual = np.broadcast_arrays(
        np.asarray(temperature, np.float64) - 273.15, np.asarray(ph, np.float64), np.asarray(chlorine) * 1e3
    )
    if organism == "cryptosporidium":
        return np.full(degrees.shape, np.nan)
    ct = _giardia(degrees, acidity, residual) if organism == "giardia" else _virus(degrees, acidity)
    return ct * MG_MIN_PER_LITRE


@as_annotated
def ct_wanted(*, organism: Organism, logs: Real, temperature: Real, ph: Real, chlorine: Real) -> Real:
    r"""Return the Ct that a log reduction takes, for Giardia :math:`L / L_t` of the tabled one.

    Parameters
    ----------
    organism : {"cryptosporidium", "giardia", "virus"}
        Chlorine does not control the first: NaN.
    logs : float or array, shape (n,)
        0 to 3 for Giardia, 0 to 4 for viruses. [-]
    temperature : float or array, shape (n,)
        Of the water; the table's next lower is taken. [K]
    ph : float or array, shape (n,)
        The table's next higher is taken. [-]
    chlorine : float or array, shape (n,)
        Residual at the end; the table's next higher is taken. Viruses do not ask for it. [kg/m^3]

    Returns
    -------
    float or array, shape (n,)
        NaN where the table has no entry: for Giardia above pH 9 or above 3 mg/L, for viruses outside pH 6 to 10.
        [kg s/m^3]

    Raises
    ------
    RangeError
        If a value is outside what is possible, or more logs are asked for than the table has.
    InputError
        If the organism is none of the three.

    Notes
    -----
    Source: [epa]_; never interpolated but in logs. For Giardia in proportion to them, as there. For viruses the printed
    rows at 2, 3 and 4 log; below 2 in proportion to the first of them; between two, whichever is more: the straight line
    from row to row, or the share of the upper one. The rows are whole numbers, some of them rounded down: at 25 °C 2 and
    3 log are printed with the same Ct.

    Examples
    --------
    3 log of Giardia at 15 °C, pH 7.5, 1.2 mg/L, in mg min/L; and at 14 °C, pH 7.4, 1.1 mg/L:

    >>> ct_wanted(organism="giardia", logs=3.0, temperature=288.15, ph=7.5, chlorine=1.2e-3) / 0.06
    92.0
    >>> ct_wanted(organism="giardia", logs=3.0, temperature=287.15, ph=7.4, chlorine=1.1e-3) / 0.06
    137.0

    Viruses at 10 °C, pH 7:

    >>> logs = np.array([1.0, 2.0, 3.0, 3.5, 4.0])
    >>> (ct_wanted(organism="virus", logs=logs, temperature=283.15, ph=7.0, chlorine=1e-3) / 0.06).tolist()
    [1.5, 3.0, 4.0, 5.25, 6.0]
    """
    require_word("organism", organism, TABLE_LOGS)
    most = TABLE_LOGS[organism] or 30.0
    require("logs", logs, 0.0, most)
    tabled, share = _table_ct(organism, temperature, ph, chlorine), np.asarray(logs, np.float64)
    return plain(_virus_ct(share, tabled) if organism == "virus" else share / most * tabled)


@as_annotated
def chlorine_credit(*, organism: Organism, chlorine: Real, time: Real, temperature: Real, ph: Real) -> Real:
    r"""Return the log reduction that a contact is credited with: the most for which it suffices, see :func:`ct_wanted`.

    .. math:: L = \min\left(L_t, L_t \frac{C t}{(C t)_t}\right) \quad \text{for Giardia}

    Parameters
    ----------
    organism : {"cryptosporidium", "giardia", "virus"}
        Chlorine is credited with nothing against the first.
    chlorine : float or array, shape (n,)
        Free residual at the end of the contact. For Giardia, more than 3 mg/L counts as 3, where the table ends.
        [kg/m^3]
    time : float or array, shape (n,)
        The full time of a closed batch; of a tank that water flows through see :func:`contact_time`. [s]
    temperature : float or array, shape (n,)
        The coldest during the contact. [K]
    ph : float or array, shape (n,)
        [-]

    Returns
    -------
    float or array, shape (n,)
        Never above where the table ends (3 and 4 log), and 0 where it has no entry. [-]

    Raises
    ------
    RangeError
        If a value is outside what is possible.
    InputError
        If the organism is none of the three.

    Notes
    -----
    Source: [epa]_. For clear water: particles shield what they hold.

    Examples
    --------
    1 mg/L left after 60 minutes at 10 °C and pH 7:

    >>> contact = {"chlorine": 1e-3, "time": 3600.0, "temperature": 283.15, "ph": 7.0}
    >>> [chlorine_credit(organism=name, **contact) for name in ("giardia", "virus", "cryptosporidium")]
    [1.61, 4.0, 0.0]
    """
    require_word("organism", organism, TABLE_LOGS)
    _require_chlorine("chlorine", chlorine)
    counted = np.asarray(chlorine, np.float64)
    if organism == "giardia":
        counted = np.minimum(counted, GIARDIA_CHLORINE[-1] * 1e-3)
    tabled = _table_ct(organism, temperature, ph, plain(counted))
    most, ct = TABLE_LOGS[organism], np.asarray(contact_ct(residual=plain(counted), time=time), np.float64)
    logs = _virus_logs(ct, tabled) if organism == "virus" else np.minimum(most * ct / tabled, most)
    return plain(np.nan_to_num(logs))
