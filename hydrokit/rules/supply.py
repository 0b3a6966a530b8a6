"""Electricity of the pumps: voltage lost in the cable, fuse and cable, brown-out, and what is left in the battery.

These are sums on what is stated, not permission: local codes and a licensed electrician decide what may be installed.
"""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.laws.fuses import cable_rating, fuse_bounds, fuse_choice
from hydrokit.network.batteries import rated_voltage, stated_currents
from hydrokit.parts import PoweredPump
from hydrokit.rules.naming import capital
from hydrokit.rules.rule import Measure, Missing, Rule, margin_above, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.network import Element
    from hydrokit.rules.state import State

__all__ = ["BATTERY_CHARGE", "BROWN_OUT", "FUSE", "VOLTAGE_DROP", "usable_share"]

_AMPS, _VOLTS = Dimension.CURRENT, Dimension.VOLTAGE
_WANTED: Final = 0.03
_MOST: Final = 0.10
_CODES: Final = "Local codes and a licensed electrician decide."


def usable_share(state: State, name: str) -> Any:
    """Return the share of a battery's charge that may be used; None where neither it nor its chemistry tells."""
    battery = state.rig.batteries[name]
    stated = state.plan.values.of(f"batteries.{name}", battery, "usable")
    return battery.usable_share if stated is None else stated


def _powered(state: State) -> Iterator[tuple[int, Element, PoweredPump]]:
    for index in state.running:
        element = state.plan.elements[index]
        if isinstance(element.part, PoweredPump):
            yield index, element, element.part


def _cabled(state: State, element: Element) -> bool:
    return all(state.of(element, field) is not None for field in ("cable_area", "cable_length"))


# voltage drop


def _drop_word(name: str, share: Array, lost: Array, row: int) -> tuple[Phrase, Phrase]:
    if np.isnan(share[row]):
        return (
            phrase(
                f"At this flow the data sheet of {name} does not say what it takes: the loss in its cable is not known."
            ),
            phrase("State more points of its currents."),
        )
    said = phrase(
        f"The cable of {name} loses {{lost}} out and back, {{share}} of the voltage; {{wanted}} is wanted for what matters,"
        " {most} is the limit.",
        lost=(lost[row], _VOLTS),
        share=(share[row], Dimension.FRACTION),
        wanted=(_WANTED, Dimension.FRACTION),
        most=(_MOST, Dimension.FRACTION),
    )
    if share[row] <= _WANTED:
        return said, phrase("")
    return said, phrase(f"Take a thicker or a shorter cable, or fewer plugs. {_CODES}")


def _voltage_drop(state: State) -> Iterator[Measure | Missing]:
    for index, element, part in _powered(state):
        if not part.battery or not _cabled(state, element):
            yield Missing(place=element.address, needed="battery, cable_area and cable_length of the pump")
            continue
        if not stated_currents(part)[2]:
            yield Missing(place=element.address, needed="currents, powers or efficiency of the pump")
            continue
        at = state.on[index]
        lost = state.drawn.battery_voltage[:, at] - state.drawn.voltage[:, at]
        nominal = state.plan.values.of(
            f"batteries.{part.battery}", state.rig.batteries[part.battery], "nominal_voltage"
        )
        share = np.asarray(lost / nominal, np.float64)
        limit = np.full(state.variants, _MOST)
        yield Measure(
            place=element.address,
            value=share,
            limit=limit,
            margin=margin_below(share, limit),
            word=partial(_drop_word, state.named(element.address), share, lost),
            hand=np.full(state.variants, 1.0 - _WANTED / _MOST),
        )


VOLTAGE_DROP: Final = Rule(
    name="voltage drop",
    doc="A pump's cable, out and back, loses no more than 10 % of the battery's nominal voltage; above 3 % is close.",
    formula="(volts at the battery - volts at the motor) / nominal_voltage <= 10 %",
    dimension=Dimension.FRACTION,
    source="3 % for what is critical, 10 % for other loads: ABYC E-11, AC and DC electrical systems on boats, from memory",
    measure=_voltage_drop,
    needs=("battery, cable_area and cable_length of the pump", "currents, powers or efficiency of the pump"),
)


# fuse and cable


