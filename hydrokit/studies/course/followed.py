"""What stands beside a course of filling or emptying: the plain check of the rig, and what the answer rests on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.network import build_plan, solve
from hydrokit.network.start import unmet
from hydrokit.rules import State
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import usable_flow
from hydrokit.timeline.state import ON_EVENT

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.answers import Finding, Trust
    from hydrokit.studies.course.tanks import Tanks
    from hydrokit.timeline import Course

__all__ = ["judged_state", "passing_on", "suction_share", "trust_beside"]

_TOLD_LEVEL: Final = "limits are judged with tanks half full where no level is stated"


def judged_state(tanks: Tanks, changed: Mapping[str, float]) -> tuple[State, tuple[str, ...]]:
    """Return the rig solved with its tanks half full where no level is stated, and what that assumes of levels.

    A rig of which a joint asks for water that no tank can give as it stands has no steady flows to judge: there, tanks
    that stand at their lowest outlet or below are taken as half full as well.
    """
    rig, mode = tanks.plan.rig, tanks.plan.mode

    def half(name: str) -> float:
        return 0.5 * changed.get(f"tanks.{name}.depth", rig.tanks[name].depth)

    stated = {*changed, *rig.mode(mode)[1].values}
    levels = {
        f"tanks.{name}.level": half(name)
        for name, tank in rig.tanks.items()
        if tank.level is None and f"tanks.{name}.level" not in stated
    }
    varied = {**levels, **changed}
    asked = bool(tanks.plan.ends.demand.any())
    if not (asked and unmet(build_plan(rig, mode, varied)).any()):
        return State(solve(rig, mode, varied)), (_TOLD_LEVEL,)
    bare = [name for name in tanks.bare() if f"tanks.{name}.level" not in levels]
    varied |= {f"tanks.{name}.level": half(name) for name in bare}
    told = (f"limits are judged with tank {name} half full, which has no water to give at the start" for name in bare)
    return State(solve(rig, mode, varied)), (_TOLD_LEVEL, *told)


def suction_share(state: State) -> float:
    """Return what suction allows of what the full pipe would deliver."""
    delivered = float(state.delivered[0])
    return float(usable_flow(state)[0]) / delivered if delivered > 0.0 else 1.0


def passing_on(tanks: Tanks, course: Course) -> tuple[str, ...]:
    """Return what is assumed of tanks that end at their lowest outlet and pass on what fills them from below.

    Such a tank is solved as a joint, at which the outlet may suck; air would come into it first.
    """
    storage, ports, flow = tanks.storage, tanks.storage.ports, course.flow[0]
    level = course.volume[0] / storage.area[0]
    at_lowest = course.volume[0] <= storage.lowest[0] + ON_EVENT * storage.full[0]
    under = ports.depth[0] <= level[ports.tank] + ON_EVENT * storage.depth[0, ports.tank]
    enters = ports.ends & under & (flow[ports.line] > 0.0)
    leaves = ~ports.ends & (flow[ports.line] > 0.0)
    found = set(ports.tank[enters]) & set(ports.tank[leaves]) & set(np.flatnonzero(at_lowest))
    return tuple(
        f"tank {tanks.names[place]} passes on all that fills it from below as a closed pipe would: less comes if its"
        " outlet draws air"
        for place in sorted(found)
    )


def trust_beside(state: State, findings: Sequence[Finding], assumed: Sequence[str], unknown: Sequence[str]) -> Trust:
    """Return how far the answer can be trusted, with what a course assumes and leaves open."""
    trust = trust_of(state.solution, findings, assumed)
    return replace(trust, unknown=(*trust.unknown, *unknown))
