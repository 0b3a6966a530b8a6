"""One pump taken out of a rig: another put in its place, or the line cut open there. Each edit is a new rig."""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Any, Final, TypeVar

from hydrokit.bounds import Mistakes, nearest
from hydrokit.parts import SUPPLY, Hose, Joint, PoweredPump, Pump
from hydrokit.rig import Line, Mode, Rig

if TYPE_CHECKING:
    from collections.abc import Collection, Mapping

    from hydrokit.bounds import Real
    from hydrokit.parts import Part
    from hydrokit.rules import State

__all__ = ["Cut", "cut_open", "kept_values", "labelled", "pump_place", "stays_with", "with_pump"]

_Told = TypeVar("_Told")
_AS_GOOD_AS_OPEN: Final = 1.0
"""m; bore of the short hose that stands where a line cut open has nothing else in it."""
_CUT: Final = "cut"
"""Name of the one mode of a rig cut open."""


def pump_place(state: State, place: str | None = None) -> str:
    """Return the address of the pump to replace: as named, else the one that runs.

    Raises
    ------
    InputError
        If none or several run and none is named, or none runs at the address named.
    """
    running = [state.plan.elements[index].address for index in state.running]
    mistakes = Mistakes()
    if place is None and len(running) != 1:
        found = f"{len(running)} pumps that run in mode {state.plan.mode!r}"
        mistakes.add("place", found, "the address of one pump that runs", running[0] if running else "")
    elif place is not None and place not in running:
        expected = f"the address of a pump that runs in mode {state.plan.mode!r}"
        mistakes.add("place", repr(place), expected, nearest(place, running))
    mistakes.settle()
    return running[0] if place is None else place


def _split(place: str) -> tuple[str, str]:
    _, name, label = place.split(".")
    return name, label


def labelled(line: Line) -> tuple[Part, ...]:
    """Return the parts of a line, each with its label for a name, so that no address moves when one is replaced."""
    return tuple(replace(part, name=label) for label, part in zip(line.labels(), line.parts, strict=True))


def stays_with(rig: Rig, place: str, pump: Pump) -> tuple[str, ...]:
    """Return the fields that stay at a place when another pump comes there: height, and what supplies it."""
    drawn = rig.by_address[place]
    supplied = isinstance(pump, PoweredPump) and isinstance(drawn, PoweredPump) and bool(drawn.battery)
    return ("height", *SUPPLY) if supplied else ("height",)


def kept_values(values: Mapping[str, _Told], place: str, stays: Collection[str]) -> dict[str, _Told]:
    """Return what is told by address less what describes the pump at a place, but for the fields that stay there."""
    return {
        address: value
        for address, value in values.items()
        if not address.startswith(f"{place}.") or address.rpartition(".")[2] in stays
    }


def _supplied(rig: Rig, pump: Pump, drawn: Pump) -> Pump:
    """Return a pump on the battery, cable and fuse of the one drawn; on none that the rig does not have."""
    if not isinstance(pump, PoweredPump):
        return pump
    if isinstance(drawn, PoweredPump) and drawn.battery:
        supply: dict[str, Any] = {field: getattr(drawn, field) for field in SUPPLY}
        return replace(pump, **supply)
    return pump if pump.battery in rig.batteries else replace(pump, battery="")


def with_pump(rig: Rig, place: str, pump: Pump) -> Rig:
    """Return a rig with another pump at an address, at the same height; every address stays as it was."""
    name, label = _split(place)
    line = rig.lines[name]
    labels = line.labels()
    index = labels.index(label)
    drawn: Any = line.parts[index]
    parts = [
        replace(part, name=word) if not (part.name or drawn.name) and part.kind == drawn.kind else part
        for word, part in zip(labels, line.parts, strict=True)
    ]
    parts[index] = replace(_supplied(rig, pump, drawn), name=label, height=drawn.height)
    stays = stays_with(rig, place, pump)
    modes = {word: replace(mode, values=kept_values(mode.values, place, stays)) for word, mode in rig.modes.items()}
    return replace(
        rig,
        lines={**rig.lines, name: replace(line, parts=tuple(parts))},
        modes=modes,
        origins=kept_values(rig.origins, place, stays),
        tolerances=kept_values(rig.tolerances, place, stays),
    )


