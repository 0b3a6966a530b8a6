"""Variations of rigs drawn at random."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np
import pytest

from hydrokit.bounds import specs_of
from hydrokit.parts import Hose, Source
from hydrokit.rig import owners

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig


def _varied(rig: Rig, random: np.random.Generator, count: int) -> dict[str, Any]:
    """Return a variation of about half of the bores, lengths and levels of a rig, and of the water."""
    ranges: dict[type[Any], dict[str, tuple[float, float]]] = {
        Hose: {"bore": (4e-3, 60e-3), "length": (0.1, 100.0)},
        Source: {"surface": (-10.0, 10.0)},
    }
    found = {"site.water_temperature": random.uniform(273.15, 313.15, count)}
    for address, owner in owners(rig):
        for name, limits in ranges.get(type(owner), {}).items():
            if random.random() < 0.5:
                assert name in specs_of(type(owner))
                draw = np.log(limits) if limits[0] > 0.0 else np.array(limits)
                values = random.uniform(draw[0], draw[1], count)
                found[f"{address}.{name}"] = np.exp(values) if limits[0] > 0.0 else values
    return found


@pytest.fixture(scope="session")
def varied() -> Callable[..., dict[str, Any]]:
    """Return the function that varies about half of a rig."""
    return _varied
