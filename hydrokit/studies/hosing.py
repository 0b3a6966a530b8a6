"""One hose: of flow, bore and drop give two, and get the third.

The hose lies level. It is solved by the same network as any rig: between open water and a joint where the flow is taken
out, or between two heads where the drop is given. Drop is the pressure lost between its ends, its tails included.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, ClassVar, Final

import numpy as np

from hydrokit.answers import Answer
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Choice, Dimension, Mistakes, Spec, check_fields
from hydrokit.catalogue import hose_bores
from hydrokit.catalogue.bores import Series  # noqa: TC001  read at run time: it is a word, not a class
from hydrokit.errors import InputError, Mistake, RangeError
from hydrokit.laws.friction import LAMINAR_END, TURBULENT_START, friction_factor, reynolds, velocity
from hydrokit.laws.suction import hose_volume
from hydrokit.network import solve
from hydrokit.parts import ROUGHNESS, Hose, HoseTail, Joint, Source
from hydrokit.parts.base import BORE, HIGHEST_PRESSURE
from hydrokit.parts.conduits import Material, check_corrugated, wall_roughness
from hydrokit.rig import Line, Rig, Site
from hydrokit.studies.facts.surroundings import Surroundings, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.variants.searching import last_held
from hydrokit.units import show

if TYPE_CHECKING:
    import numpy.typing as npt

    from hydrokit.bounds import Array
    from hydrokit.network import Solution

__all__ = ["BoreRow", "Hosing", "hose"]

_TITLE: Final = "One hose"
_BORE: Final = "lines.line.hose.bore"
_FLOW: Final = Spec(Dimension.FLOW, "through the hose", low=1e-12, high=100.0, example='"8 L/min"')
_DROP: Final = Spec(Dimension.PRESSURE_DROP, "between its ends", low=1e-6, high=1e9, example='"10 kPa"')
_NARROWEST: Final = 1e-4
_WIDEST: Final = 10.0
_GRID: Final = 129
_CLOSE: Final = 1e-13
"""Of the bore, how closely it is found."""
_SAME: Final = 1e-6
_ROUGHEST: Final = 0.1
"""Height of roughness over bore beyond which no friction factor is published."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What was stated, checked in one go."""

    length: Annotated[float, Spec(Dimension.LENGTH, "along the hose", low=1e-6, high=1e6, example='"6 m"')]
    flow: Annotated[float | None, _FLOW] = None
    bore: Annotated[float | None, BORE] = None
    drop: Annotated[float | None, _DROP] = None
    water_temperature: Annotated[
        float, Spec(Dimension.TEMPERATURE, "of the water", low=273.15, high=372.0, example='"9 °C"')
    ] = 288.15
    density: Annotated[
        float | None, Spec(Dimension.DENSITY, "of the liquid, where it is not water", low=1.0, high=2e4)
    ] = None
    viscosity: Annotated[
        float | None, Spec(Dimension.VISCOSITY, "of the liquid, where it is not water", low=1e-6, high=1e3)
    ] = None
    material: Annotated[Material, Choice("sets the wall roughness where none is stated")] = "smooth plastic"
    roughness: Annotated[float | None, Spec(Dimension.LENGTH, "height of wall roughness", low=0.0, high=0.1)] = None
    friction_multiplier: Annotated[
        float, Spec(Dimension.NUMBER, "loss against that of a smooth bore", low=0.1, high=20.0)
    ] = 1.0
    tail_bore: Annotated[float | None, BORE] = None

    def __post_init__(self) -> None:
        mistakes = Mistakes()
        stated = [name for name in ("flow", "bore", "drop") if getattr(self, name) is not None]
        if len(stated) != 2:
            found = " and ".join(stated) if len(stated) < 3 else "all three"
            mistakes.add("flow, bore, drop", found or "none of them", "exactly two of them; the third is the answer")
        try:
            check_fields(self)
        except RangeError as error:
            mistakes.extend(error)
        self._check_wall(mistakes)
        mistakes.settle()

    def _check_wall(self, mistakes: Mistakes) -> None:
        wall = self.roughness if self.material not in ROUGHNESS else self.wall_roughness
        if self.bore is not None and wall is not None and wall > _ROUGHEST * self.bore:
            mistakes.add("roughness", f"{wall:g} m", f"at most {_ROUGHEST:g} of the bore")
        if self.roughness is None:
            check_corrugated(mistakes, "friction_multiplier", self.material, self.friction_multiplier)

    @property
    def wall_roughness(self) -> float:
        """Height of wall roughness, m."""
        return wall_roughness(self.material, self.roughness)


