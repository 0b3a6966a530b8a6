"""Memory of a sweep does not grow with the number of variants."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import pytest

if TYPE_CHECKING:
    from pathlib import Path

_CODE = """
import resource, sys
from hydrokit.files import demonstration
from hydrokit.studies import sweep

def most(heights: int) -> int:
    wanted = {
        "lines.intake.lift-pump.height": f"0.5 m to 3 m in {heights}",
        "lines.intake.delivery-hose.bore": "8 mm to 16 mm in 64",
    }
    sweep(demonstration(), wanted, out=sys.argv[1], force=True)
    return resource.getrusage(resource.RUSAGE_SELF).ru_maxrss

print(most(64), most(312))
"""


@pytest.mark.slow
def test_five_times_the_variants_take_no_more_memory(tmp_path: Path) -> None:
    done = subprocess.run(
        [sys.executable, "-c", _CODE, tmp_path / "a.csv"], capture_output=True, text=True, check=True, timeout=300
    )
    small, large = (int(number) / 1024.0 for number in done.stdout.split())
    with (tmp_path / "a.csv").open(encoding="utf-8") as file:
        assert sum(1 for _ in file) == 312 * 64 + 1
    assert large < 1024.0  # MiB
    assert large - small < 20.0  # MiB, while 16 000 rows more came by
