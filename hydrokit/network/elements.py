"""Elements: what the water meets along a line, one after the other, with the loss of each.

A line becomes: the entrance where it leaves a source or tank, its parts, every change of bore between neighbours, and
the exit where it ends in a tank or in the air. A filter, lamp or pump without a stated bore includes its own ports in
its data sheet, so no change of bore is counted at it. Numbers are floats, or arrays of shape (n,) where they vary.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.bounds import Mistakes
from hydrokit.errors import NetworkError
from hydrokit.laws.fittings import contraction_k, expansion_k
from hydrokit.laws.valves import k_from_kv
from hydrokit.network.coefficients import Loss, loss_of, square_of
from hydrokit.network.ends import tank_level
from hydrokit.parts import FloatValve, FootValve, Hose, HoseTail, Joint, Outlet, Part, Pump, Source, Strainer, Tank

if TYPE_CHECKING:
    from hydrokit.bounds import Real
    from hydrokit.network.values import Conditions, Values
    from hydrokit.rig import Line, Rig

__all__ = ["CHANGE_OF_BORE", "ENTRANCE", "EXIT", "Element", "elements_of"]

ENTRANCE: Final = "entrance"
EXIT: Final = "exit"
CHANGE_OF_BORE: Final = "change of bore"
_SHUT: Final = 1e-4  # opening below which a float valve is taken for shut
_SMOOTH: Final = 1.5e-6  # a moulded spigot is as smooth as drawn tubing


@dataclass(frozen=True, slots=True, kw_only=True)
class Element:
    """One thing that costs or adds head; ``square`` and ``linear`` multiply flow squared and flow, in s²/m⁵ and s/m²."""

    address: str
    kind: str
    part: Part | None = None
    bore: Real | None = None
    bore_before: Real | None = None
    square_forward: Real = 0.0
    square_backward: Real = 0.0
    linear: Real = 0.0
    cracking: Real = 0.0
    length: Real = 0.0
    roughness: Real | None = None
    friction_factor: Real | None = None
    friction_multiplier: Real = 1.0
    one_way: bool = False
    float_square: Real = 0.0
    shut: Any = False
    height: Real | None = None
    high_point: Real | None = None

    @property
    def has_friction(self) -> bool:
        """Whether it has a wall along which water rubs."""
        return self.roughness is not None or self.friction_factor is not None


def _conduit(address: str, part: Hose | HoseTail, values: Values) -> Element:
    def get(name: str) -> Any:
        return values.of(address, part, name)

    if isinstance(part, HoseTail):
        return Element(
            address=address, kind=part.kind, part=part, bore=get("bore"), bore_before=get("bore"), length=get("length"),
            roughness=_SMOOTH, height=get("height"),
        )  # fmt: skip
    stated = get("roughness")
    return Element(
        address=address,
        kind=part.kind,
        part=part,
        bore=get("bore"),
        bore_before=get("bore"),
        length=get("length"),
        roughness=part.wall_roughness if stated is None else stated,
        friction_factor=get("friction_factor"),
        friction_multiplier=get("friction_multiplier"),
        high_point=get("high_point"),
    )


def _point(address: str, part: Part, values: Values, conditions: Conditions) -> Element:
    def get(name: str) -> Any:
        return values.of(address, part, name)

    if isinstance(part, Pump):
        before, after = get("inlet_bore"), get("outlet_bore")
    else:
        before = after = get("bore")
    loss: Loss = loss_of(part, get, conditions)
    return Element(
        address=address,
        kind=part.kind,
        part=part,
        bore=after,
        bore_before=before,
        square_forward=loss.square_forward,
        square_backward=loss.square_backward,
        linear=loss.linear,
        cracking=loss.cracking,
        one_way=loss.one_way,
        height=get("height"),
    )


def _float_valve(
    rig: Rig, line: Line, address: str, part: FloatValve, values: Values, *, levels_apart: bool
) -> Element:
    """Return a float valve, as far open as the level of the tank that it fills lets it be."""
    mistakes = Mistakes()
    if line.end not in rig.tanks:
        mistakes.add(address, f"a float valve in a line to {line.end}", "a line that ends in a tank")
        mistakes.settle(NetworkError)
    bore = values.of(address, part, "bore")
    wide_open = square_of(k_from_kv(kv=values.of(address, part, "kv"), bore=bore), bore)
    stated = values.of(address, part, "shut_level")
    shut_level = values.of(f"tanks.{line.end}", rig.tanks[line.end], "depth") if stated is None else stated
    room = shut_level - tank_level(rig, line.end, values)
    opening = 1.0 if levels_apart else np.clip(room / values.of(address, part, "band"), 0.0, 1.0)
    throttled = wide_open / np.maximum(opening, _SHUT) ** 2
    return Element(
        address=address, kind=part.kind, part=part, bore=bore, bore_before=bore, square_forward=throttled,
        square_backward=throttled, float_square=wide_open, shut=np.less_equal(opening, _SHUT),
        height=values.of(address, part, "height"),
    )  # fmt: skip


def _change(before: Element, after: Element) -> Element | None:
    """Return the loss between two neighbours of different bore, borne by the narrower of the two."""
    first, second = before.bore, after.bore_before
    if first is None or second is None or np.all(np.equal(first, second)):
        return None
    narrow, wide = np.minimum(first, second), np.maximum(first, second)
    shrink = square_of(contraction_k(small=narrow, large=wide), narrow)
    grow = square_of(expansion_k(small=narrow, large=wide), narrow)
    narrower = before if np.mean(first) < np.mean(second) else after
    narrowing = np.less(second, first)
    return Element(
        address=narrower.address,
        kind=CHANGE_OF_BORE,
        bore=second,
        bore_before=first,
        square_forward=np.where(narrowing, shrink, grow),
        square_backward=np.where(narrowing, grow, shrink),
    )


def _entrance(rig: Rig, name: str, line: Line, first: Element | None, values: Values) -> Element | None:
    """Return the loss where water leaves a source or tank; a strainer or foot valve includes its own."""
    end = rig.ends()[line.start]
    if first is None or first.bore_before is None or isinstance(end, Joint):
        return None
    assert isinstance(end, (Source, Tank))
    address = f"{'sources' if isinstance(end, Source) else 'tanks'}.{line.start}"
    own = isinstance(first.part, (Strainer, FootValve))
    bore = first.bore_before
    inward = 0.0 if own else square_of(values.of(address, end, "entrance_k"), bore)
    outward = square_of(values.of(address, end, "exit_k"), bore)
    return Element(
        address=f"lines.{name}", kind=ENTRANCE, bore=bore, bore_before=bore,
        square_forward=inward, square_backward=outward,
    )  # fmt: skip


def _exit(rig: Rig, name: str, line: Line, last: Element | None, values: Values) -> Element | None:
    """Return the loss where water leaves the line into a tank, a source or the air."""
    end = rig.ends()[line.end]
    if last is None or last.bore is None or isinstance(end, Joint):
        return None
    group = "sources" if isinstance(end, Source) else "tanks" if isinstance(end, Tank) else "outlets"
    address = f"{group}.{line.end}"
    outward = square_of(values.of(address, end, "exit_k"), last.bore)
    inward = 0.0 if isinstance(end, Outlet) else square_of(values.of(address, end, "entrance_k"), last.bore)
    return Element(
        address=f"lines.{name}", kind=EXIT, bore=last.bore, bore_before=last.bore,
        square_forward=outward, square_backward=inward,
    )  # fmt: skip


def elements_of(
    rig: Rig, name: str, values: Values, conditions: Conditions, *, levels_apart: bool = False
) -> list[Element]:
    """Return everything the water meets along one line, in order; float valves open where levels are kept apart."""
    line = rig.lines[name]
    own: list[Element] = []
    for label, part in zip(line.labels(), line.parts, strict=True):
        address = f"lines.{name}.{label}"
        if isinstance(part, (Hose, HoseTail)):
            own.append(_conduit(address, part, values))
        elif isinstance(part, FloatValve):
            own.append(_float_valve(rig, line, address, part, values, levels_apart=levels_apart))
        else:
            own.append(_point(address, part, values, conditions))
    first, last = (own[0], own[-1]) if own else (None, None)
    whole: list[Element] = []
    before = _entrance(rig, name, line, first, values)
    if before is not None:
        whole.append(before)
    for element in own:
        change = _change(before, element) if before is not None else None
        if change is not None:
            whole.append(change)
        whole.append(element)
        before = element
    after = _exit(rig, name, line, last, values)
    if after is not None:
        whole.append(after)
    return whole
