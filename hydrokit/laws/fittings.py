r"""Losses of fittings, bends, strainers, and of water entering, leaving and changing bore, as K.

K is the loss in velocity heads, :math:`h = K v^2/2g`, and always belongs to the velocity in a stated bore: the fitting's
own, and at a change of bore the smaller one. Crane's method: K of a fitting is a length of pipe in bores, from its
geometry, times :math:`f_T`, the friction factor of clean commercial steel pipe of that bore in complete turbulence.
The tables were measured in steel from 15 mm up. For smaller bores they are extrapolated; for smooth plastic they give
too much loss rather than too little. Tees whose K depends on how the flow splits are in :mod:`hydrokit.laws.tees`.

References
----------
.. [crane] Crane Co., Flow of Fluids through Valves, Fittings, and Pipe, Technical Paper No. 410, 2009, appendix A and
   chapter 2; the length ratios as carried in ``fluids``, those not carried there from memory.
.. [borda] Sudden enlargement after Borda and Carnot, in any textbook: White, F. M., Fluid Mechanics, 7th ed., 2011, sec. 6.9.
.. [blevins] Blevins, R. D., Applied Fluid Dynamics Handbook, 1984: screens, as carried in ``fluids``.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final, Literal, TypeAlias

import numpy as np

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, require, require_word
from hydrokit.errors import RangeError
from hydrokit.laws.elementwise import bore_area, elementwise, plain
from hydrokit.water import STANDARD_GRAVITY

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.bounds import Real

__all__ = [
    "ELBOW_RATIOS",
    "EXIT_K",
    "PROJECTING_ENTRANCE_K",
    "SHARP_ENTRANCE_K",
    "TEE_RATIOS",
    "ElbowShape",
    "TeeWay",
    "bend_k",
    "bore_change_k",
    "contraction_k",
    "coupler_k",
    "crane_friction",
    "elbow_k",
    "expansion_k",
    "hose_tail_k",
    "k_flow",
    "k_head",
    "k_on_bore",
    "mitre_k",
    "ratio_of",
    "require_bore",
    "rounded_entrance_k",
    "screen_k",
    "strainer_k",
    "tee_leg_k",
]

SHARP_ENTRANCE_K: Final = 0.5
"""Square-edged, flush with the wall. Source: [crane]_, appendix A."""
PROJECTING_ENTRANCE_K: Final = 0.78
"""Pipe end standing in the water, as a plain suction hose does. Source: [crane]_, appendix A."""
EXIT_K: Final = 1.0
"""Into still water, whatever the shape: the velocity head is lost. Source: [crane]_, appendix A."""

ElbowShape: TypeAlias = Literal["90", "45", "90 swept", "180"]
TeeWay: TypeAlias = Literal["run", "branch"]

ELBOW_RATIOS: Final[Mapping[str, float]] = {"90": 30.0, "45": 16.0, "90 swept": 14.0, "180": 50.0}
"""Equivalent length in bores: standard elbows, bend of radius 1.5 bores, close return. Source: [crane]_, from memory."""
TEE_RATIOS: Final[Mapping[str, float]] = {"run": 20.0, "branch": 60.0}
"""Equivalent length in bores, each on its own leg's velocity. Source: [crane]_, from memory."""

_SMALLEST_BORE: Final = 1e-4
_LARGEST_BORE: Final = 10.0
_SCREEN_FLOOR: Final = 0.05  # open share below which the screen tables say nothing


@as_annotated
def require_bore(name: str, bore: Real) -> None:
    """Refuse an inside diameter that no conduit has.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    bore : float or array, shape (n,)
        Inside diameter; 0.1 mm to 10 m. [m]

    Raises
    ------
    RangeError
        If any element is outside or not finite.

    Examples
    --------
    >>> require_bore("tail", 0.0095)
    """
    require(name, bore, _SMALLEST_BORE, _LARGEST_BORE, "m")


@as_annotated
def ratio_of(name: str, word: str, ratios: Mapping[str, float]) -> float:
    """Return the equivalent length in bores that is listed under a word.

    Parameters
    ----------
    name : str
        The argument's name, for the message.
    word : str
        Shape, way or pattern.
    ratios : mapping of str to float
        What is listed.

    Returns
    -------
    float
        Length over bore. [-]

    Raises
    ------
    InputError
        If the word is not listed; tells the nearest that is.

    Examples
    --------
    >>> ratio_of("pattern", "ball", {"ball": 3.0})
    3.0
    """
    require_word(name, word, ratios)
    return ratios[word]