def _greatest_current(state: State, index: int, element: Element, part: PoweredPump) -> Any:
    """Return the most that a pump takes anywhere on its data sheet, and at its duty if that is more; NaN if unknown."""
    _, figures, what = stated_currents(part)
    duty = np.nan_to_num(state.taken.current[:, state.on[index]])
    if what == "current":
        return np.maximum(duty, figures.max())
    volts = rated_voltage(state.rig, state.plan.values, element.address, part)
    if what == "power" and volts is not None:
        return np.maximum(duty, figures.max() / volts)
    return np.where((duty > 0.0) & (what == "efficiency"), duty, np.nan)


def _fuse_word(name: str, fuse: Array, least: Array, most: Array, row: int) -> tuple[Phrase, Phrase]:
    bounds = {"least": (least[row], _AMPS), "most": (most[row], _AMPS)}
    if least[row] > most[row]:
        return (
            phrase(
                f"No fuse is right for {name}: it must be {{least}} or more so as not to blow while the pump runs, and"
                " {most} or less so as to blow before the cable burns.",
                **bounds,
            ),
            phrase(f"Take a thicker cable. {_CODES}"),
        )
    if np.isnan(fuse[row]):
        right = phrase(f"State the fuse; {{least}} to {{most}} would be right. {_CODES}", **bounds)
        return phrase("Cannot be judged without the fuse of the pump."), right
    said = phrase(
        f"The fuse of {name} is rated {{fuse}}; it must be {{least}} or more for the pump and {{most}} or less for the"
        " cable.",
        fuse=(fuse[row], _AMPS),
        **bounds,
    )
    if least[row] <= fuse[row] <= most[row]:
        return said, phrase("")
    fitting = float(np.asarray(fuse_choice(fuse_bounds(running_current=least[row] / 1.25, rating=most[row]))))
    advice = f"Fit one of {fitting:g} A within 0.18 m of the battery. {_CODES}" if np.isfinite(fitting) else _CODES
    return said, phrase(advice)


def _carried(state: State, element: Element) -> Array:
    """Return what a pump's cable carries, A; NaN where it is not known."""
    stated, area = state.of(element, "cable_rating"), state.of(element, "cable_area")
    if stated is None and area is None:
        return state.full(np.nan)
    return state.full(cable_rating(area) if stated is None else stated)


def _fuse(state: State) -> Iterator[Measure | Missing]:
    for index, element, part in _powered(state):
        running = state.full(_greatest_current(state, index, element, part))
        carried = _carried(state, element)
        without = np.isnan(running), ~np.isnan(running) & np.isnan(carried)
        cable = "cable_area or cable_rating of the pump"
        if state.of(element, "cable_area") is not None:
            cable = "cable_rating of the pump, whose cable is thinner than any that is listed"
        for lacks, needed in zip(
            without, ("currents or powers of the pump, and its rated_voltage", cable), strict=True
        ):
            if lacks.any():
                yield Missing(place=element.address, needed=needed, applies=lacks)
        known = ~(without[0] | without[1])
        if not known.any():
            continue
        bounds = fuse_bounds(running_current=np.where(known, running, 0.0), rating=np.where(known, carried, 0.0))
        least, most, stated = state.full(bounds.least), state.full(bounds.most), state.of(element, "fuse")
        fuse, crossed = state.full(np.nan if stated is None else stated), least > most
        inside = np.minimum(margin_above(fuse, least), margin_below(fuse, most))
        yield Measure(
            place=element.address,
            value=fuse,
            limit=np.where(crossed | ~np.isnan(fuse), most, np.nan),
            margin=np.where(crossed, margin_below(least, most), inside),
            word=partial(_fuse_word, state.named(element.address), fuse, least, most),
            applies=known,
        )


FUSE: Final = Rule(
    name="fuse and cable",
    doc="A pump's fuse is rated at least 1.25 times the most that the pump takes, and no more than its cable carries.",
    formula="1.25 x greatest current of the pump <= fuse <= cable_rating",
    dimension=_AMPS,
    source="1.25 times: common practice; at most the cable's rating, within 0.18 m of the battery: ABYC E-11, from memory;"
    " ratings of PVC vehicle cable in free air as sellers print them, from memory",
    measure=_fuse,
    needs=("currents or powers of the pump", "cable_area or cable_rating of the pump", "fuse of the pump"),
    close=0.0,
)


