"""How high a pump may stand above this water, here and today: the same question as a lift, without a rig file.

A rig of one line is made of what is stated: water, suction hose, and a displacement pump that moves the flow asked for,
whatever the pressure. Its limits are then searched as those of any rig.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, ClassVar, Final, Literal

import numpy as np

from hydrokit.answers import Answer
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Choice, Dimension, Mistakes, Spec, check_fields
from hydrokit.errors import RangeError
from hydrokit.laws.suction import barometric_limit
from hydrokit.parts import DiaphragmPump, Filter, FootValve, Hose, Outlet, Source, Strainer
from hydrokit.parts.base import BORE, rated_vacuum
from hydrokit.parts.conduits import Material, check_corrugated
from hydrokit.rig import Line, Rig, Site
from hydrokit.rules import judge
from hydrokit.studies.facts.surroundings import Surroundings, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.lifting import lifted
from hydrokit.studies.suction.budgets import Budget, budget_of
from hydrokit.studies.suction.drawn import drawn_water
from hydrokit.studies.suction.lift_limits import FLOW, LiftLimit, limits_of, speaks_of
from hydrokit.studies.suction.shifts import Shift, cases_of, shifts_of

if TYPE_CHECKING:
    from hydrokit.parts import Part
    from hydrokit.studies.suction.drawn import Drawn

__all__ = ["Limit", "limit"]

Valve = Literal["hinged", "poppet"]

_TOP: Final = 1e7
"""Pa; far above what any suction side asks of a pump, so that the flow is what was stated."""
_AGAINST: Final = 2e5
"""Pa; what resists the flow beyond the pump, so that the pump pushes even where it is flooded."""


@dataclass(frozen=True, slots=True, kw_only=True)
class _Asked:
    """What was stated, checked in one go."""

    flow: Annotated[float, Spec(Dimension.FLOW, "to be drawn up", low=1e-9, high=10.0, example='"8 L/min"')]
    bore: Annotated[float, BORE]
    length: Annotated[float, Spec(Dimension.LENGTH, "of the suction hose", low=1e-3, high=1e4, example='"6 m"')]
    altitude: Annotated[
        float, Spec(Dimension.LENGTH, "of the site above the sea", low=-500.0, high=9000.0, example='"140 m"')
    ]
    water_temperature: Annotated[
        float, Spec(Dimension.TEMPERATURE, "of the water", low=273.15, high=372.0, example='"9 °C"')
    ]
    k: Annotated[float | None, Spec(Dimension.NUMBER, "loss of the strainer in velocity heads", low=0.0, high=1e6)] = (
        None
    )
    foot_valve: Annotated[Valve | None, Choice("how the foot valve is built")] = None
    material: Annotated[Material, Choice("sets the wall roughness")] = "smooth plastic"
    friction_multiplier: Annotated[
        float, Spec(Dimension.NUMBER, "loss against a smooth bore; 2 for ribbed or corrugated", low=0.1, high=20.0)
    ] = 1.0
    npsh_required: Annotated[
        float | None, Spec(Dimension.LENGTH, "by the pump at this flow", low=0.0, high=100.0, example='"3 m"')
    ] = None
    dry_lift: Annotated[
        float | None,
        Spec(Dimension.LENGTH, "as stated for the pump, at sea level", low=0.0, high=10.4, example='"2.4 m"'),
    ] = None
    vacuum_rating: Annotated[
        float | None,
        Spec(
            Dimension.VACUUM,
            "deepest that the pump's inlet stands",
            low=0.0,
            high=101_325.0,
            example='"0.45 bar vacuum"',
        ),
    ] = None
    hose_vacuum_rating: Annotated[float | None, rated_vacuum("hose")] = None
    lift: Annotated[
        float | None, Spec(Dimension.LENGTH, "at which the pump is meant to stand", low=-100.0, high=100.0)
    ] = None

    def __post_init__(self) -> None:
        mistakes = Mistakes()
        if self.k is not None and self.foot_valve is not None:
            mistakes.add("k", "both k and foot_valve", "one of the two", "foot_valve alone")
        check_corrugated(mistakes, "friction_multiplier", self.material, self.friction_multiplier)
        try:
            check_fields(self)
        except RangeError as error:
            mistakes.extend(error)
        mistakes.settle()


@dataclass(frozen=True, kw_only=True, repr=False)
class Limit(Answer):
    """How high a pump may stand above the water.

    Parameters
    ----------
    greatest_lift : float or None
        At which the limit that ``governs`` gives way; None where nothing holds. [m]
    air_limit : float
        That no pump passes: the height of the column that the air holds up over vapour. [m]
    lift : float or None
        At which the pump is meant to stand, if stated; the findings judge it. [m]
    limits : tuple of LiftLimit
        Each limit with the lift at which it gives way.
    budget : Budget or None
        At ``lift`` where stated, else at the greatest lift.
    shifts : tuple of Shift
        The first is as stated; in each other one thing is varied.
    """

    question: ClassVar[str] = "limit"
    table: ClassVar[str] = "limits"

    flow: Annotated[float, Spec(Dimension.FLOW, "drawn up")]
    bore: Annotated[float, Spec(Dimension.LENGTH, "of the suction hose")]
    length: Annotated[float, Spec(Dimension.LENGTH, "of the suction hose")]
    lift: Annotated[float | None, Spec(Dimension.LENGTH, "at which the pump is meant to stand")]
    greatest_lift: Annotated[float | None, Spec(Dimension.LENGTH, "of the pump above the water")]
    governs: str
    air_limit: Annotated[float, Spec(Dimension.LENGTH, "that no pump passes")]
    limits: tuple[LiftLimit, ...]
    budget: Budget | None
    shifts: tuple[Shift, ...]
    surroundings: Surroundings
    kinds: tuple[str, ...]


def _rig(asked: _Asked) -> Rig:
    height = 0.0 if asked.lift is None else asked.lift
    entry: tuple[Part, ...] = ()
    if asked.foot_valve is not None:
        entry = (FootValve(bore=asked.bore, pattern=asked.foot_valve),)
    elif asked.k is not None:
        entry = (Strainer(bore=asked.bore, k=asked.k),)
    needed = asked.npsh_required
    pump = DiaphragmPump(
        name="pump",
        height=height,
        points=((0.0, 2.0 * _TOP), (asked.flow, _TOP), (asked.flow, 0.0)),
        npsh_required=None if needed is None else ((0.0, needed), (2.0 * asked.flow, needed)),
        dry_lift=asked.dry_lift,
        vacuum_rating=asked.vacuum_rating,
    )
    hose = Hose(
        name="hose",
        bore=asked.bore,
        length=asked.length,
        material=asked.material,
        friction_multiplier=asked.friction_multiplier,
        vacuum_rating=asked.hose_vacuum_rating,
    )
    beyond = Filter(name="beyond", points=((asked.flow, _AGAINST),))
    return Rig(
        title="A pump above water",
        site=Site(altitude=asked.altitude, water_temperature=asked.water_temperature),
        sources={"water": Source(surface=0.0)},
        outlets={"let-go": Outlet(height=height)},
        lines={"suction": Line(start="water", end="let-go", parts=(*entry, hose, pump, beyond))},
    )


def _at(drawn: Drawn, lift: float) -> Budget | None:
    return budget_of(drawn, drawn.solved({}, np.zeros(1, np.intp), np.array([drawn.pump_height - lift])))


def _assumed(asked: _Asked, limits: tuple[LiftLimit, ...]) -> tuple[str, ...]:
    told = []
    if asked.k is None and asked.foot_valve is None:
        told.append("a bare hose end lies in the water, with neither strainer nor foot valve")
    told += [
        f"{each.limit} limits nothing, as what it takes is not stated" for each in limits if each.reach == "not known"
    ]
    return tuple(told)


@as_annotated
def limit(  # noqa: PLR0913  each is a figure that a builder reads off something else
    *,
    flow: float,
    bore: float,
    length: float,
    altitude: float = 0.0,
    water_temperature: float = 288.15,
    k: float | None = None,
    foot_valve: Valve | None = None,
    material: Material = "smooth plastic",
    friction_multiplier: float = 1.0,
    npsh_required: float | None = None,
    dry_lift: float | None = None,
    vacuum_rating: float | None = None,
    hose_vacuum_rating: float | None = None,
    lift: float | None = None,
    system: Literal["metric", "US", "imperial"] = "metric",
) -> Limit:
    """Return how high a pump may stand above water, here and today, and what limits it.

    Parameters
    ----------
    flow : float
        To be drawn up. [m^3/s]
    bore, length : float
        Of the suction hose. [m]
    altitude : float
        Of the site above the sea. [m]
    water_temperature : float
        15 °C where not stated. [K]
    k : float, optional
        Loss of a strainer at the hose end, in velocity heads of the hose.
    foot_valve : {"hinged", "poppet"}, optional
        A foot valve at the hose end instead; it keeps a hose that was once filled full.
    material : str
        Of the hose; sets its roughness.
    friction_multiplier : float
        Loss against that of a smooth bore; 2 is common for ribbed or corrugated hose.
    npsh_required : float, optional
        By the pump at this flow. [m]
    dry_lift : float, optional
        As stated for the pump, at sea level and 20 °C. [m]
    vacuum_rating : float, optional
        Deepest vacuum that the pump's inlet is rated for. [Pa]
    hose_vacuum_rating : float, optional
        Deepest vacuum that the hose is rated for. [Pa]
    lift : float, optional
        At which the pump is meant to stand; then the findings judge it. [m]
    system : {"metric", "US", "imperial"}
        In whose units what is varied is round.

    Returns
    -------
    Limit

    Raises
    ------
    InputError
        If a value is not possible, or both k and a foot valve are stated; every mistake at once.

    Examples
    --------
    >>> answer = limit(flow=8 / 60_000, bore=0.019, length=6.0, altitude=1500.0, water_temperature=285.15, dry_lift=2.4)
    >>> answer.greatest_lift, answer.governs
    (2.02, 'pump primes')
    """
    asked = _Asked(
        flow=flow, bore=bore, length=length, altitude=altitude, water_temperature=water_temperature, k=k,
        foot_valve=foot_valve, material=material, friction_multiplier=friction_multiplier, npsh_required=npsh_required, dry_lift=dry_lift,
        vacuum_rating=vacuum_rating, hose_vacuum_rating=hose_vacuum_rating, lift=lift,
    )  # fmt: skip
    drawn = drawn_water(_rig(asked))
    state = drawn.state
    found, shifts = shifts_of(drawn, cases_of(drawn, system, pump_moves=False), None, lifted)
    limits = tuple(each for each in limits_of(drawn, found) if each.limit != FLOW)
    governs, greatest = found.governing(0)
    findings = () if lift is None else tuple(item for item in judge(state) if speaks_of(drawn, item))
    spot = greatest if lift is None else lift
    air = state.conditions
    return Limit(
        title=drawn.rig.title,
        mode=drawn.mode,
        findings=findings,
        trust=replace(
            trust_of(state.solution, findings), assumed=_assumed(asked, limits)
        ),  # of what is beyond the pump nothing is assumed, as nothing depends on it
        flow=flow,
        bore=bore,
        length=length,
        lift=lift,
        greatest_lift=greatest,
        governs=governs,
        air_limit=float(
            barometric_limit(air_pressure=air.air_pressure, vapour_pressure=air.vapour_pressure, density=air.density)
        ),
        limits=limits,
        budget=None if spot is None else _at(drawn, spot),
        shifts=shifts,
        surroundings=surroundings_of(state.solution),
        kinds=("source", "diaphragm pump"),
    )