@as_annotated
def crane_friction(bore: Real) -> Real:
    """Return Crane's friction factor of complete turbulence, by which the length ratios are multiplied.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter. [m]

    Returns
    -------
    float or array, shape (n,)
        Darcy's, of clean commercial steel pipe; it depends on size alone, not on flow. [-]

    Raises
    ------
    RangeError
        If the bore is not 0.1 mm to 10 m.

    Notes
    -----
    Source: [crane]_, appendix A, as fitted in ``fluids.fittings.ft_Crane``.

    Examples
    --------
    >>> crane_friction(0.1)
    0.01629
    """
    require_bore("bore", bore)
    from fluids.friction import ft_Crane

    return elementwise(ft_Crane, bore)


@as_annotated
def k_on_bore(*, k: Real, bore: Real, other: Real) -> Real:
    """Return the same loss as a K on the velocity in another bore.

    Parameters
    ----------
    k : float or array, shape (n,)
        Loss in velocity heads of ``bore``. [-]
    bore, other : float or array, shape (n,)
        Bore that K belongs to, and bore that it shall belong to. [m]

    Returns
    -------
    float or array, shape (n,)
        Loss in velocity heads of ``other``. [-]

    Raises
    ------
    RangeError
        If K is not finite or a bore is impossible.

    Notes
    -----
    Velocity goes with the inverse square of the bore, its head with the inverse fourth power. Common practice.

    Examples
    --------
    >>> k_on_bore(k=1.0, bore=0.0095, other=0.0125)
    2.998
    """
    require("k", k, -1e12, 1e12)
    require_bore("bore", bore)
    require_bore("other", other)
    return plain(k * (np.asarray(other) / bore) ** 4)


@as_annotated
def k_head(*, k: Real, flow: Real, bore: Real) -> Real:
    r"""Return the head lost in a part of known K, :math:`h = K v^2 / 2 g`.

    Parameters
    ----------
    k : float or array, shape (n,)
        On the velocity in the bore. [-]
    flow : float or array, shape (n,)
        Positive or negative; the loss takes its sign. [m^3/s]
    bore : float or array, shape (n,)
        Inside diameter. [m]

    Returns
    -------
    float or array, shape (n,)
        Head of the liquid that flows. [m]

    Raises
    ------
    RangeError
        If K or the flow is not finite or the bore impossible.

    Notes
    -----
    Source: definition of K, [crane]_, chapter 2.

    Examples
    --------
    >>> k_head(k=1.5, flow=8.0 / 60_000, bore=0.0125)
    0.0903
    """
    require("k", k, -1e12, 1e12)
    require("flow", flow, -1e6, 1e6, "m^3/s")
    require_bore("bore", bore)
    speed = np.asarray(flow) / bore_area(bore)
    return plain(k * speed * np.abs(speed) / (2.0 * STANDARD_GRAVITY))


@as_annotated
def k_flow(*, k: Real, head: Real, bore: Real) -> Real:
    """Return the flow at which a part of known K loses a head, the inverse of :func:`k_head`.

    Parameters
    ----------
    k : float or array, shape (n,)
        On the velocity in the bore; above 0. [-]
    head : float or array, shape (n,)
        Positive or negative; the flow takes its sign. [m]
    bore : float or array, shape (n,)
        Inside diameter. [m]

    Returns
    -------
    float or array, shape (n,)
        Flow. [m^3/s]

    Raises
    ------
    RangeError
        If K is not above 0, the head not finite or the bore impossible.

    Notes
    -----
    Source: definition of K, [crane]_, chapter 2.

    Examples
    --------
    >>> k_flow(k=1.5, head=0.0903, bore=0.0125) * 60_000
    8.00
    """
    require("k", k, 1e-12, 1e12)
    require("head", head, -1e6, 1e6, "m")
    require_bore("bore", bore)
    speed = np.sign(head) * np.sqrt(2.0 * STANDARD_GRAVITY * np.abs(head) / np.asarray(k))
    return plain(bore_area(bore) * speed)


@as_annotated
def rounded_entrance_k(*, bore: Real, edge_radius: Real) -> Real:
    """Return K of a flush entrance with a rounded edge.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter behind the entrance. [m]
    edge_radius : float or array, shape (n,)
        Radius of the edge; 0 is sharp, above 0.15 bores nothing more is gained. [m]

    Returns
    -------
    float or array, shape (n,)
        On the bore's velocity. [-]

    Raises
    ------
    RangeError
        If the bore is impossible or the radius negative or above 10 m.

    Notes
    -----
    Source: [crane]_, appendix A, interpolated by ``fluids``.

    Examples
    --------
    >>> rounded_entrance_k(bore=0.019, edge_radius=0.0019)
    0.09
    """
    require_bore("bore", bore)
    require("edge_radius", edge_radius, 0.0, _LARGEST_BORE, "m")
    from fluids.fittings import entrance_rounded

    return elementwise(lambda size, radius: entrance_rounded(size, radius, method="Crane"), bore, edge_radius)


