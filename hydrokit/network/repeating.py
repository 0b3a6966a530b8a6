"""What to try next where values follow from flows and flows from values, and both are found by repetition."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from hydrokit.bounds import Array

__all__ = ["straightened"]


def straightened(told: Array, off: Array, told_before: Array, off_before: Array) -> Array:
    """Return where a straight line through two tries has what is tried agree with what comes out."""
    change = off - off_before
    size = (change * change).sum(axis=1, keepdims=True)
    share = np.divide((change * off).sum(axis=1, keepdims=True), size, out=np.zeros_like(size), where=size > 0.0)
    straight: Array = told - np.clip(share, -2.0, 2.0) * (told - told_before)
    return straight
