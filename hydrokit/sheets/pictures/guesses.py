"""What moves each figure of a rig, of all that is only roughly known, and how far the figure may lie."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import percent
from hydrokit.sheets.pictures.bars import bars_of, height_of
from hydrokit.sheets.pictures.style import Look, Picture
from hydrokit.sheets.places import said

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from matplotlib.figure import FigureBase

    from hydrokit.sheets.pictures.labels import Labels
    from hydrokit.studies.chance.foremost import Moves

__all__ = ["pictures_of"]

_SMALL: Final = 0.005
_MOST: Final = 8


def _draw(frame: FigureBase, look: Look, moves: Sequence[Moves]) -> Iterable[Labels]:
    rows = [
        (
            said(each.address).replace("_", " "),
            each.share,
            f"{percent(each.share, 1)}, {'rises' if each.correlation > 0.0 else 'falls'} with it",
        )
        for each in moves
    ]
    bars_of(frame, look, rows, "share of the scatter (%)", Dimension.FRACTION)
    return ()


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture for each figure that scatters."""
    for outcome in answer.outcomes:
        moves = [each for each in answer.moves if each.outcome == outcome.name and each.share >= _SMALL]
        moves = sorted(moves, key=lambda each: -each.share)[:_MOST]
        if moves and outcome.low is not None and outcome.high is not None:
            low, high = (look.show(each, outcome.dimension) for each in (outcome.low, outcome.high))
            heading = f"What moves the {outcome.name}: {low} to {high}"
            remark = f"In 90 % of {answer.samples} samples it lies between these; shares are of its variance in ranks."
            yield Picture("guesses", heading, height_of(len(moves)), partial(_draw, moves=moves), remark)
