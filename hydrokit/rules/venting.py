"""What a tank's walls see while it fills: the vent carrying air, the overflow carrying the fill, the vent blocked.

All is judged at the moment of the highest flow, as ratings are.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.venting import AIR_VISCOSITY, FLAT_WALL_LIMIT, overflow_head, vent_drop, vent_pressures
from hydrokit.rules.highest import at_highest_flow
from hydrokit.rules.naming import capital
from hydrokit.rules.resting import heads_at_rest
from hydrokit.rules.rule import Measure, Missing, Rule, margin_below
from hydrokit.water import air_density

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.rule import Mask
    from hydrokit.rules.state import State

__all__ = ["BLOCKED_VENT", "OVERFLOW", "VENT"]

_GAUGE: Final = Dimension.GAUGE_PRESSURE
_SOURCE: Final = (
    "White, Fluid Mechanics, 7th ed., 2011, ch. 6, for the pressure; the tank's rating, else 3 kPa for flat plastic walls"
    " (from memory)"
)

_LEAST_BORE: Final = 1e-4
"""m; anything narrower is no opening."""
_ANY_BORE: Final = 1.0
"""m; stands for a bore in variants that have none, and whose answer is not looked at."""


class _Venting:
    """One tank in a state: its openings as varied, what flows into it, and the pressures that come of it."""

    def __init__(self, state: State, name: str) -> None:
        self.state, self.name, self.address = state, name, f"tanks.{name}"
        self.tank = state.rig.tanks[name]
        self.net = state.full(
            sum(
                (
                    (line.end == name) * state.solution.flow(label) - (line.start == name) * state.solution.flow(label)
                    for number, (label, line) in enumerate(state.rig.lines.items())
                    if not state.closed[number]
                ),
                np.zeros(state.variants),
            )
        )

    def of(self, field: str) -> Any:
        """Return a field of the tank, as varied."""
        return self.state.plan.values.of(self.address, self.tank, field)

    @property
    def inflow(self) -> Array:
        """What the tank gains; 0 while it is drawn from, in m³/s."""
        return np.maximum(self.net, 0.0)

    @property
    def limit(self) -> Array:
        """Gauge pressure that the walls are taken to stand, in Pa."""
        rating = self.of("pressure_rating")
        return self.state.full(FLAT_WALL_LIMIT if rating is None else rating)

    @property
    def full_level(self) -> Array:
        """Height of the water when full, in m."""
        return self.state.full(self.of("floor") + self.of("depth"))

    @property
    def lid(self) -> Array:
        """Height of the lid; the full level where it is not stated, which is the dearer assumption; in m."""
        lid = self.of("lid")
        return self.full_level if lid is None else self.state.full(lid)

    def opening(self, word: str) -> Mask:
        """Return where the tank has a vent or an overflow, shape (n,)."""
        bore = self.of(f"{word}_bore")
        return self.state.full(0.0 if bore is None else bore) >= _LEAST_BORE

    @property
    def overflow_bore(self) -> Array:
        """Bore of the overflow, shape (n,), in m; any at all where there is none."""
        return np.where(self.opening("overflow"), self.of("overflow_bore"), _ANY_BORE)

    @property
    def breathes(self) -> Mask:
        """Where air has a way in and out, shape (n,): the vent, or the overflow where there is no vent."""
        return self.opening("vent") | self.opening("overflow")

    def air_way(self) -> tuple[Array, Array]:
        """Return bore and length of the opening that air takes, shape (n,); any at all where there is none."""
        vented, way = self.opening("vent"), []
        for field in ("bore", "length"):
            vent, overflow = (self.of(f"{word}_{field}") for word in ("vent", "overflow"))
            way.append(np.where(vented, 0.0 if vent is None else vent, 0.0 if overflow is None else overflow))
        return np.where(self.breathes, way[0], _ANY_BORE), way[1]

    @property
    def air_density(self) -> Any:
        """Of the open air here, in kg/m³."""
        return air_density(self.state.plan.values.of("site", self.state.rig.site, "altitude"))

    def air_drop(self, flow: Array, bore: Any, length: Any) -> Array:
        """Return what drives the air through an opening, Pa."""
        drop = vent_drop(flow=flow, bore=bore, length=length, density=self.air_density, viscosity=AIR_VISCOSITY)
        return self.state.full(drop)

    def running_over(self) -> Array:
        """Return the pressure under the lid while all of the fill runs over, Pa: out of the overflow, else the vent."""
        overflows = self.opening("overflow")
        over = self._over_the_overflow() if overflows.any() else 0.0
        return np.where(overflows, over, 0.0 if overflows.all() else self._over_the_vent())

    def _over_the_overflow(self) -> Array:
        mouth = self.of("overflow_height")
        head = overflow_head(
            flow=self.inflow,
            bore=self.overflow_bore,
            length=self.of("overflow_length"),
            kinematic_viscosity=self.state.conditions.kinematic_viscosity,
        )
        over = (self.full_level if mouth is None else mouth) + np.asarray(head) - self.lid
        return np.asarray(np.maximum(over, 0.0) * self.state.weight, np.float64)

    def _over_the_vent(self) -> Array:
        top, conditions = self.of("vent_height"), self.state.conditions
        bore, length = self.air_way()
        seen = vent_pressures(
            flow=self.inflow,
            bore=bore,
            length=length,
            rise=np.maximum((self.lid if top is None else top) - self.lid, 0.0),
            shut_off_gauge=self.shut_off(),
            air_density=self.air_density,
            density=conditions.density,
            viscosity=conditions.viscosity,
        )
        return self.state.full(seen.water)

    def shut_off(self) -> Array:
        """Return the gauge pressure that the fill puts on a closed tank, under its lid, Pa."""
        state = self.state
        heads = [np.full(state.variants, -np.inf)]
        for number, line in enumerate(state.rig.lines.values()):
            if line.end == self.name and not state.closed[number]:
                own = state.own[number]
                last = state.outlet(own[-1]) if own else int(state.plan.stations.begins[number])
                heads.append(heads_at_rest(state)[:, last])
        pressure = (np.max(heads, axis=0) - self.lid) * state.weight
        return np.asarray(np.maximum(pressure, 0.0), np.float64)


def _tanks(state: State) -> Iterator[_Venting]:
    """Yield every tank whose water rises or falls in some variant, at the moment of the highest flow."""
    most = at_highest_flow(state)
    for name in state.rig.tanks:
        venting = _Venting(most, name)
        if not np.all(state.stands_still(venting.net)):
            yield venting


def _measure(venting: _Venting, pressure: Array, applies: Any, word: Callable[..., tuple[Phrase, Phrase]]) -> Measure:
    limit, name = venting.limit, venting.state.named(venting.address)
    return Measure(
        place=venting.address,
        value=pressure,
        limit=limit,
        margin=margin_below(pressure, limit),
        word=partial(word, name, pressure, limit),
        applies=applies,
    )


def _worded(text: str, advice: str, name: str, pressure: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(capital(text.format(name=name)), pressure=(pressure[row], _GAUGE), limit=(limit[row], _GAUGE))
    return said, phrase("" if pressure[row] <= limit[row] else advice)


def _vent(state: State) -> Iterator[Measure | Missing]:
    text = "the air that the water of {name} displaces presses on its walls with {{pressure}}; {{limit}} is the limit."
    for venting in _tanks(state):
        moves, breathes = ~state.stands_still(venting.net), venting.breathes
        if not breathes.all():
            needed = "vent_bore and overflow_bore of the tank"
            yield Missing(place=venting.address, needed=needed, applies=moves & ~breathes)
        pressure = venting.air_drop(np.abs(venting.net), *venting.air_way())
        advice = "Fit a wider or shorter vent, or throttle the fill."
        yield _measure(venting, pressure, moves & breathes, partial(_worded, text, advice))


def _overflow(state: State) -> Iterator[Measure | Missing]:
    text = "when {name} is full and the fill runs on, its lid is pushed up with {{pressure}}; {{limit}} is the limit."
    for venting in _tanks(state):
        fills = venting.breathes & (venting.inflow > 0.0)
        if venting.of("overflow_bore") is None:
            yield Missing(
                place=venting.address, needed="overflow_bore of the tank (0 where it has none)", applies=fills
            )
            continue
        advice = "Fit an overflow, or a wider one, below the lid: a vent is no overflow."
        yield _measure(venting, venting.running_over(), fills, partial(_worded, text, advice))


def _blocked_vent(state: State) -> Iterator[Measure]:
    text = "with its vent blocked, {name} takes up to {{pressure}} on its walls; {{limit}} is the limit."
    advice = (
        "Fit an overflow of its own bore beside the vent: ice, a kink or a nest in the one opening leaves the walls all that"
        " the pump can make."
    )
    for venting in _tanks(state):
        if venting.of("overflow_bore") is None:
            continue
        drop = venting.air_drop(venting.inflow, venting.overflow_bore, venting.of("overflow_length"))
        pressure = np.where(venting.opening("overflow"), drop, venting.shut_off())
        yield _measure(venting, pressure, venting.breathes & (venting.inflow > 0.0), partial(_worded, text, advice))


VENT: Final = Rule(
    name="vent carries the air",
    doc="The air that goes out and in through the vent while a tank fills or is drawn, at the highest flow, leaves its walls"
    " unharmed.",
    formula="pressure that drives the tank's flow as air through the vent <= pressure_rating of the walls, else"
    " what a flat wall is taken to stand",
    dimension=_GAUGE,
    source=_SOURCE,
    measure=_vent,
    needs=("vent_bore and overflow_bore of the tank",),
)

OVERFLOW: Final = Rule(
    name="overflow carries the fill",
    doc="A full tank passes all of the fill, at the highest flow, through its overflow, or through its vent where it has none.",
    formula="ρ g (mouth of the overflow + head that drives the fill through it - lid) <= pressure_rating of the"
    " walls, else what a flat wall is taken to stand",
    dimension=_GAUGE,
    source=_SOURCE,
    measure=_overflow,
    needs=("overflow_bore of the tank (0 where it has none)",),
)

BLOCKED_VENT: Final = Rule(
    name="vent blocked",
    doc="A tank whose vent is blocked is not pressed on by the pump, because it has a second opening.",
    formula="pressure under the lid with the vent shut <= pressure_rating of the walls, else what a flat wall is"
    " taken to stand; without a second opening it is that of the pump at no flow",
    dimension=_GAUGE,
    source=_SOURCE,
    measure=_blocked_vent,
)
