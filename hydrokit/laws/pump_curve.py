r"""Pump curves: datasheet points made into a smooth, falling law that the solver evaluates for many pumps at once.

A curve is a run of points (flow, gain); the gain is a head in metres or a pressure rise in pascals, whichever the
caller keeps to. From left to right a compiled curve has these pieces, joined in value and slope:

* **backflow** (flow below 0, water forced back through a running pump): :math:`y = y_0 + s_0 q + k q^2` with
  :math:`k = y_0 / q_{open}^2`, so that forcing the open flow backwards takes about twice the shut-off head;
* **below the first point**, where the data do not start at shut-off: straight on with the slope of the first point;
* **inside the data**: the monotone piecewise cubic of Fritsch and Carlson with the three-point end slopes and weighted
  harmonic means of Fritsch and Butland, which passes through every point and never overshoots;
* **beyond the last point**: :math:`y = y_N + s_N t - \kappa t^2`, :math:`\kappa = (y_0 - y_N) / q_N^2`, the curvature
  the data have on the whole. A cubic would run away.

Everything outside the data (``data_low`` to ``data_high``) is extrapolated. A curve that rises from shut-off is
replaced by its flat-topped envelope (the greatest gain at this flow or any larger one), because on the rising part no
duty is stable; ``rises`` and ``flat_to`` say so. A curve whose last points stand above each other delivers the same
flow at any lower gain, as displacement pumps do: ``flow_limit`` is that flow, and the law is used left of it.

References
----------
.. [fritsch] Fritsch, F. N. and Carlson, R. E., Monotone piecewise cubic interpolation, SIAM J. Numer. Anal. 17 (1980),
   238-246.
.. [butland] Fritsch, F. N. and Butland, J., A method for constructing local monotone piecewise cubic interpolants,
   SIAM J. Sci. Stat. Comput. 5 (1984), 300-304.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Final, Literal, TypeAlias, get_args

import numpy as np
import numpy.typing as npt

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, pairs_of_numbers, require, require_word
from hydrokit.errors import InputError, Mistake

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.bounds import Array, Real

__all__ = [
    "CurveTable",
    "PumpKind",
    "affinity",
    "alike",
    "compile_curves",
    "gain",
    "monotone_slopes",
    "pump_gain",
]

PumpKind: TypeAlias = Literal["rotodynamic", "displacement"]
Points: TypeAlias = "Sequence[tuple[float, float]]"

_SAME_FLOW: Final = 1e-9
"""Flows closer than this fraction of the largest stand above each other: no datasheet is read that finely."""
_EXAMPLE: Final = "[(0.0, 28.0), (1.9e-4, 0.0)]"


@dataclass(frozen=True, slots=True)
class CurveTable:
    """Curves of ``P`` pumps, ready to be evaluated together; made by :func:`compile_curves`.

    Parameters
    ----------
    starts : array, shape (S - 1, P)
        Flow at which each piece but the first begins; infinite where a pump has fewer pieces. [m^3/s]
    pieces : array, shape (5, P * S)
        Cubic coefficients, lowest power first, and the flow they count from.
    first_piece : array of int, shape (P,)
        Column of ``pieces`` that holds each pump's backflow.
    shut_off : array, shape (P,)
        Gain at no flow.
    open_flow : array, shape (P,)
        Flow at no gain. [m^3/s]
    data_low, data_high : array, shape (P,)
        Flow of the first and of the last point. [m^3/s]
    rises : array of bool, shape (P,)
        True where the points rise with flow somewhere and the flat-topped envelope was put in their place.
    flat_to : array, shape (P,)
        Flow up to which the gain is that at shut-off; a duty on it is not stable. 0 where there is no flat. [m^3/s]
    flow_limit : array, shape (P,)
        Flow that the pump never passes, whatever the gain; infinite where the curve does not end upright. [m^3/s]
    """

    starts: Array
    pieces: Array
    first_piece: npt.NDArray[np.intp]
    shut_off: Array
    open_flow: Array
    data_low: Array
    data_high: Array
    rises: npt.NDArray[np.bool_]
    flat_to: Array
    flow_limit: Array


@dataclass(frozen=True, slots=True)
class _Outline:
    """Points of one curve in order of flow, envelope taken, upright end taken off."""

    flow: Array
    gain: Array
    rises: bool
    upright: bool


def monotone_slopes(x: Array, y: Array) -> Array:
    """Return the slope at each point of the monotone piecewise cubic through the points.

    Parameters
    ----------
    x, y : array, shape (N,)
        At least two points, ``x`` rising strictly; not checked.

    Returns
    -------
    array, shape (N,)
        Slopes; 0 wherever the data turn or stand level, so that the cubic never overshoots.

    Notes
    -----
    Source: [butland]_ inside, three-point end slopes limited as by [fritsch]_; the same as ``PchipInterpolator`` of
    ``scipy.interpolate``, whose import would cost more time than a whole solve.

    Examples
    --------
    >>> monotone_slopes(np.array([0.0, 1.0, 2.0]), np.array([3.0, 2.0, 0.0]))
    array([-0.5       , -1.33333333, -2.5       ])
    """
    step = np.diff(x)
    secant = np.diff(y) / step
    if secant.size == 1:
        return np.repeat(secant, 2)
    slopes = np.zeros_like(y)
    before, after = secant[:-1], secant[1:]
    keeps = before * np.sign(after) > 0.0
    weight_before, weight_after = 2.0 * step[1:] + step[:-1], step[1:] + 2.0 * step[:-1]
    with np.errstate(divide="ignore", over="ignore", invalid="ignore"):
        mean = (weight_before + weight_after) / (weight_before / before + weight_after / after)
    slopes[1:-1] = np.where(keeps, mean, 0.0)
    slopes[0] = _end_slope(step[0], step[1], secant[0], secant[1])
    slopes[-1] = _end_slope(step[-1], step[-2], secant[-1], secant[-2])
    return slopes


def _end_slope(step: float, next_step: float, secant: float, next_secant: float) -> float:
    slope = ((2.0 * step + next_step) * secant - step * next_secant) / (step + next_step)
    if np.sign(slope) != np.sign(secant):
        return 0.0
    if np.sign(secant) != np.sign(next_secant) and abs(slope) > 3.0 * abs(secant):
        return 3.0 * secant
    return slope


def _refused(place: str, found: str, expected: str, instead: str = _EXAMPLE) -> InputError:
    return InputError([Mistake(place, found, expected, instead)])


def _outline(points: Points, place: str) -> _Outline:
    """Return the curve in order of flow.

    Raises
    ------
    InputError
        If it is no curve that falls.
    """
    if len(points) < 2:
        raise _refused(place, f"{len(points)} point(s)", "at least two points (flow, head or pressure rise)")
    flow, rise = pairs_of_numbers(place, points).T
    bad = ~(np.isfinite(flow) & np.isfinite(rise) & (flow >= 0.0))
    if bad.any():
        worst = int(np.argmax(bad))
        expected = "a flow of 0 or more and a finite head or pressure rise"
        raise _refused(place, f"point {worst + 1}: ({flow[worst]:g}, {rise[worst]:g})", expected)
    order = np.lexsort((-rise, flow))
    flow, rise = flow[order], rise[order]
    if flow[-1] == 0.0:
        raise _refused(place, "no point with flow", "at least one point with a flow above 0")
    at_end = flow >= flow[-1] * (1.0 - _SAME_FLOW)
    corner = int(np.argmax(at_end))
    upright = corner < flow.size - 1
    if upright:
        rise[corner] = rise[corner:].max()
        flow, rise = flow[: corner + 1], rise[: corner + 1]
    twice = np.flatnonzero(np.diff(flow) <= flow[-1] * _SAME_FLOW)
    if twice.size:
        expected = "one point for each flow; only the last points of a displacement pump's curve may share their flow"
        raise _refused(place, f"two points at flow {flow[twice[0]]:g} m^3/s", expected, "")
    envelope = np.maximum.accumulate(rise[::-1])[::-1]
    if envelope[0] <= 0.0 or (envelope[0] == envelope[-1] and not upright):
        found = "no gain at any flow" if envelope[0] <= 0.0 else "the greatest gain at the largest flow"
        raise _refused(place, found, "head or pressure rise that falls as flow rises; are the columns swapped?")
    return _Outline(flow, envelope, bool((envelope > rise).any()), upright)


def _hermite(flow: Array, rise: Array, slopes: Array) -> Array:
    """Return rows of four coefficients and the starting flow, one for each interval."""
    step = np.diff(flow)
    secant = np.diff(rise) / step
    curvature = (3.0 * secant - 2.0 * slopes[:-1] - slopes[1:]) / step
    twist = (slopes[:-1] + slopes[1:] - 2.0 * secant) / step**2
    return np.column_stack([rise[:-1], slopes[:-1], curvature, twist, flow[:-1]])


def _crossing(row: Array, end: float) -> float:
    """Return the flow at which a falling piece that ends at or below 0 reaches it, by halving."""
    constant, first, second, third, start = row.tolist()
    low, high = start, end
    while low < (middle := 0.5 * (low + high)) < high:
        along = middle - start
        above = ((third * along + second) * along + first) * along + constant > 0.0
        low, high = (middle, high) if above else (low, middle)
    return float(high)


@dataclass(frozen=True, slots=True)
class _Curve:
    """One compiled curve: rows of coefficients, and what is known of it as a whole."""

    rows: Array
    shut_off: float
    open_flow: float
    flat_to: float


def _compile_one(outline: _Outline) -> _Curve:
    flow, rise = outline.flow, outline.gain
    slopes = monotone_slopes(flow, rise) if flow.size > 1 else np.zeros(1)
    shut_off = float(rise[0] - slopes[0] * flow[0])
    last_gain, last_slope = float(rise[-1]), float(slopes[-1])
    bend = (shut_off if outline.upright else shut_off - last_gain) / float(flow[-1]) ** 2
    inside = _hermite(flow, rise, slopes)
    if last_gain <= 0.0:
        first = int(np.argmax(rise <= 0.0))
        open_flow = _crossing(inside[first - 1], float(flow[first]))
    elif outline.upright:
        open_flow = float(flow[-1])
    else:
        root = np.sqrt(last_slope**2 + 4.0 * bend * last_gain)
        open_flow = float(flow[-1] + 2.0 * last_gain / (root - last_slope))
    backflow = [shut_off, slopes[0], shut_off / open_flow**2, 0.0, 0.0]
    lead = [[shut_off, slopes[0], 0.0, 0.0, 0.0]] if flow[0] > 0.0 else np.empty((0, 5))
    tail = [last_gain, last_slope, -bend, 0.0, flow[-1]]
    level = flow[rise >= shut_off]
    return _Curve(
        rows=np.vstack([[backflow], lead, inside, [tail]]),
        shut_off=shut_off,
        open_flow=open_flow,
        flat_to=float(level[-1]) if level.size else 0.0,
    )


@as_annotated
def compile_curves(curves: Sequence[Points], *, places: Sequence[str] = ()) -> CurveTable:
    """Compile the datasheet points of many pumps into one table for :func:`gain`.

    Parameters
    ----------
    curves : sequence of sequences of (flow, gain)
        Flow in m³/s, 0 or above; gain in metres or pascals, all in the same. Two points or more, in any order.
    places : sequence of str, optional
        Address of each curve, for the messages.

    Returns
    -------
    CurveTable
        For ``P = len(curves)`` pumps; none is allowed.

    Raises
    ------
    InputError
        Listing every curve that has fewer than two points, a point that is no pair of numbers, a negative flow, two
        points at one flow other than at its end, or a gain that does not fall; or if places and curves differ in number.

    Notes
    -----
    Source: [fritsch]_, [butland]_.

    Examples
    --------
    A diaphragm pump that holds 280 kPa up to 5.3 L/min and passes 11.3 L/min freely:

    >>> table = compile_curves([[(0.0, 280e3), (5.3 / 60e3, 280e3), (11.3 / 60e3, 0.0)]])
    >>> gain(table, np.array([8.3 / 60e3]))[0]
    array([193584.])
    >>> float(table.flat_to[0]) * 60e3
    5.3
    """
    mistakes = Mistakes()
    names = places or [f"curves[{number}]" for number in range(len(curves))]
    if len(names) != len(curves):
        mistakes.add("places", f"{len(names)} of them", f"one for each of the curves, {len(curves)}")
        mistakes.settle()
    outlines: list[_Outline] = []
    for points, name in zip(curves, names, strict=True):
        try:
            outlines.append(_outline(points, name))
        except InputError as error:
            mistakes.extend(error)
    mistakes.settle()
    compiled = [_compile_one(outline) for outline in outlines]
    count = len(compiled)
    most = max((curve.rows.shape[0] for curve in compiled), default=2)
    starts = np.full((most - 1, count), np.inf)
    pieces = np.zeros((count, most, 5))
    for number, curve in enumerate(compiled):
        rows = curve.rows.shape[0]
        starts[: rows - 1, number] = curve.rows[1:, 4]
        pieces[number, :rows] = curve.rows
    return CurveTable(
        starts=starts,
        pieces=np.ascontiguousarray(pieces.reshape(count * most, 5).T),
        first_piece=np.arange(count, dtype=np.intp) * most,
        shut_off=np.array([curve.shut_off for curve in compiled], np.float64),
        open_flow=np.array([curve.open_flow for curve in compiled], np.float64),
        data_low=np.array([outline.flow[0] for outline in outlines], np.float64),
        data_high=np.array([outline.flow[-1] for outline in outlines], np.float64),
        rises=np.array([outline.rises for outline in outlines], np.bool_),
        flat_to=np.array([curve.flat_to for curve in compiled], np.float64),
        flow_limit=np.array([outline.flow[-1] if outline.upright else np.inf for outline in outlines], np.float64),
    )


def gain(table: CurveTable, flow: Array) -> tuple[Array, Array]:
    """Return the gain of each pump and its slope against flow; the solver's kernel, nothing is checked.

    Parameters
    ----------
    table : CurveTable
        Of ``P`` pumps.
    flow : array, shape (..., P)
        Of either sign. [m^3/s]

    Returns
    -------
    gain, slope : array, shape (..., P)
        Head in metres or pressure rise in pascals, as compiled; the slope is never above 0 and, like the gain, has no
        jump anywhere.

    Notes
    -----
    Source: [fritsch]_, [butland]_.

    Examples
    --------
    Halfway down a straight curve, and the same flow forced backwards:

    >>> table = compile_curves([[(0.0, 10.0), (0.002, 0.0)]])
    >>> gain(table, np.array([[0.001], [-0.001]]))
    (array([[ 5. ],
           [17.5]]), array([[ -5000.],
           [-10000.]]))
    """
    starts = table.starts.reshape(len(table.starts), *(1,) * (flow.ndim - 1), len(table.shut_off))
    column = table.first_piece + (flow >= starts).sum(axis=0)  # pieces first: three times as fast as pieces last
    constant, first, second, third, origin = table.pieces.take(column, axis=1)
    along = flow - origin
    value = ((third * along + second) * along + first) * along + constant
    slope = (3.0 * third * along + 2.0 * second) * along + first
    return value, np.minimum(slope, 0.0)  # rounding alone may lift a level stretch above 0


@as_annotated
def pump_gain(*, points: Points, flow: Real) -> Real:
    """Return the head or pressure rise of one pump at a flow.

    Parameters
    ----------
    points : sequence of (flow, gain)
        From the datasheet: flow in m³/s against head in metres or pressure rise in pascals.
    flow : float or array, shape (n,)
        Negative where water is forced back through the running pump. [m^3/s]

    Returns
    -------
    float or array, shape (n,)
        In the unit of the points. Beyond the points it is extrapolated (see the module), and falls below 0 past the
        open flow.

    Raises
    ------
    RangeError
        If a flow is not finite.
    InputError
        If the points are no falling curve.

    Notes
    -----
    A curve that rises from shut-off gives its flat-topped envelope. Past the upright end of a displacement pump's
    curve there is no flow at all; :class:`CurveTable` carries that limit. Source: [fritsch]_, [butland]_.

    Examples
    --------
    >>> pump_gain(points=[(0.0, 12.0), (0.001, 10.0), (0.002, 4.0)], flow=0.0015)
    7.625
    """
    require("flow", flow, -1e6, 1e6, "m^3/s")
    value, _ = gain(compile_curves([points], places=["points"]), np.asarray(flow, np.float64)[..., None])
    return value[..., 0] if np.ndim(flow) else float(value[0])


@as_annotated
def affinity(speed_ratio: Real, kind: PumpKind) -> tuple[Real, Real]:
    r"""Return the factors (a, b) by which a curve at rated speed becomes one at another: :math:`y = a\,g(q/b)`.

    Parameters
    ----------
    speed_ratio : float or array, shape (n,)
        Speed over the speed of the datasheet. [-]
    kind : {"rotodynamic", "displacement"}
        A rotodynamic pump follows the affinity laws, :math:`a = s^2, b = s`. A displacement pump delivers in
        proportion to speed at a given pressure, and its cut-out does not move: :math:`a = 1, b = s`.

    Returns
    -------
    a, b : float or array, shape (n,)
        Factor on the gain and factor on the flow; the slope is :math:`(a/b)\,g'(q/b)`. [-]

    Raises
    ------
    RangeError
        If the ratio is not between 0.001 and 100; a pump that stands still is off and has no curve.
    InputError
        If the kind is neither.

    Notes
    -----
    Source: White, F. M., Fluid Mechanics, 7th ed., 2011, section 11.5 (similarity rules); displacement pumps: common
    practice, no source.

    Examples
    --------
    >>> affinity(0.9, "rotodynamic")
    (0.81, 0.9)
    >>> affinity(0.9, "displacement")
    (1.0, 0.9)
    """
    require("speed_ratio", speed_ratio, 1e-3, 100.0)
    require_word("kind", kind, get_args(PumpKind))
    return (speed_ratio**2 if kind == "rotodynamic" else 0.0 * speed_ratio + 1.0), speed_ratio


@as_annotated
def alike(a: Real, b: Real, *, series: int = 1, parallel: int = 1) -> tuple[Real, Real]:
    """Return the factors (a, b) of a set of pumps alike, from those of one: gains add in series, flows in parallel.

    Parameters
    ----------
    a, b : float or array, shape (n,)
        As :func:`affinity` gives them. [-]
    series : int, default 1
        Pumps one after the other in each row. [-]
    parallel : int, default 1
        Rows side by side. [-]

    Returns
    -------
    tuple of float or array
        The factors of the whole set. [-]

    Raises
    ------
    RangeError
        If there is not at least one pump.

    Notes
    -----
    Source: heads add in series, flows in parallel: any textbook of pumps.

    Examples
    --------
    Two side by side, each at full speed:

    >>> alike(1.0, 1.0, parallel=2)
    (1.0, 2.0)
    """
    require("series", series, 1, 1000)
    require("parallel", parallel, 1, 1000)
    return a * series, b * parallel