@dataclass(frozen=True, slots=True, kw_only=True)
class BoreRow:
    """What a standard bore would do: what it drops at the flow, and what it carries at the drop."""

    label: str
    bore: Annotated[float, Spec(Dimension.LENGTH, "inside, a trade size taken at its word")]
    drop: Annotated[float, Spec(Dimension.PRESSURE_DROP, "at the flow of the answer")]
    velocity: Annotated[float, Spec(Dimension.VELOCITY, "at the flow of the answer")]
    flow: Annotated[float, Spec(Dimension.FLOW, "at the drop of the answer")]
    is_answer: bool


@dataclass(frozen=True, kw_only=True, repr=False)
class Hosing(Answer):
    """Flow, bore and drop of one hose.

    Parameters
    ----------
    found : str
        Which of ``flow``, ``bore`` and ``drop`` was worked out.
    head : float
        The drop in metres of the liquid. [m]
    tails_drop : float
        The share of the drop that tails and changes of bore take; 0 without tails. [Pa]
    friction_factor : float
        Darcy's, times the multiplier of a ribbed hose. [-]
    range : str
        ``laminar``, ``turbulent``, or ``between``, where no source gives a dependable figure.
    volume : float
        Of the liquid in the hose. [m^3]
    bores : tuple of BoreRow
        The hose itself, and the nearest standard bores on either side.
    """

    question: ClassVar[str] = "hose"
    table: ClassVar[str] = "bores"

    found: str
    flow: Annotated[float, Spec(Dimension.FLOW, "through the hose")]
    bore: Annotated[float, Spec(Dimension.LENGTH, "inside the hose")]
    drop: Annotated[float, Spec(Dimension.PRESSURE_DROP, "between its ends")]
    length: Annotated[float, Spec(Dimension.LENGTH, "along the hose")]
    tail_bore: Annotated[float | None, Spec(Dimension.LENGTH, "of the tails at both ends; none where not stated")]
    head: Annotated[float, Spec(Dimension.LENGTH, "the drop, in metres of the liquid")]
    tails_drop: Annotated[float, Spec(Dimension.PRESSURE_DROP, "in tails and changes of bore")]
    velocity: Annotated[float, Spec(Dimension.VELOCITY, "in the hose")]
    reynolds: Annotated[float, Spec(Dimension.NUMBER, "Reynolds number in the hose")]
    friction_factor: Annotated[float, Spec(Dimension.NUMBER, "Darcy's friction factor in the hose")]
    range: str
    volume: Annotated[float, Spec(Dimension.VOLUME, "of the liquid in the hose")]
    bores: tuple[BoreRow, ...]
    surroundings: Surroundings
    kinds: tuple[str, ...] = ()


def _line(asked: _Asked, end: str, bore: float) -> Line:
    more = asked.friction_multiplier
    own = Hose(name="hose", length=asked.length, bore=bore, roughness=asked.wall_roughness, friction_multiplier=more)
    if asked.tail_bore is None:
        return Line(start="water", end=end, parts=(own,))
    tails = [HoseTail(name=name, bore=asked.tail_bore) for name in ("first", "last")]
    return Line(start="water", end=end, parts=(tails[0], own, tails[1]))


def _assumed(asked: _Asked, found: str) -> tuple[str, ...]:
    told = ["the hose lies straight and level"]
    if asked.tail_bore is None:
        told.append("nothing narrows it: tails and couplers are left out")
    if found == "bore":
        told.append("the bore is the narrowest that will do")
    return tuple(told)


def _site(asked: _Asked) -> Site:
    return Site(water_temperature=asked.water_temperature, density=asked.density, viscosity=asked.viscosity)


def _given_flow(asked: _Asked, flow: float, bores: Array) -> Solution:
    """Solve the hose with a flow taken out at its end, one variant for each bore."""
    rig = Rig(
        title=_TITLE,
        site=_site(asked),
        sources={"water": Source(surface=0.0, entrance_k=0.0)},
        joints={"taken": Joint(height=0.0, demand=flow)},
        lines={"line": _line(asked, "taken", float(bores[0]))},
    )
    return solve(rig, None, {_BORE: bores})


def _given_drop(asked: _Asked, drop: float, bores: Array) -> Solution:
    """Solve the hose between two heads, one variant for each bore."""
    rig = Rig(
        title=_TITLE,
        site=_site(asked),
        sources={
            "water": Source(surface=0.0, pressure=drop, entrance_k=0.0),
            "far": Source(surface=0.0, exit_k=0.0),
        },
        lines={"line": _line(asked, "far", float(bores[0]))},
    )
    return solve(rig, None, {_BORE: bores})


def _dropped(asked: _Asked, flow: float, bores: Array) -> Array:
    """Return the drop of every bore at a flow, Pa."""
    solution = _given_flow(asked, flow, bores)
    return np.asarray(-solution.head("taken") * solution.plan.conditions.weight, np.float64)


