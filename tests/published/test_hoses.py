"""Published sizes of hose."""

from __future__ import annotations

import numpy as np

from hydrokit.catalogue import hose_bores


def test_hose_bores_a(published) -> None:
    """ISO 1307, nominal bores against inch sizes (from memory): the nearest of the metric series is the nominal one."""
    example = published("hose-bores-a")
    nominal = np.array([bore for _, bore in hose_bores("metric")])
    inch = example.given("inch_sizes")
    nearest = nominal[np.abs(nominal[None, :] - inch[:, None]).argmin(axis=1)]
    example.agrees("nominal_bore", nearest)
    listed = np.array([bore for _, bore in hose_bores("inch")])
    assert np.isclose(listed[None, :], inch[:, None], rtol=1e-12, atol=0.0).any(axis=1).all()
