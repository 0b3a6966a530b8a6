from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit import check, demonstration

if TYPE_CHECKING:
    from hydrokit import Check


@pytest.fixture(scope="session")
def answer() -> Check:
    """Return the check of the demonstration rig."""
    return check(demonstration())


@pytest.fixture(scope="session")
def too_high() -> Check:
    """Return the check of the demonstration rig with its pump nine metres above the water."""
    return check(demonstration(), changed={"lines.intake.lift-pump.height": 9.0})
