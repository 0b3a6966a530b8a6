"""The network: a rig and mode become a plan of arrays, the plan is solved, and the walk visits every joint."""

from __future__ import annotations

from hydrokit.network.acceleration import solving, speed_up, worth_compiling
from hydrokit.network.build import build_plan
from hydrokit.network.elements import CHANGE_OF_BORE, ENTRANCE, EXIT, Element
from hydrokit.network.plan import Plan
from hydrokit.network.solution import Solution, solve, solve_plan
from hydrokit.network.walk import Walk

__all__ = [
    "CHANGE_OF_BORE", "ENTRANCE", "EXIT", "Element", "Plan", "Solution", "Walk", "build_plan", "solve", "solve_plan",
    "solving", "speed_up", "worth_compiling",
]  # fmt: skip