def _convergence(beta2: Real, angle: Real) -> Real:
    half = np.sin(np.asarray(angle) / 2.0)
    return plain(np.where(np.asarray(angle) <= np.pi / 4.0, 0.8 * half, 0.5 * np.sqrt(half)) * (1.0 - beta2))


def _divergence(beta2: Real, angle: Real) -> Real:
    gentle = np.asarray(angle) <= np.pi / 4.0
    return plain(np.where(gentle, 2.6 * np.sin(np.asarray(angle) / 2.0), 1.0) * (1.0 - beta2) ** 2)


def _area_ratio(small: Real, large: Real, angle: Real) -> Real:
    require_bore("small", small)
    require_bore("large", large)
    require("angle", angle, 0.0, np.pi, "rad")
    ratio = np.asarray(small) / large
    if (ratio > 1.0).any():
        mistakes = Mistakes()
        worst = float(np.max(ratio))
        mistakes.add(
            "small", f"a bore {worst:.4g} times the large one", "the smaller of the two bores", "bore_change_k"
        )
        mistakes.settle(RangeError)
    return plain(ratio**2)


@as_annotated
def contraction_k(*, small: Real, large: Real, angle: Real = np.pi) -> Real:
    r"""Return K of a contraction, on the smaller bore.

    .. math:: K = 0.5 \sqrt{\sin(\theta/2)} (1 - \beta^2), \quad
        K = 0.8 \sin(\theta/2) (1 - \beta^2) \;\text{for}\; \theta \le 45°

    Parameters
    ----------
    small, large : float or array, shape (n,)
        Bore after and bore before. [m]
    angle : float or array, shape (n,), default pi
        Whole angle of the cone; pi is sudden. [rad]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the smaller bore. [-]

    Raises
    ------
    RangeError
        If a bore is impossible, ``small`` is larger than ``large``, or the angle is not 0 to pi.

    Notes
    -----
    Source: [crane]_, chapter 2 and appendix A, formulae 1 and 2.

    Examples
    --------
    >>> contraction_k(small=0.0095, large=0.0125)
    0.2112
    """
    return _convergence(_area_ratio(small, large, angle), angle)


@as_annotated
def expansion_k(*, small: Real, large: Real, angle: Real = np.pi) -> Real:
    r"""Return K of an expansion, on the smaller bore.

    .. math:: K = (1 - \beta^2)^2, \quad K = 2.6 \sin(\theta/2) (1 - \beta^2)^2 \;\text{for}\; \theta \le 45°

    Parameters
    ----------
    small, large : float or array, shape (n,)
        Bore before and bore after. [m]
    angle : float or array, shape (n,), default pi
        Whole angle of the cone; pi is sudden, and above 45° a cone is no better. [rad]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the smaller bore. [-]

    Raises
    ------
    RangeError
        If a bore is impossible, ``small`` is larger than ``large``, or the angle is not 0 to pi.

    Notes
    -----
    Sudden: momentum and continuity, no measured constant [borda]_. Cone: [crane]_, formulae 3 and 4.

    Examples
    --------
    >>> expansion_k(small=0.0095, large=0.0125)
    0.1784
    """
    return _divergence(_area_ratio(small, large, angle), angle)


@as_annotated
def bore_change_k(*, before: Real, after: Real) -> Real:
    """Return K of a sudden change of bore in either sense, on the smaller of the two bores.

    Parameters
    ----------
    before, after : float or array, shape (n,)
        Bores in the order in which the water meets them. [m]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the smaller bore; 0 where the bores are equal. [-]

    Raises
    ------
    RangeError
        If a bore is impossible.

    Notes
    -----
    A contraction where the bore narrows, an expansion where it widens: see :func:`contraction_k` and
    :func:`expansion_k`. Source: [crane]_ and [borda]_.

    Examples
    --------
    >>> bore_change_k(before=0.0125, after=0.0095), bore_change_k(before=0.0095, after=0.0125)
    (0.2112, 0.1784)
    """
    require_bore("before", before)
    require_bore("after", after)
    ratio = np.asarray(after) / before
    narrows = ratio < 1.0
    beta2 = np.where(narrows, ratio, 1.0 / ratio) ** 2
    return plain(np.where(narrows, 0.5 * (1.0 - beta2), (1.0 - beta2) ** 2))


