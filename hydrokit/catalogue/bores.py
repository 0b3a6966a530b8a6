"""Standard bores of hose."""

from __future__ import annotations

import tomllib
from functools import cache
from typing import Final, Literal, TypeAlias

from hydrokit.bounds import Dimension, require_word
from hydrokit.catalogue.entries import DATA
from hydrokit.units import si

__all__ = ["SAME_SIZE", "SERIES", "Series", "hose_bores", "series_of"]

Series: TypeAlias = Literal["metric", "inch", "all"]
SERIES: Final = ("metric", "inch", "all")
SAME_SIZE: Final = 1.02
"""Ratio of bores below which they are the same size by two names, such as 12.5 mm and half an inch; our own choice."""


@cache
def _table() -> dict[str, tuple[tuple[str, float], ...]]:
    raw = tomllib.loads((DATA / "bores.toml").read_text(encoding="utf-8"))
    return {
        series: tuple((label, si(label, Dimension.LENGTH)) for label in raw[series]["labels"])
        for series in ("metric", "inch")
    }


def hose_bores(series: Series = "metric") -> tuple[tuple[str, float], ...]:
    """Return the standard hose bores from narrow to wide, each as a label and metres.

    Parameters
    ----------
    series : {"metric", "inch", "all"}
        Nominal bores in millimetres, inch sizes taken at their word, or both.

    Raises
    ------
    InputError
        If there is no such series.

    Notes
    -----
    Nominal bores: ISO 1307, from memory. The label is a trade size; a hose's real bore may differ by several per cent.

    Examples
    --------
    >>> hose_bores()[:3]
    (('3.2 mm', 0.0032), ('4 mm', 0.004), ('5 mm', 0.005))
    """
    require_word("series", series, SERIES)
    chosen = _table()["metric"] + _table()["inch"] if series == "all" else _table()[series]
    return tuple(sorted(chosen, key=lambda bore: bore[1]))


def series_of(bore: float) -> Series:
    """Return the series to which a bore in metres belongs: inch sizes where it is nearer to one of those and all but it.

    Examples
    --------
    >>> series_of(0.01905), series_of(0.019)
    ('inch', 'metric')
    """
    apart = {series: min(abs(size / bore - 1.0) for _, size in _table()[series]) for series in ("metric", "inch")}
    return "inch" if apart["inch"] < min(apart["metric"], SAME_SIZE - 1.0) else "metric"
