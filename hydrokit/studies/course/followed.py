"""What stands beside a course of filling or emptying: the plain check of the rig, and what the answer rests on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.network import build_plan, solve
from hydrokit.network.ends import brim_depth
from hydrokit.network.start import unmet
from hydrokit.rules import State
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import stays_whole, usable

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.answers import Finding, Trust
    from hydrokit.studies.course.tanks import Tanks

__all__ = ["judged_state", "really", "trust_beside"]

_TOLD_LEVEL: Final = "limits are judged with tanks half full where no level is stated"


def judged_state(tanks: Tanks, changed: Mapping[str, float]) -> tuple[State, tuple[str, ...]]:
    """Return the rig solved with its tanks half full where no level is stated, and what that assumes of levels.

    A rig of which a joint asks for water that no tank can give as it stands has no steady flows to judge: there, tanks
    that stand at their lowest outlet or below are taken as half full as well.
    """
    rig, mode = tanks.plan.rig, tanks.plan.mode

    def half(name: str) -> float:
        return 0.5 * float(np.ravel(brim_depth(rig, name, tanks.plan.values))[0])

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


def really(state: State) -> tuple[float, bool]:
    """Return what suction and switches allow of what the full pipe would deliver, and whether the water stays whole then."""
    delivered, real = float(state.delivered[0]), usable(state)
    return float(real.delivered[0]) / delivered if delivered > 0.0 else 1.0, bool(stays_whole(real)[0])


def trust_beside(state: State, findings: Sequence[Finding], assumed: Sequence[str], unknown: Sequence[str]) -> Trust:
    """Return how far the answer can be trusted, with what a course assumes and leaves open."""
    trust = trust_of(state.solution, findings, assumed)
    return replace(trust, unknown=(*trust.unknown, *unknown))