@as_annotated
def hose_tail_k(*, hose_before: Real, tail: Real, hose_after: Real) -> Real:
    """Return K of a narrow passage between two hoses: a contraction and a sudden expansion.

    Parameters
    ----------
    hose_before, tail, hose_after : float or array, shape (n,)
        Bores in the order in which the water meets them; the tail is usually the least. [m]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the tail. Friction in its short bore is not included. [-]

    Raises
    ------
    RangeError
        If a bore is impossible.

    Notes
    -----
    Sum of the two changes, each brought to the tail's bore; so a tail wider than a hose is told rightly too. That the
    jet has spread before the next change is an assumption on the safe side. Source: [crane]_ and [borda]_.

    Examples
    --------
    >>> hose_tail_k(hose_before=0.0125, tail=0.0095, hose_after=0.0125)
    0.3896
    """
    require_bore("hose_before", hose_before)
    require_bore("tail", tail)
    require_bore("hose_after", hose_after)
    into = bore_change_k(before=hose_before, after=tail)
    out = bore_change_k(before=tail, after=hose_after)
    return plain(into * (tail / np.minimum(hose_before, tail)) ** 4 + out * (tail / np.minimum(tail, hose_after)) ** 4)


@as_annotated
def coupler_k(*, hose_before: Real, passage: Real, hose_after: Real, valve_k: Real = 0.0) -> Real:
    """Return K of a push-together coupling between two hoses.

    Parameters
    ----------
    hose_before, passage, hose_after : float or array, shape (n,)
        Bores in the order in which the water meets them. [m]
    valve_k : float or array, shape (n,), default 0
        Of the valve inside it, on the passage; by :func:`hydrokit.laws.valves.k_from_kv` from the seller's Kv. [-]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the passage. [-]

    Raises
    ------
    RangeError
        If a bore is impossible or the valve's K negative.

    Notes
    -----
    A coupling without a valve is a hose tail by another name. Source: [crane]_ and [borda]_, as :func:`hose_tail_k`.

    Examples
    --------
    >>> coupler_k(hose_before=0.0125, passage=0.0095, hose_after=0.0125, valve_k=4.0)
    4.3896
    """
    require("valve_k", valve_k, 0.0, 1e12)
    require_bore("passage", passage)
    return hose_tail_k(hose_before=hose_before, tail=passage, hose_after=hose_after) + valve_k


@as_annotated
def elbow_k(*, bore: Real, shape: ElbowShape = "90") -> Real:
    """Return K of an elbow.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter. [m]
    shape : {"90", "45", "90 swept", "180"}, default "90"
        Turn in degrees; swept has a radius of 1.5 bores at the axis.

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. [-]

    Raises
    ------
    RangeError
        If the bore is impossible.
    InputError
        If the shape is not listed.

    Notes
    -----
    Source: [crane]_, appendix A: :data:`ELBOW_RATIOS` times :func:`crane_friction`.

    Examples
    --------
    >>> elbow_k(bore=0.019)
    0.73
    """
    return ratio_of("shape", shape, ELBOW_RATIOS) * crane_friction(bore)


@as_annotated
def bend_k(*, bore: Real, radius: Real, angle: Real = np.pi / 2.0) -> Real:
    """Return K of a smooth bend, its own length included.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter. [m]
    radius : float or array, shape (n,)
        At the axis; 1 to 20 bores. [m]
    angle : float or array, shape (n,), default pi / 2
        Turn; 15° to two whole turns. [rad]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. [-]

    Raises
    ------
    RangeError
        If a value is outside what Crane's table covers, beyond which ``fluids`` would silently take its last entry.

    Notes
    -----
    Source: [crane]_, appendix A, as fitted in ``fluids``. Below a right angle the rule for several bends is read
    backwards, which runs a little high.

    Examples
    --------
    >>> bend_k(bore=0.1, radius=0.3)
    0.1974
    """
    require_bore("bore", bore)
    require("radius / bore", plain(np.asarray(radius) / bore), 1.0, 20.0)
    require("angle", angle, np.pi / 12.0, 4.0 * np.pi, "rad")
    from fluids.fittings import bend_rounded_Crane

    return elementwise(bend_rounded_Crane, bore, plain(np.rad2deg(angle)), radius)


@as_annotated
def mitre_k(*, bore: Real, angle: Real) -> Real:
    """Return K of a mitre bend.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter. [m]
    angle : float or array, shape (n,)
        Turn; 0 to a right angle. [rad]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. [-]

    Raises
    ------
    RangeError
        If the bore is impossible or the angle outside.

    Notes
    -----
    Source: [crane]_, appendix A, interpolated by ``fluids``.

    Examples
    --------
    >>> mitre_k(bore=0.019, angle=np.pi / 2.0)
    1.46
    """
    require_bore("bore", bore)
    require("angle", angle, 0.0, np.pi / 2.0, "rad")
    from fluids.fittings import bend_miter

    return elementwise(
        lambda degrees, size: bend_miter(degrees, Di=size, method="Crane"), plain(np.rad2deg(angle)), bore
    )


