"""What several rigs deliver, side by side, each with its verdict."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from hydrokit.bounds import Dimension
from hydrokit.sheets.pictures.bars import bars_of, height_of
from hydrokit.sheets.pictures.style import Look, Picture, scale_of

if TYPE_CHECKING:
    from collections.abc import Iterable

    from matplotlib.figure import FigureBase

    from hydrokit.sheets.pictures.labels import Labels

__all__ = ["pictures_of"]


def _told(side: Any, look: Look) -> str:
    full = "" if side.fill_time is None else f", full after {look.show(side.fill_time, Dimension.TIME)}"
    return f"{look.show(side.flow, Dimension.FLOW)}, {side.verdict}{full}"


def _draw(frame: FigureBase, look: Look, answer: Any) -> Iterable[Labels]:
    rows = [(side.name, side.flow, _told(side, look)) for side in answer.sides]
    scale = scale_of([side.flow for side in answer.sides], Dimension.FLOW, look.system)
    bars_of(frame, look, rows, scale.label("flow delivered"), Dimension.FLOW)
    return ()


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture."""
    del look
    heading = "What each rig delivers"
    yield Picture("sides", heading, height_of(len(answer.sides)), lambda frame, look: _draw(frame, look, answer))
