"""What each barrier and each chlorinated tank is credited with, and which stated condition strikes a credit out.

A claim counts only while every stated condition of it is met, at the moment of the highest flow. A condition that cannot
be judged counts as not met, and what rests on it is then not known. A micron rating is no credit.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.laws.disinfection import chlorine_credit, contact_time
from hydrokit.laws.ultraviolet import dose_credit
from hydrokit.network.ends import tank_level
from hydrokit.parts import Filter, Lamp

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.network import Element
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = [
    "Condition",
    "Credit",
    "barrier_credit",
    "chlorinated",
    "claims",
    "tank_credit",
]

_CLAIMS: Final = ("bacteria_logs", "virus_logs", "protozoa_logs")
"""Fields in which a barrier states what it claims, in the order of the classes of germs."""

_CHLORINE_TURBIDITY: Final = 5.0
"""Cloudiest water for which a chlorine contact is credited, NTU. Source: WHO/FWC/WSH/17.01, review of turbidity (from
memory): below 1 is aimed at, up to 5 is tolerable."""

_UNBAFFLED: Final = 0.1
"""Baffling factor of a plain tank that water flows through. Source: EPA 815-R-20-003."""
_HAIR: Final = 1e-9


@dataclass(frozen=True, slots=True)
class Condition:
    """One condition of a credit: what is said where it is not met, and where it is met, shape (n,).

    ``met`` is None where it cannot be judged, because something is not stated.
    """

    said: str
    met: Mask | None


@dataclass(frozen=True, slots=True)
class Credit:
    """Claimed log reductions, shape (n, 3), by the classes of germs, and their conditions; NaN where nothing is claimed."""

    place: str
    claimed: Array
    conditions: tuple[Condition, ...] = field(default=())

    @property
    def counted(self) -> Array:
        """The log reductions that count, shape (n, 3): those claimed while every condition is met, else 0."""
        met = np.ones(len(self.claimed), np.bool_)
        for condition in self.conditions:
            met &= False if condition.met is None else condition.met
        return np.where(met[:, None], np.nan_to_num(self.claimed), 0.0)

    @property
    def unknown(self) -> Mask:
        """Where more might count if more were stated, shape (n, 3)."""
        broken = np.zeros(len(self.claimed), np.bool_)
        for condition in self.conditions:
            if condition.met is not None:
                broken |= ~condition.met
        open_question = any(condition.met is None for condition in self.conditions)
        return (np.isnan(self.claimed) | open_question) & ~broken[:, None]

    def struck_by(self, row: int) -> Iterator[str]:
        """Yield why a credit does not count in a row."""
        for condition in self.conditions:
            if condition.met is None or not condition.met[row]:
                yield condition.said


def claims(part: Any) -> bool:
    """Return whether a barrier claims anything."""
    return any(getattr(part, name) is not None for name in _CLAIMS) or getattr(part, "rated_dose", None) is not None


def chlorinated(state: State, name: str) -> bool:
    """Return whether chlorine is put into a tank, in any variant."""
    of, tank = state.plan.values.of, state.rig.tanks[name]
    stated = (of(f"tanks.{name}", tank, field) for field in ("chlorine_dose", "chlorine_residual"))
    return any(value is not None and np.any(value > 0.0) for value in stated)


def _at_most(state: State, said: str, value: Any, limit: Any, unstated: str = "") -> Iterator[Condition]:
    """Yield the condition that a value is at most its limit; nothing where no limit is stated."""
    if limit is None:
        return
    if value is None or np.isnan(value).all():
        yield Condition(f"{unstated} is not stated", None)
    else:
        yield Condition(said, np.asarray(state.full(value) <= state.full(limit) + _HAIR * np.abs(limit)))


def _at_least(state: State, said: str, value: Any, limit: Any, unstated: str) -> Iterator[Condition]:
    """Yield the condition that a value is at least its limit; nothing where no limit is stated."""
    yield from _at_most(state, said, None if value is None else -value, None if limit is None else -limit, unstated)


def rated_flow(state: State, element: Element) -> Any:
    """Return the flow that a barrier is rated for, all side by side together; None where it is not stated."""
    rating = state.of(element, "rated_flow")
    if rating is None:
        return None
    return rating * (state.of(element, "side_by_side") if isinstance(element.part, Filter) else 1.0)


def media_contact(state: State, element: Element, flow: Array) -> Array | None:
    """Return how long water stays in the medium of a filter, s; None where its volume is not stated."""
    volume = state.of(element, "medium_volume")
    if volume is None:
        return None
    return state.full(volume * state.of(element, "side_by_side") / np.maximum(np.abs(flow), 1e-12))


def _claimed(state: State, element: Element) -> Array:
    """Return what a barrier claims, shape (n, 3); a lamp no more than the table allows for its dose."""
    stated = [state.of(element, name) for name in _CLAIMS]
    claimed = np.stack([state.full(np.nan if each is None else each) for each in stated], axis=1)
    dose = state.of(element, "rated_dose") if isinstance(element.part, Lamp) else None
    if dose is None:
        return claimed
    virus, giardia, crypto = (
        np.asarray(dose_credit(organism=name, dose=dose), np.float64)
        for name in ("virus", "giardia", "cryptosporidium")
    )
    # there is no table for bacteria, which a lamp reaches more easily than viruses
    tabled = np.stack([state.full(each) for each in (virus, virus, np.minimum(giardia, crypto))], axis=1)
    tabled[:, 0] = np.where(np.isnan(claimed[:, 0]), tabled[:, 0], np.inf)
    return np.fmin(claimed, tabled)


def barrier_credit(state: State, index: int, turbidity: Array) -> Credit:
    """Return the credit of a barrier, given the cloudiness of the water that reaches it, NTU, shape (n,)."""
    element, flow = state.plan.elements[index], state.flow_at(index)
    greatest = state.of(element, "greatest_turbidity")
    own = _filter_conditions if isinstance(element.part, Filter) else _lamp_conditions
    found = (
        *_at_most(state, "it passes more than it is rated for", np.abs(flow), rated_flow(state, element)),
        *_at_most(
            state, "the water is cloudier than it is rated for", turbidity, greatest, "the turbidity of the site"
        ),
        Condition("water runs through it backward", np.asarray(flow >= -_HAIR)),
        *own(state, element, flow),
    )
    return Credit(element.address, _claimed(state, element), found)


def _filter_conditions(state: State, element: Element, flow: Array) -> Iterator[Condition]:
    yield from _at_most(state, "it is past its end drop", state.of(element, "loading"), 1.0)
    wanted, stays = state.of(element, "contact_time"), media_contact(state, element, flow)
    yield from _at_least(state, "the water stays too briefly in it", stays, wanted, "its medium_volume")


def _lamp_conditions(state: State, element: Element, _flow: Array) -> Iterator[Condition]:
    clear, least = (
        state.plan.values.of("site", state.rig.site, "transmittance"),
        state.of(element, "rated_transmittance"),
    )
    said = "the water is less clear than it is rated for"
    yield from _at_least(state, said, clear, least, "the transmittance of the site")
    yield from _at_most(state, "it is past its life", state.of(element, "age"), state.of(element, "life"))


def _residual(state: State, of: Any) -> Any:
    """Return the chlorine left at the end; None where neither it nor dose and demand are stated."""
    left = of("chlorine_residual")
    if left is not None:
        return left
    dose, demand = of("chlorine_dose"), state.plan.values.of("site", state.rig.site, "chlorine_demand")
    return None if dose is None or demand is None else np.maximum(dose - demand, 0.0)


def _wait(state: State, name: str, of: Any, inflow: Array, outflow: Array) -> Any:
    """Return how long the water stays with its chlorine: as stated for a batch, else while it flows through."""
    through = (inflow > 0.0) & (outflow > 0.0)
    stated = of("chlorine_wait")
    if not through.any():
        return stated
    volume = of("volume") * (tank_level(state.rig, name, state.plan.values) / of("depth"))
    time = contact_time(volume=volume, flow=np.maximum(outflow, 1e-12), baffling_factor=_UNBAFFLED)
    return np.where(through, time, 0.0 if stated is None else stated)


def tank_credit(state: State, name: str, turbidity: Array, inflow: Array, outflow: Array) -> Credit:
    """Return the credit of the chlorine in a tank, by the published tables; none against Cryptosporidium.

    ``turbidity`` is that of its water, NTU; ``inflow`` and ``outflow`` are what it gains and gives in this mode, m³/s; all
    of shape (n,).
    """
    tank = state.rig.tanks[name]

    def of(word: str) -> Any:
        return state.plan.values.of(f"tanks.{name}", tank, word)

    site = state.rig.site
    residual, time = _residual(state, of), _wait(state, name, of, inflow, outflow)
    ph = state.plan.values.of("site", site, "ph")
    coldest = state.plan.values.of("site", site, "water_temperature") - 2.0 * state.rig.tolerances.get(
        "site.water_temperature", 0.0
    )  # raised by its tolerance for the highest flow, here the lowest counts
    cloudy = "the water is cloudier than chlorine is credited in"
    conditions = [*_at_most(state, cloudy, turbidity, _CHLORINE_TURBIDITY, "the turbidity of the site")]
    conditions += [
        Condition(f"{word} is not stated", None)
        for word, value in (
            ("its chlorine_residual, or its chlorine_dose with the chlorine_demand of the site,", residual),
            ("its chlorine_wait", time),
            ("ph of the site", ph),
        )
        if value is None
    ]
    logs = np.zeros(state.variants)
    if residual is not None and time is not None and ph is not None:
        logs = state.full(
            chlorine_credit(
                organism="virus",
                chlorine=residual,
                time=time,
                temperature=np.maximum(coldest, 273.15),
                ph=ph,
            )
        )
    claimed = np.stack([logs, logs, np.zeros(state.variants)], axis=1)  # bacteria fall to chlorine before viruses
    return Credit(f"tanks.{name}", claimed, tuple(conditions))
