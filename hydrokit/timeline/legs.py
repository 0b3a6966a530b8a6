"""The record of one variant's course, step by step, and what it says about any moment in between."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

import numpy as np

from hydrokit.timeline.curve import hermite, parabola

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.timeline.state import Run
    from hydrokit.timeline.step import Step

__all__ = ["Legs"]


@dataclass(slots=True)
class Legs:
    """Steps (k of them) of the first variant: when each began, how long it took, volumes, net inflows and flows."""

    begins: list[float] = field(default_factory=list)
    seconds: list[float] = field(default_factory=list)
    before: list[Array] = field(default_factory=list)
    after: list[Array] = field(default_factory=list)
    rate: list[Array] = field(default_factory=list)
    last_rate: list[Array] = field(default_factory=list)
    flows: list[Array] = field(default_factory=list)

    def add(self, now: Run, taken: Step) -> None:
        """Record the step about to be made."""
        brimming = now.brimming[0]
        self.begins.append(float(now.time[0]))
        self.seconds.append(float(now.seconds[0]))
        self.before.append(now.volume[0].copy())
        self.after.append(np.where(brimming, now.volume[0], taken.volume[0]))
        self.rate.append(now.net[0])
        self.last_rate.append(np.where(brimming, 0.0, taken.inflow[0]))
        self.flows.append(np.stack([flow[0] for flow in taken.flows]))

    def times(self) -> Array:
        """Return when each step began, and when the last one ended, shape (k + 1,), s; empty where there was none."""
        return np.array([*self.begins, self.begins[-1] + self.seconds[-1]]) if self.begins else np.empty(0)

    def at(self, times: Array) -> tuple[Array, Array]:
        """Return the volumes (m, T) and line flows (m, L) at moments (m,) of the course, at least one step long.

        Where flows jump, at a moment between two steps, those after it are given.
        """
        begins, seconds = np.array(self.begins), np.array(self.seconds)
        leg = np.clip(np.searchsorted(begins, times, side="right") - 1, 0, len(begins) - 1)
        share = np.clip((times - begins[leg]) / seconds[leg], 0.0, 1.0)[:, None]
        lasting = seconds[leg][:, None]
        before, after, rate, last_rate = (
            np.array(part)[leg] for part in (self.before, self.after, self.rate, self.last_rate)
        )
        volume = hermite(share, (before, after, lasting * rate, lasting * last_rate))
        first, _, middle, last = np.moveaxis(np.array(self.flows)[leg], 1, 0)
        return volume, parabola(share, (first, middle, last))
