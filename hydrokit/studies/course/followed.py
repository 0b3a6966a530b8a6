"""What stands beside a course of filling or emptying: the plain check of the rig, and what the answer rests on."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Final

import numpy as np

from hydrokit.network import solve
from hydrokit.rules import State
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import usable_flow

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.answers import Finding, Trust
    from hydrokit.rig import Rig

__all__ = ["judged_state", "known", "suction_share", "trust_beside"]

_TOLD_LEVEL: Final = "limits are judged with tanks half full where no level is stated"


def known(value: float) -> float | None:
    """Return a number, None where it is not finite."""
    return float(value) if np.isfinite(value) else None


def judged_state(rig: Rig, mode: str, changed: Mapping[str, float]) -> State:
    """Return the rig solved with its tanks half full where no level is stated."""
    levels = {
        f"tanks.{name}.level": 0.5 * changed.get(f"tanks.{name}.depth", tank.depth)
        for name, tank in rig.tanks.items()
        if tank.level is None and f"tanks.{name}.level" not in rig.mode(mode)[1].values
    }
    return State(solve(rig, mode, {**levels, **changed}))


def suction_share(state: State) -> float:
    """Return what suction allows of what the full pipe would deliver."""
    delivered = float(state.delivered[0])
    return float(usable_flow(state)[0]) / delivered if delivered > 0.0 else 1.0


def trust_beside(state: State, findings: Sequence[Finding], assumed: Sequence[str], unknown: Sequence[str]) -> Trust:
    """Return how far the answer can be trusted, with what a course assumes and leaves open."""
    trust = trust_of(state.solution, findings, (*assumed, _TOLD_LEVEL))
    return replace(trust, unknown=(*trust.unknown, *unknown))