def _flowing(asked: _Asked, drop: float, bores: Array) -> Array:
    """Return the flow of every bore at a drop, m³/s."""
    return _given_drop(asked, drop, bores).flow("line")


def _of_log(logs: Array) -> Array:
    return np.clip(np.exp(logs), _NARROWEST, _WIDEST)  # what rounding carries past either end


def _narrowest(asked: _Asked, flow: float, drop: float) -> float:
    """Return the narrowest bore that carries a flow at no more than a drop, m."""
    low = max(_NARROWEST, asked.wall_roughness / _ROUGHEST)
    grid = np.linspace(np.log(low), np.log(_WIDEST), _GRID)
    drops = _dropped(asked, flow, _of_log(grid))
    least = int(drops.argmin())  # beyond it, tails cost more the wider the hose
    found, expected = show(drop, Dimension.PRESSURE_DROP), show(float(drops[least]), Dimension.PRESSURE_DROP, digits=4)
    if drops[least] > drop:
        what = "what its tails alone take" if asked.tail_bore is not None else f"the drop of a bore of {_WIDEST:g} m"
        raise InputError([Mistake("drop", found, f"at least {expected}, {what} at this flow")])
    if drops[0] <= drop:
        most = show(float(drops[0]), Dimension.PRESSURE_DROP, digits=4)
        raise InputError([Mistake("drop", found, f"less than {most}, the drop of the narrowest bore at this flow")])

    def too_much(_: npt.NDArray[np.intp], logs: Array) -> Array:
        return (_dropped(asked, flow, _of_log(logs)) - drop)[:, None]

    edges = last_held(too_much, cases=1, values=grid[: least + 1], tolerance=_CLOSE)
    return float(np.exp(edges.value[0, 0]))


def _solved(asked: _Asked) -> tuple[str, float, float, float]:
    """Return which was worked out, and flow, bore and drop."""
    flow, bore, drop = asked.flow, asked.bore, asked.drop
    if flow is None:
        assert bore is not None
        assert drop is not None
        return "flow", float(_flowing(asked, drop, np.array([bore]))[0]), bore, drop
    if bore is None:
        assert drop is not None
        return "bore", flow, _narrowest(asked, flow, drop), drop
    lost = float(_dropped(asked, flow, np.array([bore]))[0])
    if lost > HIGHEST_PRESSURE:
        found = f"{show(flow, Dimension.FLOW)}, which would drop {show(lost, Dimension.PRESSURE_DROP)}"
        most = show(HIGHEST_PRESSURE, Dimension.PRESSURE_DROP)
        raise InputError(
            [Mistake("flow", found, f"what drops at most {most}: less flow, a wider bore or a shorter hose")]
        )
    return "drop", flow, bore, lost


def _beside(bore: float, series: Series) -> list[tuple[str, float, bool]]:
    """Return label, size and whether it is the answer, of the bore itself and the standard sizes next to it."""
    sizes = hose_bores(series)
    own = next((label for label, size in sizes if abs(size - bore) <= _SAME * bore), "this hose")
    below = [(label, size, False) for label, size in sizes if size < bore * (1.0 - _SAME)][-1:]
    above = [(label, size, False) for label, size in sizes if size > bore * (1.0 + _SAME)][:1]
    return [*below, (own, bore, True), *above]


def _rows(asked: _Asked, flow: float, bore: float, drop: float, series: Series) -> tuple[BoreRow, ...]:
    smooth = asked.wall_roughness / _ROUGHEST
    sizes = [each for each in _beside(bore, series) if each[1] >= smooth]
    bores = np.array([size for _, size, _ in sizes])
    drops, flows = _dropped(asked, flow, bores), _flowing(asked, drop, bores)
    return tuple(
        BoreRow(
            label=label,
            bore=size,
            drop=float(drops[row]),
            velocity=float(velocity(flow=flow, bore=size)),
            flow=float(flows[row]),
            is_answer=is_answer,
        )
        for row, (label, size, is_answer) in enumerate(sizes)
    )


def _range(reynolds: float) -> str:
    if reynolds <= LAMINAR_END:
        return "laminar"
    return "turbulent" if reynolds >= TURBULENT_START else "between"