# brown-out


def _brown_word(name: str, voltage: Array, limit: Array, gone: Any, row: int) -> tuple[Phrase, Phrase]:
    advice = phrase("Take a thicker or a shorter cable, charge the battery, or take a pump that takes less.")
    if gone[row]:
        said = phrase(f"Cable and battery cannot bring {name} what it takes: it does not turn, or starts and stops.")
        return said, advice
    if np.isnan(voltage[row]):
        return (
            phrase(f"What {name} takes at this flow is not stated, so that the voltage left for it is not known."),
            phrase("State its currents, over all its flows."),
        )
    said = phrase(
        f"{capital(name)} has {{voltage}} at its motor; {{limit}} is the least at which it runs.",
        voltage=(voltage[row], _VOLTS),
        limit=(limit[row], _VOLTS),
    )
    return said, phrase("") if voltage[row] >= limit[row] else advice


def _brown_out(state: State) -> Iterator[Measure | Missing]:
    for index, element, part in _powered(state):
        if not part.battery:
            yield Missing(place=element.address, needed="battery and least_voltage of the pump")
            continue
        at, least = state.on[index], state.of(element, "least_voltage")
        gone = state.drawn.browned_out[:, at] | (state.drawn.speed[:, at] <= 0.0)
        if least is None and not gone.all():
            yield Missing(place=element.address, needed="least_voltage of the pump", applies=~gone)
        if least is None and not gone.any():
            continue
        voltage = state.drawn.voltage[:, at]
        limit = state.full(np.nan if least is None else least)
        yield Measure(
            place=element.address,
            value=voltage,
            limit=limit,
            margin=np.where(gone, -1.0, margin_above(voltage, limit)),
            word=partial(_brown_word, state.named(element.address), voltage, limit, gone),
            hand=np.full(state.variants, _NEAR),
            applies=gone if least is None else None,
        )


_NEAR: Final = 0.03
"""Share of the least voltage that counts as close to it. Our own choice."""

BROWN_OUT: Final = Rule(
    name="voltage at the pump",
    doc="Each pump on a battery turns, and has at least the voltage at which it is said to run; within 3 % of it is close.",
    formula="volts at the motor = volts of the battery at rest - current x (its inner resistance + cable, out and"
    " back + contacts) >= least_voltage",
    dimension=_VOLTS,
    source="the pump's data sheet; Ohm's law",
    measure=_brown_out,
    needs=("battery and least_voltage of the pump",),
    close=_NEAR,
)


# what is left in the battery


def _charge_word(name: str, charge: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    said = phrase(
        f"{capital(name)} holds {{charge}} of its charge; below {{limit}} it is not to be drawn.",
        charge=(charge[row], Dimension.FRACTION),
        limit=(limit[row], Dimension.FRACTION),
    )
    return said, phrase("" if charge[row] > limit[row] else "Charge it before pumping, or share the work with another.")


def _battery_charge(state: State) -> Iterator[Measure | Missing]:
    names = dict.fromkeys(part.battery for _, _, part in _powered(state) if part.battery)
    for name in names:
        place, usable = f"batteries.{name}", usable_share(state, name)
        if usable is None:
            yield Missing(place=place, needed="usable share or chemistry of the battery")
            continue
        charge = state.full(state.plan.values.of(place, state.rig.batteries[name], "charge"))
        limit = state.full(1.0 - np.asarray(usable))
        yield Measure(
            place=place,
            value=charge,
            limit=limit,
            margin=np.divide(charge - limit, 1.0 - limit, out=np.full(state.variants, -1.0), where=limit < 1.0),
            word=partial(_charge_word, state.named(place), charge, limit),
        )


_NEARLY_GONE: Final = 0.05
"""Share of the usable charge below which little is left. Our own choice."""

BATTERY_CHARGE: Final = Rule(
    name="battery charge",
    doc="No battery is drawn below its usable share: the charge in it is more than what must stay; less than a twentieth of that share left is close.",
    formula="charge > 1 - usable",
    dimension=Dimension.FRACTION,
    source="the battery's data sheet; else 50 % of lead-acid and 80 % of lithium iron phosphate: common practice, no source",
    measure=_battery_charge,
    needs=("usable share or chemistry of the battery",),
    close=_NEARLY_GONE,
)