@dataclass(frozen=True, slots=True)
class Cut:
    """A rig in one mode, cut open where a pump stood: water is taken out ``before`` it and put back ``after`` it."""

    rig: Rig
    before: str
    after: str
    values: dict[str, Real]

    def variation(self, flow: Any) -> dict[str, Any]:
        """Return what makes a flow, m³/s, leave at the pump's inlet and come back at its outlet, above any demand."""
        (mode,) = self.rig.modes.values()
        stated = {**mode.values, **self.values}
        taken, given = f"joints.{self.before}.demand", f"joints.{self.after}.demand"
        return {
            **self.values,
            taken: stated.get(taken, self.rig.joints[self.before].demand) + flow,
            given: stated.get(given, self.rig.joints[self.after].demand) - flow,
        }


def _port(parts: tuple[Part, ...], bore: float | None) -> tuple[Part, ...]:
    """Return what stands for the port of the pump, so that changes of bore at it count as they did."""
    if bore is None and parts:
        return ()
    return (Hose(name="port", length=0.0, bore=_AS_GOOD_AS_OPEN if bore is None else bore),)


def _free(word: str, taken: set[str]) -> str:
    while word in taken:
        word += "-"
    return word


def cut_open(rig: Rig, mode: str, place: str, changed: Mapping[str, Real]) -> Cut:
    """Return a rig in one mode, its line cut open where a pump stands.

    Parameters
    ----------
    rig : Rig
    mode : str
        The new rig has this one alone.
    place : str
        Address of the pump.
    changed : mapping of address to float or array, shape (n,)
        What stands in front of the rig's own values; given back under the addresses of the new rig.
    """
    name, label = _split(place)
    line, index = rig.lines[name], rig.lines[name].labels().index(label)
    parts = labelled(line)
    pump: Any = parts[index]
    ends = set(rig.ends())
    before, after = _free("pump-inlet", ends), _free("pump-outlet", ends)
    beyond = _free(f"{name}-beyond", set(rig.lines))
    moved = {f"lines.{name}.{word}": f"lines.{beyond}.{word}" for word in line.labels()[index + 1 :]}

    def address(old: str) -> str:
        part, _, last = old.rpartition(".")
        return f"{moved[part]}.{last}" if part in moved else moved.get(old, old)

    def values(old: Mapping[str, _Told]) -> dict[str, _Told]:
        return {address(key): value for key, value in old.items() if not key.startswith(f"{place}.")}

    _, drawn = rig.mode(mode)
    lines, joints = dict(rig.lines), dict(rig.joints)
    rest, joint = parts[index + 1 :], Joint(height=pump.height)
    if index == 0 and isinstance(rig.ends()[line.start], Joint):
        before = line.start
        del lines[name]
    else:
        lines[name] = replace(line, end=before, parts=(*parts[:index], *_port(parts[:index], pump.inlet_bore)))
        joints[before] = joint
    if not rest and isinstance(rig.ends()[line.end], Joint):
        after = line.end
    else:
        lines[beyond] = Line(start=after, end=line.end, parts=(*_port(rest, pump.outlet_bore), *rest))
        joints[after] = joint
    for met in (before, after):
        joints.setdefault(met, Joint())
    opened = replace(
        rig,
        joints=joints,
        lines=lines,
        modes={
            _CUT: Mode(
                closed=drawn.closed,
                off=tuple(address(pump_off) for pump_off in drawn.off),
                values=values(drawn.values),
            )
        },
        origins={},
        tolerances={},
    )
    return Cut(opened, before, after, values(changed))
