"""Quasi-steady time: tanks fill and empty, all variants together, each with its own steps and events."""

from __future__ import annotations

from hydrokit.timeline.course import Course, Task, run
from hydrokit.timeline.legs import Legs

__all__ = ["Course", "Legs", "Task", "run"]
