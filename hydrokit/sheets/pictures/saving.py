"""Figures as SVG, PNG and PDF: the same bytes each time, written whole or not at all."""

from __future__ import annotations

import re
from io import BytesIO
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Mistakes, nearest
from hydrokit.extras import require_extra
from hydrokit.files import save_bytes
from hydrokit.files.saving import target_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from matplotlib.figure import Figure

__all__ = ["check_destination", "require_plots", "save_figures", "svg_of"]

_ENDINGS: Final = (".png", ".svg", ".pdf")
_DOTS_PER_INCH: Final = 200
_ID: Final = re.compile(r' id="([^"]*)"')
_MARGIN: Final = re.compile(r"\s*\n\s*")
_USED: Final = re.compile(r'(url\(#|href="#)([^)"]+)')


def require_plots() -> None:
    """Refuse to go on without the library that draws.

    Raises
    ------
    MissingExtra
        If matplotlib is not installed, or does not load.
    """
    require_extra("plots", "matplotlib", "matplotlib.figure", "matplotlib.backends.backend_agg")


def check_destination(path: str | Path) -> None:
    """Refuse a file that no picture could be written to, before anything is worked out.

    Raises
    ------
    InputError
        If the name does not end as a picture's does.
    OutputError
        If it is a folder, or stands in one that is not there or cannot be written.
    MissingExtra
        If matplotlib is not installed.
    """
    target, mistakes = Path(path), Mistakes()
    if target.suffix.lower() not in _ENDINGS:
        close = nearest(target.suffix, _ENDINGS) or ".svg"
        mistakes.add(
            "--plot", repr(str(path)), f"a file name that ends in {', '.join(_ENDINGS)}", f"{target.stem}{close}"
        )
    mistakes.settle()
    target_of(path, force=True)
    require_plots()


def _tidy(svg: str, prefix: str) -> str:
    """Return an SVG whose names are counted instead of drawn by lot, only those that are used, each behind a prefix."""
    used = dict.fromkeys(name for _, name in _USED.findall(svg))
    numbered = {name: f"{prefix}{number}" for number, name in enumerate(used, start=1)}
    kept = _ID.sub(lambda match: f' id="{numbered[match[1]]}"' if match[1] in numbered else "", svg)
    return _MARGIN.sub("\n", _USED.sub(lambda match: match[1] + numbered[match[2]], kept))


def svg_of(figure: Figure, prefix: str = "p") -> str:
    """Return a figure as SVG, the same text each time; all writing in it is drawn, so that no font is needed.

    Parameters
    ----------
    figure : Figure
    prefix : str
        Begins every name in it; give each figure on one page another, and names on that page stay different.

    Returns
    -------
    str
        From ``<svg`` to ``</svg>``, to stand in a page or, behind an XML declaration, in a file of its own.
    """
    file = BytesIO()
    nothing: dict[str, Any] = dict.fromkeys(("Creator", "Date", "Format", "Type"))
    figure.savefig(file, format="svg", metadata=nothing)
    text = file.getvalue().decode()
    return _tidy(text[text.index("<svg") :].strip(), prefix)


def _pdf_of(figures: Sequence[Figure]) -> bytes:
    """Return a document with a page for each figure."""
    from matplotlib.backends.backend_pdf import PdfPages

    file = BytesIO()
    with PdfPages(file, metadata={"Creator": None, "Producer": None, "CreationDate": None}) as pages:
        for figure in figures:
            pages.savefig(figure)
    return file.getvalue()


def _bytes_of(figures: Sequence[Figure], ending: str) -> bytes:
    """Return figures in the form that a file ending names: PDF takes any number, the others one."""
    if ending == ".pdf":
        return _pdf_of(figures)
    (figure,) = figures
    if ending == ".svg":
        return f'<?xml version="1.0" encoding="utf-8"?>\n{svg_of(figure)}\n'.encode()
    file = BytesIO()
    figure.savefig(file, format="png", dpi=_DOTS_PER_INCH, metadata={"Software": None})
    return file.getvalue()


def save_figures(figures: Sequence[Figure], path: str | Path) -> None:
    """Write figures to a file whose ending says as what; what stood there before is replaced.

    Raises
    ------
    OutputError
        If it cannot be written; then whatever stood there stays.
    """
    save_bytes(_bytes_of(figures, Path(path).suffix.lower()), path, force=True)
