"""Draw the picture in README.md: the demonstration pump against its rig, as ``check --plot`` does."""

from __future__ import annotations

from pathlib import Path

from hydrokit import check, demonstration
from hydrokit.sheets.pictures import save_plot

PICTURE = Path(__file__).parents[2] / "notebooks" / "pump-against-its-rig.svg"


def draw(path: Path) -> None:
    """Write the picture to a file."""
    save_plot(check(demonstration(), curves=True), path, "pump")


if __name__ == "__main__":
    draw(PICTURE)
