"""What a tank's walls see while it fills: the vent carrying air, the overflow carrying the fill, the vent blocked."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.venting import AIR_VISCOSITY, FLAT_WALL_LIMIT, overflow_head, vent_drop, vent_pressures
from hydrokit.rules.naming import capital
from hydrokit.rules.resting import heads_at_rest
from hydrokit.rules.rule import Measure, Missing, Rule, margin_below
from hydrokit.water import air_density

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["BLOCKED_VENT", "OVERFLOW", "VENT"]

_GAUGE: Final = Dimension.GAUGE_PRESSURE
_SOURCE: Final = (
    "White, Fluid Mechanics, 7th ed., 2011, ch. 6, for the pressure; the tank's rating, else 3 kPa for flat plastic walls"
    " (from memory)"
)

_LEAST_BORE: Final = 1e-4
"""m; anything narrower is no opening."""


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

    @property
    def air_way(self) -> tuple[Any, Any] | None:
        """Bore and length of the opening that air takes: the vent, or the overflow where there is no vent."""
        for word in ("vent", "overflow"):
            bore = self.of(f"{word}_bore")
            if bore is not None and np.all(np.asarray(bore) >= _LEAST_BORE):
                return bore, self.of(f"{word}_length")
        return None

    @property
    def overflows(self) -> bool | None:
        """Whether the tank has an overflow of its own; None where nothing is said of one."""
        bore = self.of("overflow_bore")
        return None if bore is None else bool(np.all(np.asarray(bore) >= _LEAST_BORE))

    def air_drop(self, flow: Array, bore: Any, length: Any) -> Array:
        """Return what drives the air through an opening, Pa."""
        state = self.state
        density = air_density(state.plan.values.of("site", state.rig.site, "altitude"))
        drop = vent_drop(flow=flow, bore=bore, length=length, density=density, viscosity=AIR_VISCOSITY)
        return state.full(drop)

    def running_over(self) -> Array:
        """Return the pressure under the lid while all of the fill runs over, Pa."""
        state, conditions = self.state, self.state.conditions
        if self.overflows:
            mouth = self.of("overflow_height")
            head = overflow_head(
                flow=self.inflow,
                bore=self.of("overflow_bore"),
                length=self.of("overflow_length"),
                kinematic_viscosity=conditions.kinematic_viscosity,
            )
            over = (self.full_level if mouth is None else mouth) + np.asarray(head) - self.lid
            return np.asarray(np.maximum(over, 0.0) * state.weight, np.float64)
        top = self.of("vent_height")
        seen = vent_pressures(
            flow=self.inflow,
            bore=self.of("vent_bore"),
            length=self.of("vent_length"),
            rise=np.maximum((self.lid if top is None else top) - self.lid, 0.0),
            shut_off_gauge=self.shut_off(),
            air_density=1.2,
            density=conditions.density,
            viscosity=conditions.viscosity,
        )
        return state.full(seen.water)

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
    """Yield every tank whose water rises or falls in some variant."""
    for name in state.rig.tanks:
        venting = _Venting(state, name)
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
        way = venting.air_way
        if way is None:
            yield Missing(place=venting.address, needed="vent_bore and overflow_bore of the tank")
            continue
        pressure = venting.air_drop(np.abs(venting.net), *way)
        advice = "Fit a wider or shorter vent, or throttle the fill."
        yield _measure(venting, pressure, ~state.stands_still(venting.net), partial(_worded, text, advice))


def _overflow(state: State) -> Iterator[Measure | Missing]:
    text = "when {name} is full and the fill runs on, its lid is pushed up with {{pressure}}; {{limit}} is the limit."
    for venting in _tanks(state):
        if venting.air_way is None or np.all(venting.inflow <= 0.0):
            continue
        if venting.overflows is None:
            yield Missing(place=venting.address, needed="overflow_bore of the tank (0 where it has none)")
            continue
        advice = "Fit an overflow, or a wider one, below the lid: a vent is no overflow."
        yield _measure(venting, venting.running_over(), venting.inflow > 0.0, partial(_worded, text, advice))


def _blocked_vent(state: State) -> Iterator[Measure]:
    text = "with its vent blocked, {name} takes up to {{pressure}} on its walls; {{limit}} is the limit."
    advice = (
        "Fit an overflow of its own bore beside the vent: ice, a kink or a nest in the one opening leaves the walls all that"
        " the pump can make."
    )
    for venting in _tanks(state):
        if venting.air_way is None or venting.overflows is None or np.all(venting.inflow <= 0.0):
            continue
        if venting.overflows:
            pressure = venting.air_drop(venting.inflow, venting.of("overflow_bore"), venting.of("overflow_length"))
        else:
            pressure = venting.shut_off()
        yield _measure(venting, pressure, venting.inflow > 0.0, partial(_worded, text, advice))


VENT: Final = Rule(
    name="vent carries the air",
    doc="The air that goes out and in through the vent while a tank fills or is drawn leaves its walls unharmed.",
    formula="pressure that drives the tank's flow as air through the vent <= pressure_rating of the walls, else"
    " what a flat wall is taken to stand",
    dimension=_GAUGE,
    source=_SOURCE,
    measure=_vent,
    needs=("vent_bore and overflow_bore of the tank",),
)

OVERFLOW: Final = Rule(
    name="overflow carries the fill",
    doc="A full tank passes all of the fill through its overflow, or through its vent where it has none.",
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
