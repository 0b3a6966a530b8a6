"""Draw the pictures in README.md: the demonstration pump against its rig, and the rig, as ``check`` does."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from hydrokit import check, demonstration
from hydrokit.sheets.pictures import save_plot
from hydrokit.sheets.schematic import save_drawing

if TYPE_CHECKING:
    from collections.abc import Callable

_FOLDER = Path(__file__).parents[2] / "notebooks"


def _pump(path: Path) -> None:
    save_plot(check(demonstration(), curves=True), path, "pump")


def _rig(path: Path) -> None:
    save_drawing(demonstration(), check(demonstration()), path)


PICTURES: dict[Path, Callable[[Path], None]] = {
    _FOLDER / "pump-against-its-rig.svg": _pump,
    _FOLDER / "mill-pond-trailer.svg": _rig,
}

if __name__ == "__main__":
    for file, draw in PICTURES.items():
        draw(file)
