"""Weight on the vehicle: both supports, the whole mass, the share in front, and water that sways, in every fill."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.statics import slosh_period
from hydrokit.network.ends import brim_depth, tank_level
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, margin_above, margin_below
from hydrokit.rules.weighing import weighed_of

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.parts import Vehicle
    from hydrokit.rules.state import State
    from hydrokit.rules.weighing import Weighing

__all__ = ["FRONT_SHARE", "SLOSH", "SUPPORT_LOAD", "WHOLE_MASS"]

_SWAY_PERIOD: Final = 1.0
"""Of a trailer that sways behind its hitch. [s] About; common practice, no source."""

_NEAR_SWAY: Final = 0.2
"""Share of the sway period within which the slosh of a tank is called near it. Our own choice."""
_PART_FULL: Final = (0.05, 0.95)
"""Shares of the depth between which the surface of a tank is free to sway. Our own choice."""
_ADVICE: Final = (
    "Move the tanks or the load towards the other support, carry less water, or travel empty. Weigh it: the plate on the"
    " vehicle and local road law decide."
)


def _at_worst(values: list[Array], *, greatest: bool) -> tuple[Array, list[int]]:
    """Return the greatest or least over all fills, shape (n,), and which fill it is in each row."""
    rows = np.stack(np.broadcast_arrays(*values), axis=0)
    which = rows.argmax(axis=0) if greatest else rows.argmin(axis=0)
    return np.take_along_axis(rows, which[None], axis=0)[0], which.tolist()


def _in_fill(weighing: Weighing, which: list[int], row: int) -> str:
    name = weighing.called(weighing.fills[which[row % len(which)]], row)
    return f"with the tanks {name}" if name in {"empty", "full", "as filled now"} else f"with {name}"


def _left_out(weighing: Weighing) -> str:
    count = len(weighing.left_out)
    if not count:
        return ""
    return f" {count} parts state no mass and are left out." if count > 1 else " 1 part states no mass and is left out."


def _load_word(
    said: str, weighing: Weighing, values: tuple[Array, Array], which: list[int], row: int
) -> tuple[Phrase, Phrase]:
    value, limit = values
    reason = phrase(
        f"{said} {{load}} {_in_fill(weighing, which, row)}, rated for {{limit}}.{_left_out(weighing)}",
        load=(value[row], Dimension.MASS),
        limit=(limit[row], Dimension.MASS),
    )
    return reason, phrase("" if value[row] <= limit[row] else _ADVICE)


def _most(state: State, said: str, place: str, values: list[Array], rating: Any) -> Measure:
    weighing = weighed_of(state)
    assert weighing is not None
    value, which = _at_worst(values, greatest=True)
    load, limit = state.full(value), state.full(rating)
    return Measure(
        place=place,
        value=load,
        limit=limit,
        margin=margin_below(load, limit),
        word=partial(_load_word, said, weighing, (load, limit), which),
    )


def _of_vehicle(state: State, name: str) -> Any:
    return state.plan.values.of("vehicle", state.rig.vehicle, name)


def _support_load(state: State) -> Iterator[Measure | Missing]:
    weighing = weighed_of(state)
    if weighing is None:
        yield Missing(
            place="vehicle",
            needed="mass and position of the vehicle and where its supports stand",
            reason="The load on axles and hitch cannot be judged: nothing is stated of the vehicle.",
            advice="State [vehicle], and mass and position of tanks and parts.",
        )
        return
    if not weighing.known:
        for place, needed in weighing.missing:
            yield Missing(place=place, needed=needed)
        return
    loads = [weighing.loads(fill.water) for fill in weighing.fills]
    for end, carried in (("front", [load.first for load in loads]), ("rear", [load.second for load in loads])):
        rating, place = _of_vehicle(state, f"{end}_rating"), f"vehicle.{end}_rating"
        if rating is None:
            yield Missing(place=place, needed=f"{end}_rating of the vehicle")
            continue
        said = f"{capital(getattr(state.rig.vehicle, end))} carries up to"
        yield _most(state, said, place, [np.atleast_1d(value) for value in carried], rating)


def _whole_mass(state: State) -> Iterator[Measure]:
    weighing, rating = weighed_of(state), _of_vehicle(state, "rating")
    if weighing is None or not weighing.known or rating is None:
        return  # the supports' ratings judge it, or say what is missing
    masses = [np.atleast_1d(weighing.balance(fill.water).mass) for fill in weighing.fills]
    yield _most(state, "All that is loaded weighs", "vehicle.rating", masses, rating)


def _share_word(
    vehicle: Vehicle, weighing: Weighing, values: tuple[Array, Array], which: list[int], row: int, *, least: bool
) -> tuple[Phrase, Phrase]:
    value, limit = values
    fill, lifted = _in_fill(weighing, which, row), ""
    if not 0.0 <= value[row] <= 1.0:
        lifted = f" {capital(vehicle.front if least else vehicle.rear)} is lifted: the vehicle tips up."
    reason = phrase(
        f"{capital(vehicle.front)} carries {{share}} of the whole mass {fill}; {'at least' if least else 'at most'}"
        f" {{limit}} is wanted.{lifted}",
        share=(value[row], Dimension.FRACTION),
        limit=(limit[row], Dimension.FRACTION),
    )
    kept = value[row] >= limit[row] if least else value[row] <= limit[row]
    return reason, phrase("" if kept else _ADVICE)


def _front_share(state: State) -> Iterator[Measure]:
    weighing = weighed_of(state)
    if weighing is None or not weighing.known:
        return
    shares = []
    for fill in weighing.fills:
        mass, load = weighing.balance(fill.water).mass, weighing.loads(fill.water).first
        shares.append(np.atleast_1d(np.asarray(load / mass, np.float64)))
    for name, greatest, margin, bound in (
        ("least_front_share", False, margin_above, 0.0),
        ("greatest_front_share", True, margin_below, 1.0),
    ):
        stated = _of_vehicle(state, name)
        value, which = _at_worst(shares, greatest=greatest)
        share, limit = state.full(value), state.full(bound if stated is None else stated)
        lifted: Any = share > bound if greatest else share < bound
        if stated is None and not lifted.any():
            continue
        yield Measure(
            place=f"vehicle.{name}",
            value=share,
            limit=limit,
            margin=margin(share, limit),
            word=partial(_share_word, state.rig.vehicle, weighing, (share, limit), which, least=not greatest),
            applies=lifted if stated is None else None,
        )


def _slosh_word(name: str, period: Array, row: int) -> tuple[Phrase, Phrase]:
    near = abs(period[row] - _SWAY_PERIOD) <= _NEAR_SWAY * _SWAY_PERIOD
    said = phrase(
        f"Part-full, the water of {name} sways to and fro in {{period}}; a trailer sways in about {{sway}}.",
        period=(period[row], Dimension.TIME),
        sway=(_SWAY_PERIOD, Dimension.TIME),
    )
    return said, phrase("Travel with that tank full or empty, or fit baffles." if near else "")


def _slosh(state: State) -> Iterator[Measure | Missing]:
    if weighed_of(state) is None:
        return
    of = state.plan.values.of
    for name, tank in state.rig.tanks.items():
        if not tank.carried:
            continue
        address = f"tanks.{name}"
        length, level = of(address, tank, "length"), state.full(tank_level(state.rig, name, state.plan.values))
        share, (low, high) = level / brim_depth(state.rig, name, state.plan.values), _PART_FULL
        sways = (share > low) & (share < high)
        if length is None:
            yield Missing(place=address, needed="length of the tank along the vehicle", applies=sways)
            continue
        period = state.full(slosh_period(length=length, level=np.maximum(level, 1e-4)))
        yield Measure(
            place=address,
            value=period,
            limit=np.full(state.variants, _SWAY_PERIOD),
            margin=np.abs(period - _SWAY_PERIOD) / _SWAY_PERIOD - _NEAR_SWAY,
            word=partial(_slosh_word, state.named(address), period),
            applies=sways,
        )


SUPPORT_LOAD: Final = Rule(
    name="load on supports",
    doc="Neither support of the vehicle carries more than it is rated for, whichever tanks are full.",
    formula="on level ground: load on the rear support = sum of mass x (position - front_position) / (rear_position -"
    " front_position); the front carries the rest; each <= its rating",
    dimension=Dimension.MASS,
    source="the plate on the vehicle; statics",
    measure=_support_load,
    needs=("mass and position of the vehicle and where its supports stand", "rating of each support"),
)

WHOLE_MASS: Final = Rule(
    name="whole mass",
    doc="All that is loaded weighs no more than the vehicle is rated for, all tanks full.",
    formula="sum of all masses, water included <= rating",
    dimension=Dimension.MASS,
    source="the plate on the vehicle",
    measure=_whole_mass,
)

FRONT_SHARE: Final = Rule(
    name="share in front",
    doc="The front support carries its share of the whole mass, noseweight for a trailer, whichever tanks are full; without"
    " stated shares, neither support is lifted.",
    formula="least_front_share, else 0 <= load on the front support / whole mass <= greatest_front_share, else 1",
    dimension=Dimension.FRACTION,
    source="as stated for the vehicle; a share of 5 to 7 % is asked of trailers in some countries, 10 to 15 % in others"
    " (common practice, no source)",
    measure=_front_share,
    close=0.0,
)

SLOSH: Final = Rule(
    name="water that sways",
    doc="The water of a part-full tank does not sway at the pace at which a trailer sways, about one second.",
    formula="|T - 1 s| > 0.2 s; T = 2 π / sqrt((π g / L) tanh(π h / L)), L the length of the tank, h the depth of"
    " its water",
    dimension=Dimension.TIME,
    source="Lamb, Hydrodynamics, 6th ed., 1932, sec. 257 (from memory); the pace of a trailer is common practice, no source",
    measure=_slosh,
    close=0.0,
    advisory=True,
)
