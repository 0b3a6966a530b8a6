"""How a lift shifts with altitude, water temperature, suction hose and pump, each varied alone."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Annotated, Any, Final

import numpy as np

from hydrokit.bounds import Dimension, Spec
from hydrokit.catalogue.bores import SAME_SIZE, hose_bores, series_of
from hydrokit.rules.priming import PRIMES
from hydrokit.studies.facts.surroundings import surroundings_of
from hydrokit.studies.suction.lift_limits import searched
from hydrokit.water import air_pressure

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping

    from hydrokit.bounds import Array
    from hydrokit.rules import State
    from hydrokit.studies.suction.drawn import Drawn
    from hydrokit.studies.suction.lift_limits import Searched

__all__ = ["Cases", "Shift", "cases_of", "shifts_of"]

_AS_IT_IS: Final = "as it is"
_FOOT: Final = 0.3048
_ALTITUDES: Final = (0.0, 1000.0, 2000.0, 3000.0)
_ALTITUDES_IN_FEET: Final = (0.0, 3000.0 * _FOOT, 6000.0 * _FOOT, 9000.0 * _FOOT)
_TEMPERATURES: Final = (274.15, 283.15, 293.15, 303.15)
_TEMPERATURES_IN_F: Final = tuple(273.15 + (degrees - 32.0) / 1.8 for degrees in (35.0, 50.0, 70.0, 85.0))
_LENGTHS: Final = (0.5, 2.0)
_HALF_METRE: Final = 0.5
_TWO_FEET: Final = 2.0 * _FOOT


@dataclass(frozen=True, slots=True, kw_only=True)
class Shift:
    """The lift with one thing varied; every row says all that was varied in any.

    The bore is None where the suction side has no hose or hoses of several bores, the temperature where the liquid is
    stated by its properties, the greatest lift where nothing limits it or nothing holds.
    """

    varied: str
    altitude: Annotated[float, Spec(Dimension.LENGTH, "of the site")]
    water_temperature: Annotated[float | None, Spec(Dimension.TEMPERATURE, "of the water")]
    suction_bore: Annotated[float | None, Spec(Dimension.LENGTH, "of the suction hose")]
    suction_length: Annotated[float, Spec(Dimension.LENGTH, "of the suction hose")]
    pump_height: Annotated[float, Spec(Dimension.LENGTH, "of the pump's inlet")]
    greatest_lift: Annotated[float | None, Spec(Dimension.LENGTH, "of the pump above the water")]
    deepest_surface: Annotated[float | None, Spec(Dimension.LENGTH, "height of the water then")]
    governs: str
    dry_lift: Annotated[float | None, Spec(Dimension.LENGTH, "up which it draws an empty hose full")]
    flow: Annotated[float, Spec(Dimension.FLOW, "through the pump with the water where it is")]


@dataclass(frozen=True, slots=True)
class Cases:
    """What is varied in each case: a word for it, and the values at addresses, shape (cases,)."""

    varied: tuple[str, ...]
    values: Mapping[str, Array]


def _stated(drawn: Drawn, field: str) -> Any:
    return drawn.state.plan.values.of("site", drawn.rig.site, field)


def _is_water(drawn: Drawn) -> bool:
    return any(_stated(drawn, field) is None for field in ("density", "viscosity", "vapour_pressure"))


def _site_cases(drawn: Drawn, system: str) -> Iterator[tuple[str, dict[str, float]]]:
    for altitude in _ALTITUDES if system == "metric" else _ALTITUDES_IN_FEET:
        changes = {"site.altitude": altitude}
        if _stated(drawn, "air_pressure") is not None:  # as measured here: elsewhere it is that of the altitude
            changes["site.air_pressure"] = float(air_pressure(altitude))
        yield "altitude", changes
    if _is_water(drawn):
        for temperature in _TEMPERATURES_IN_F if system == "US" else _TEMPERATURES:
            yield "water temperature", {"site.water_temperature": temperature}


def _next_bore(bore: float, *, wider: bool) -> float | None:
    sizes = [size for _, size in hose_bores(series_of(bore))]
    if wider:
        return min((size for size in sizes if size > bore * SAME_SIZE), default=None)
    return max((size for size in sizes if size < bore / SAME_SIZE), default=None)


def _hose_cases(drawn: Drawn) -> Iterator[tuple[str, dict[str, float]]]:
    hoses = drawn.hoses()
    bores = {f"{hose}.bore": drawn.value(f"{hose}.bore") or 0.0 for hose in hoses}
    for wider in (False, True):
        changed = {address: _next_bore(bore, wider=wider) for address, bore in bores.items()}
        found = {address: bore for address, bore in changed.items() if bore is not None}
        if found:
            yield "suction bore", found
    lengths = {f"{hose}.length": drawn.value(f"{hose}.length") or 0.0 for hose in hoses}
    for share in _LENGTHS if hoses else ():
        yield "suction length", {address: share * length for address, length in lengths.items()}


def _pump_cases(drawn: Drawn, system: str) -> Iterator[tuple[str, dict[str, float]]]:
    stated = drawn.state.plan.elements[drawn.pump].height
    height = float(np.ravel(np.asarray(stated))[0])
    step = _HALF_METRE if system == "metric" else _TWO_FEET
    for moved in (-step, step):
        yield "pump position", {f"{drawn.address}.height": height + moved}


def _now(drawn: Drawn, address: str) -> float:
    owner, _, field = address.rpartition(".")
    if address == "site.air_pressure":
        return float(np.ravel(drawn.state.conditions.air_pressure)[0])
    value = _stated(drawn, field) if owner == "site" else drawn.value(address)
    return float(np.ravel(np.asarray(value))[0])


def cases_of(drawn: Drawn, system: str, *, pump_moves: bool = True) -> Cases:
    """Return the rig as it is and every case in which one thing differs.

    Parameters
    ----------
    drawn : Drawn
    system : {"metric", "US", "imperial"}
        In whose units what is varied is round.
    pump_moves : bool
        Whether the pump is put lower and higher as well.
    """
    told: list[tuple[str, dict[str, float]]] = [(_AS_IT_IS, {})]
    told += [*_site_cases(drawn, system), *_hose_cases(drawn)]
    told += _pump_cases(drawn, system) if pump_moves else ()
    addresses = {address: _now(drawn, address) for _, changes in told for address in changes}
    values = {
        address: np.array([changes.get(address, now) for _, changes in told]) for address, now in addresses.items()
    }
    return Cases(tuple(word for word, _ in told), values)


def _bore(drawn: Drawn, cases: Cases, case: int) -> float | None:
    hoses = drawn.hoses()
    bores = {float(cases.values[f"{hose}.bore"][case]) for hose in hoses if f"{hose}.bore" in cases.values}
    return bores.pop() if len(bores) == 1 and hoses else None


def _length(drawn: Drawn, cases: Cases, case: int) -> float:
    return float(sum(cases.values[f"{hose}.length"][case] for hose in drawn.hoses()))


def shifts_of(
    drawn: Drawn, cases: Cases, wanted_flow: float | None, lifted: Callable[[Drawn, State], Array]
) -> tuple[Searched, tuple[Shift, ...]]:
    """Return the edges of every limit in every case, and one row for each case.

    Parameters
    ----------
    drawn : Drawn
    cases : Cases
    wanted_flow : float or None
        Through the pump, m³/s.
    lifted : callable
        Returns the flow through the pump that suction allows, shape (n,).
    """
    count = len(cases.varied)
    state = drawn.solved(cases.values, np.arange(count), np.full(count, drawn.surface))
    heights = state.walk.height[:, state.inlet(drawn.pump_in(state))]
    found = searched(drawn, cases.values, heights, wanted_flow)
    flows, rows = lifted(drawn, state), []
    for case, word in enumerate(cases.varied):
        governs, lift = found.governing(case)
        around, dry = surroundings_of(state.solution, case), float(found.lift[PRIMES.name][case])
        rows.append(
            Shift(
                varied=word,
                altitude=around.altitude,
                water_temperature=around.water_temperature if _is_water(drawn) else None,
                suction_bore=_bore(drawn, cases, case),
                suction_length=_length(drawn, cases, case),
                pump_height=float(heights[case]),
                greatest_lift=lift,
                deepest_surface=None if lift is None else float(heights[case]) - lift,
                governs=governs,
                dry_lift=dry if np.isfinite(dry) else None,
                flow=float(flows[case]),
            )
        )
    return found, tuple(rows)
