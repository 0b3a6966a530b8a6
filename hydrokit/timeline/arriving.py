"""Which lines bring water from below into a tank that stands at its lowest outlet and gains nothing.

Such a tank is open to the air: what comes in meets the level of its water, however hard a pump draws at an outlet, and
the outlets pass on what arrives, with air beside it. So lines that bring water end at that level, as those do that let
it fall in from above; while a tank gains, all that meet it under water feel one level anyway.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

import numpy as np

if TYPE_CHECKING:
    from hydrokit.bounds import Array
    from hydrokit.network.ports import Mask
    from hydrokit.network.storage import Stage, Storage

__all__ = ["arrivals"]

_NOTHING: Final = 1e-9
"""Share of the largest flow below which a line brings nothing, and a tank gains nothing."""


def arrivals(storage: Storage, stage: Stage, exposed: Mask, flow: Array, kept: Mask | None = None) -> Mask:
    """Return the ports (n, P) by which water comes in from below where a dry tank gains nothing.

    ``exposed`` ports (n, P) are out of the water; ``flow`` (n, L and storage lines) is what was found or guessed.
    ``kept`` ports stay in any case while their tank gains nothing: water came in by them until they met air.
    """
    if not stage.dry.any():
        return np.zeros_like(exposed)
    ports, noded = storage.ports, storage.node >= 0
    nothing = _NOTHING * np.abs(flow[:, : storage.lines]).max(axis=1, keepdims=True)
    gained = np.full(stage.base.shape, np.inf)
    gained[:, noded] = flow[:, storage.lines :]
    starved = stage.dry & ~stage.pinned & (gained - storage.least(stage) <= nothing)
    comes = np.where(ports.ends, 1.0, -1.0) * flow[:, ports.line] > nothing
    return np.asarray(starved[:, ports.tank] & ~exposed & (comes if kept is None else comes | kept))