@as_annotated
def hose(  # noqa: PLR0913  each is a figure that a builder reads off something else
    *,
    length: float,
    flow: float | None = None,
    bore: float | None = None,
    drop: float | None = None,
    water_temperature: float = 288.15,
    density: float | None = None,
    viscosity: float | None = None,
    material: Material = "smooth plastic",
    roughness: float | None = None,
    friction_multiplier: float = 1.0,
    tail_bore: float | None = None,
    series: Series = "metric",
) -> Hosing:
    """Return flow, bore and drop of one level hose, of which two are given.

    Parameters
    ----------
    length : float
        Along the hose. [m]
    flow : float, optional
        [m^3/s]
    bore : float, optional
        Inside; the answer is the narrowest that will do. [m]
    drop : float, optional
        Pressure lost between its ends, tails included. [Pa]
    water_temperature : float
        15 °C where not stated. [K]
    density, viscosity : float, optional
        Of the liquid, where it is not water. [kg/m^3], [Pa s]
    material : str
        Sets the roughness where none is stated.
    roughness : float, optional
        Height of wall roughness. [m]
    friction_multiplier : float
        Loss against that of a smooth bore; 2 is common for ribbed or corrugated hose.
    tail_bore : float, optional
        Of a hose tail at either end; none where not stated. [m]
    series : {"metric", "inch", "all"}
        Standard bores to compare with.

    Returns
    -------
    Hosing

    Raises
    ------
    InputError
        If not exactly two of flow, bore and drop are given, a value is not possible, or no bore will do.

    Notes
    -----
    One hose at a time, for the answer is a sheet of one: its row of bores, its range of flow, what was assumed. For many
    at once, flows give drops by :func:`hydrokit.laws.friction.head_loss`, whose arguments are arrays that go together, and
    drops give flows by :func:`hydrokit.network.solve` of a rig of one hose; both are what this function uses itself.

    Examples
    --------
    Six metres of 12.5 mm hose at 8 L/min:

    >>> answer = hose(flow=8 / 60_000, bore=0.0125, length=6.0, water_temperature=283.15)
    >>> answer.drop, answer.velocity, answer.reynolds
    (8711., 1.09, 10397.)

    The same of three bores, and of two flows in each of them, shape (2, 3):

    >>> import numpy as np
    >>> from hydrokit.laws.friction import head_loss
    >>> from hydrokit.water import STANDARD_GRAVITY, water
    >>> liquid = water(283.15)
    >>> conditions = dict(length=6.0, kinematic_viscosity=liquid.viscosity / liquid.density, roughness=1.5e-6)
    >>> flows, bores = np.array([[8.0], [16.0]]) / 60_000, np.array([0.0125, 0.016, 0.019])
    >>> head_loss(flow=flows, bore=bores, **conditions) * liquid.density * STANDARD_GRAVITY
    array([[ 8711.,  2702.,  1198.],
           [29348.,  9047.,  3994.]])

    What three lengths of it carry between two vessels 2 m apart in height, losses at its ends left out:

    >>> from hydrokit.network import solve
    >>> from hydrokit.parts import Hose, Source
    >>> from hydrokit.rig import Line, Rig
    >>> ends = {"high": Source(surface=2.0, entrance_k=0.0), "low": Source(surface=0.0, exit_k=0.0)}
    >>> line = Line(start="high", end="low", parts=(Hose(name="hose", bore=0.0125, length=6.0),))
    >>> rig = Rig(sources=ends, lines={"run": line})
    >>> flows = solve(rig, None, {"lines.run.hose.length": np.array([6.0, 12.0, 24.0])}).flow("run")
    >>> (flows * 60_000).tolist()
    [12.97, 8.73, 5.87]
    """
    asked = _Asked(
        length=length, flow=flow, bore=bore, drop=drop, water_temperature=water_temperature, density=density,
        viscosity=viscosity, material=material, roughness=roughness, friction_multiplier=friction_multiplier,
        tail_bore=tail_bore,
    )  # fmt: skip
    found, carried, inside, lost = _solved(asked)
    solution = _given_flow(asked, carried, np.array([inside]))
    conditions = solution.plan.conditions
    weight, viscous = float(conditions.weight), float(conditions.kinematic_viscosity)
    number = float(reynolds(flow=carried, bore=inside, kinematic_viscosity=viscous))
    own = next(index for index, element in enumerate(solution.plan.elements) if element.kind == Hose.kind)
    return Hosing(
        title=_TITLE,
        mode=solution.plan.mode,
        findings=(),
        trust=trust_of(solution, also=_assumed(asked, found)),
        found=found,
        flow=carried,
        bore=inside,
        drop=lost,
        length=length,
        tail_bore=tail_bore,
        head=lost / weight,
        tails_drop=max(lost - float(solution.walk.loss[0, own]) * weight, 0.0) if tail_bore is not None else 0.0,
        velocity=float(velocity(flow=carried, bore=inside)),
        reynolds=number,
        friction_factor=friction_multiplier
        * float(friction_factor(reynolds=number, relative_roughness=asked.wall_roughness / inside)),
        range=_range(number),
        volume=float(hose_volume(bore=inside, length=length)),
        bores=_rows(asked, carried, inside, lost, series),
        surroundings=surroundings_of(solution),
    )
