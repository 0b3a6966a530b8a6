"""Where the head goes, part by part, as bars with their figures written beside them."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension
from hydrokit.sheets.columns import percent
from hydrokit.sheets.pictures.bars import bars_of, height_of
from hydrokit.sheets.pictures.style import Look, Picture
from hydrokit.sheets.places import spent_on
from hydrokit.units import aligned

if TYPE_CHECKING:
    from collections.abc import Iterable, Sequence

    from matplotlib.figure import FigureBase

    from hydrokit.sheets.pictures.labels import Labels
    from hydrokit.studies.facts.heads import HeadShare

__all__ = ["pictures_of"]

_SMALL: Final = 0.005
_MOST: Final = 14


def _told(shares: Sequence[HeadShare]) -> tuple[list[HeadShare], list[HeadShare]]:
    """Return the shares that have a bar of their own, and the rest."""
    own = [share for share in shares if share.share >= _SMALL][:_MOST]
    return own, list(shares[len(own) :])


def _draw(frame: FigureBase, look: Look, shares: Sequence[HeadShare]) -> Iterable[Labels]:
    own, rest = _told(shares)
    unit, heads = aligned([share.head for share in own], Dimension.LENGTH, look.system)
    rows = [
        (spent_on(share), share.share, f"{percent(share.share, 1)}, {head} {unit}")
        for share, head in zip(own, heads, strict=True)
    ]
    if rest:
        sum_of_rest = sum(share.share for share in rest)
        rows.append((f"{len(rest)} other part{'s' * (len(rest) > 1)}", sum_of_rest, percent(sum_of_rest, 1)))
    bars_of(frame, look, rows, "share of all that is spent (%)", Dimension.FRACTION)
    return ()


def pictures_of(answer: Any, look: Look) -> Iterable[Picture]:
    """Return one picture; none where nothing flows."""
    del look
    if answer.head_shares:
        own, rest = _told(answer.head_shares)
        height = height_of(len(own) + bool(rest))
        yield Picture(
            "heads", "Where the head goes", height, lambda frame, look: _draw(frame, look, answer.head_shares)
        )
