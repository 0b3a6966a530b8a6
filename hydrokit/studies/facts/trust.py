"""How far an answer can be trusted."""

from __future__ import annotations

from typing import TYPE_CHECKING

from hydrokit.answers import Trust, Verdict
from hydrokit.parts import CentrifugalPump, Filter, Lamp
from hydrokit.rules.naming import tanks_named

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.answers import Finding, Phrase
    from hydrokit.network import Solution

__all__ = ["tanks_told", "trust_of"]


def tanks_told(names: Sequence[str], what: tuple[str, str]) -> list[str]:
    """Return what is said of some tanks, of one and of several, in one sentence; nothing where there is none.

    Examples
    --------
    >>> tanks_told(["near", "far"], ("is full", "are full")), tanks_told(["tank"], ("is full", "are full"))
    (['tanks near and far are full'], ['the tank is full'])
    """
    one, many = what
    return [f"{tanks_named(names)} {one if len(names) == 1 else many}"] if names else []


def _assumed(solution: Solution) -> tuple[str, ...]:
    """Return what the answer rests on that nobody stated."""
    rig, told = solution.plan.rig, []
    for name in solution.plan.stations.assumed_joints:
        told.append(f"joint {name} lies at the height of the nearest stated point")
    told += tanks_told(
        [
            name
            for name, tank in rig.tanks.items()
            if tank.level is None and f"tanks.{name}.level" not in solution.plan.values.changed
        ],
        ("is half full", "are half full"),
    )
    told += [
        f"{element.address} drops as its data sheet says in water of 20 °C"
        for element in solution.plan.elements
        if isinstance(element.part, (Filter, Lamp)) and element.part.points_temperature is None
    ]
    off = set(rig.mode(solution.plan.mode)[1].off)
    told += [
        f"{element.address} is switched off and costs as much head at its open flow as it gives running at none"
        for element in solution.plan.elements
        if element.address in off and isinstance(element.part, CentrifugalPump)
    ]
    told += _assumed_of_supply(solution)
    told += [f"{address} is a guess" for address, word in rig.origins.items() if word == "guess"]
    return tuple(told)


def _assumed_of_supply(solution: Solution) -> list[str]:
    """Return what is assumed of the running pumps that batteries drive."""
    told: list[str] = []
    plan, pumps = solution.plan, solution.plan.pumps
    if pumps is None:
        return told
    for drive in pumps.drives:
        for place, known in zip(drive.place.tolist(), drive.known.tolist(), strict=True):
            element = plan.elements[int(pumps.element[place])]
            if plan.values.of(element.address, element.part, "rated_voltage") is None:
                told.append(f"the data sheet of {element.address} holds at the nominal voltage of its battery")
            if not known:
                told.append(
                    f"{element.address} takes no current: none is stated, so that no voltage is lost on its way"
                )
    return told


def trust_of(solution: Solution, findings: Sequence[Finding] = (), also: Sequence[str | Phrase] = ()) -> Trust:
    """Return how a solution was reached; the worst figures over all its variants.

    Parameters
    ----------
    solution : Solution
    findings : sequence of Finding
        Those that could not be judged are named as unknown.
    also : sequence of str
        What the study itself assumes.
    """
    flows = solution.flows
    return Trust(
        steps=int(flows.steps.max()),
        mass_residual=float(flows.mass_residual.max()),
        energy_residual=float(flows.energy_residual.max()),
        assumed=(*_assumed(solution), *also),
        unknown=tuple(f"{item.rule} at {item.place}" for item in findings if item.verdict is Verdict.UNKNOWN),
    )