@as_annotated
def tee_leg_k(*, bore: Real, way: TeeWay = "branch") -> Real:
    """Return a constant K for a tee, on the velocity of the leg itself.

    Parameters
    ----------
    bore : float or array, shape (n,)
        Inside diameter of the leg. [m]
    way : {"run", "branch"}, default "branch"
        Straight through, or turning into or out of the branch.

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the leg. [-]

    Raises
    ------
    RangeError
        If the bore is impossible.
    InputError
        If the way is not listed.

    Notes
    -----
    Source: [crane]_, appendix A, standard tees: :data:`TEE_RATIOS` times :func:`crane_friction`. For a K that
    knows how the flow splits see :func:`hydrokit.laws.tees.tee_k`.

    Examples
    --------
    >>> tee_leg_k(bore=0.0125)
    1.6
    """
    return ratio_of("way", way, TEE_RATIOS) * crane_friction(bore)


@as_annotated
def strainer_k(*, k: Real, blockage: Real = 0.0) -> Real:
    r"""Return K of a strainer with part of its open area blocked.

    .. math:: K = K_{clean} / (1 - b)^2

    Parameters
    ----------
    k : float or array, shape (n,)
        Clean, on the strainer's stated bore. [-]
    blockage : float or array, shape (n,), default 0
        Share of the open area that is blocked; 0 to 0.999. [-]

    Returns
    -------
    float or array, shape (n,)
        On the same bore. [-]

    Raises
    ------
    RangeError
        If K is negative or the blockage outside.

    Notes
    -----
    The same flow passes the openings that are left, 1/(1 - b) times as fast. The jets behind them lose their kinetic
    energy, which goes with the square of their speed. The whole K is taken to be that of the screen. Common practice, no source.

    Examples
    --------
    >>> strainer_k(k=2.0, blockage=0.5)
    8.0
    """
    require("k", k, 0.0, 1e12)
    require("blockage", blockage, 0.0, 0.999)
    return k / (1.0 - blockage) ** 2


@as_annotated
def screen_k(
    *, open_fraction: Real, screen_area: Real, bore: Real, blockage: Real = 0.0, gap_reynolds: Real | None = None
) -> Real:
    r"""Return K of a flat or basket screen, brought to the bore behind it.

    .. math:: K = K_{screen}(\alpha (1 - b)) \, (A_{bore} / A_{screen})^2

    Parameters
    ----------
    open_fraction : float or array, shape (n,)
        Share of the clean screen that is holes. [-]
    screen_area : float or array, shape (n,)
        Whole face of the screen, holes and wire. [m^2]
    bore : float or array, shape (n,)
        Inside diameter behind it. [m]
    blockage : float or array, shape (n,), default 0
        Share of the holes that is blocked. [-]
    gap_reynolds : float or array, shape (n,), optional
        Reynolds number of the gap between round wires. Not given: perforated plate or bars with square edges. [-]

    Returns
    -------
    float or array, shape (n,)
        On the velocity in the bore. [-]

    Raises
    ------
    RangeError
        If less than 5 % of the face is left open, where the tables end, or a value is impossible.

    Notes
    -----
    Source: [blevins]_ through ``fluids.filters``; the tables are on the velocity before the screen.

    Examples
    --------
    A perforated cap as wide as the hose, half of it holes:

    >>> screen_k(open_fraction=0.5, screen_area=2.835e-4, bore=0.019)
    3.80
    """
    require("open_fraction", open_fraction, _SCREEN_FLOOR, 1.0)
    require("blockage", blockage, 0.0, 0.999)
    require("screen_area", screen_area, 1e-8, 1e3, "m^2")
    require_bore("bore", bore)
    left = plain(np.asarray(open_fraction) * (1.0 - np.asarray(blockage)))
    require("open_fraction less blockage", left, _SCREEN_FLOOR, 1.0)
    from fluids.filters import round_edge_screen, square_edge_screen

    if gap_reynolds is None:
        face_k = elementwise(square_edge_screen, left)
    else:
        require("gap_reynolds", gap_reynolds, 0.0, 1e9)
        face_k = elementwise(round_edge_screen, left, gap_reynolds)
    return plain(face_k * (np.asarray(bore_area(bore)) / screen_area) ** 2)
