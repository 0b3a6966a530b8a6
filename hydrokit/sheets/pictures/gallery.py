"""The pictures of each question, and figures made of them: one by one, or all on one sheet."""

from __future__ import annotations

from importlib import import_module
from typing import TYPE_CHECKING, Any, Final

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Mistakes, nearest, require
from hydrokit.errors import InputError, Mistake
from hydrokit.sheets.pictures.labels import broken
from hydrokit.sheets.pictures.saving import check_destination, require_plots, save_figures
from hydrokit.sheets.pictures.style import INCH, SMALL, TITLE, Look, Picture
from hydrokit.units import SYSTEMS

if TYPE_CHECKING:
    from collections.abc import Collection, Sequence
    from pathlib import Path

    from matplotlib.figure import Figure, FigureBase

    from hydrokit.answers import Answer

__all__ = ["PICTURES", "check_picture", "figures_of", "plot", "save_plot"]

PICTURES: Final[dict[str, tuple[str, ...]]] = {
    "check": ("pump", "way", "heads"),
    "lift": ("depth", "pump"),
    "bore": ("sizes",),
    "fill": ("levels",),
    "draw": ("levels", "flows"),
    "wear": ("litres",),
    "match": ("candidates",),
    "compare": ("sides",),
    "envelope": ("corners",),
    "spread": ("guesses",),
}
"""Files of each question's pictures, loaded when it is drawn."""
_SEVERAL: Final = ("pump", "way", "sizes", "guesses")
"""Pictures of which an answer may have several; how many shows when it is there."""

WIDTH: Final = 0.16
"""m; the text of an A4 page."""
_INVENTED: Final = "Mill-pond trailer"
"""Title of the demonstration rig."""
_LINE: Final = 1.2
"""Of the size of its letters, that a line is high."""
_EDGE: Final = 0.03
"""Inches left free around a picture."""


def _look(system: str, width: float) -> Look:
    mistakes = Mistakes()
    if system not in SYSTEMS:
        mistakes.add("system", repr(system), f"one of {', '.join(SYSTEMS)}", nearest(system, SYSTEMS))
    mistakes.settle()
    require("width", width, 0.06, 2.0, "m")
    require_plots()
    return Look(system, width)


def _pictures(answer: Answer, look: Look) -> dict[str, Picture]:
    """Return all pictures of an answer by name; where there are several of one name, they are counted."""
    files = PICTURES.get(answer.question, ())
    made: list[Picture] = []
    for file in files:
        made += import_module(f"hydrokit.sheets.pictures.{file}").pictures_of(answer, look)
    names = [picture.name for picture in made]
    counted = [
        name if names.count(name) == 1 else f"{name} {names[: place + 1].count(name)}"
        for place, name in enumerate(names)
    ]
    return dict(zip(counted, made, strict=True))


def _remark(answer: Answer, note: str | None) -> str:
    """Return the small line below a picture: what was judged, and that its data are invented where they are."""
    invented = "all data invented" if answer.title == _INVENTED else ""
    parts = [answer.title, answer.mode and f"mode {answer.mode}", invented if note is None else note]
    return "; ".join(part for part in parts if part)


def _words(picture: Picture, remark: str, look: Look) -> tuple[str, str]:
    """Return what stands above a picture and below it, broken into lines."""
    room = look.points - 8.0
    below = "\n".join(broken(text, room, lines=6, size=SMALL) for text in (picture.remark, remark) if text)
    return broken(picture.heading, room, lines=3, size=TITLE, bold=True), below


def _height(picture: Picture, remark: str, look: Look) -> float:
    """Return the height of a picture, m, with room for every line beyond the first above it and the first two below."""
    above, below = _words(picture, remark, look)
    more = TITLE * above.count("\n") + SMALL * max(below.count("\n") - 1, 0)
    return picture.height + _LINE * more * INCH / 72.0


def _fill(frame: FigureBase, picture: Picture, remark: str, look: Look) -> Sequence[Any]:
    above, below = _words(picture, remark, look)
    frame.suptitle(above, x=0.005, ha="left", fontsize=TITLE, fontweight="bold", parse_math=False)
    if below:
        frame.supxlabel(below, x=0.005, ha="left", fontsize=SMALL, linespacing=1.2, parse_math=False)
    return tuple(picture.draw(frame, look))


def _blank(look: Look, height: float) -> Any:
    from matplotlib.backends.backend_agg import FigureCanvasAgg
    from matplotlib.figure import Figure

    figure = Figure(figsize=(look.width / INCH, height / INCH), dpi=100.0, facecolor="white")
    FigureCanvasAgg(figure)
    figure.set_layout_engine("constrained", h_pad=_EDGE, w_pad=_EDGE, hspace=0.0, wspace=0.0)
    return figure


def _sheet(pictures: Sequence[Picture], look: Look, remark: str) -> Figure:
    """Return a figure of some pictures, one below the other."""
    remarks = [*[""] * (len(pictures) - 1), remark]
    heights = [_height(*part, look) for part in zip(pictures, remarks, strict=True)]
    figure: Figure = _blank(look, sum(heights))
    if len(pictures) == 1:
        frames: list[Any] = [figure]
    else:
        frames = list(figure.subfigures(len(pictures), 1, height_ratios=heights, squeeze=False, hspace=0.03)[:, 0])
    labels = [each for parts in zip(frames, pictures, remarks, strict=True) for each in _fill(*parts, look)]
    engine: Any = figure.get_layout_engine()
    engine.execute(figure)  # so that the axes are where they will stay
    figure.set_layout_engine("none")
    for each in labels:
        each.place()
    return figure


def figures_of(
    answer: Answer,
    *,
    system: str = "metric",
    width: float = WIDTH,
    note: str | None = None,
    only: Collection[str] | None = None,
) -> dict[str, Figure]:
    """Return every picture of an answer, by name.

    Parameters
    ----------
    answer : Answer
        Of any study; one that has no picture gives none.
    system : {"metric", "US", "imperial"}
        Units to show.
    width : float
        On paper. [m]
    note : str, optional
        Small line below each; of the demonstration rig, that its data are invented, where none is given.
    only : collection of str, optional
        Names of the pictures wanted, without their count where there are several; else all.

    Returns
    -------
    dict of str to matplotlib.figure.Figure
        The most telling first.

    Raises
    ------
    InputError
        If there is no such system of units, or the width is not possible.
    MissingExtra
        If matplotlib is not installed.
    """
    look = _look(system, width)
    remark = _remark(answer, note)
    return {
        name: _sheet([picture], look, remark)
        for name, picture in _pictures(answer, look).items()
        if only is None or picture.name in only
    }


def _chosen(answer: Answer, picture: str | None, look: Look) -> list[Picture]:
    """Return the pictures asked for: all of them, one, or those of one name."""
    known = _pictures(answer, look)
    if not known:
        listed = "one with something in it to draw" if answer.question in PICTURES else f"one of {', '.join(PICTURES)}"
        raise InputError([Mistake("answer", f"one of {answer.question}, with nothing to draw", listed)])
    if picture is None:
        return list(known.values())
    found = [each for name, each in known.items() if picture in (name, each.name)]
    if not found:
        near = nearest(picture, tuple(known))
        raise InputError([Mistake("picture", repr(picture), f"one of {', '.join(known)}", near)])
    return found


def check_picture(question: str, picture: str) -> None:
    """Refuse a picture that no answer to a question has, before anything is worked out.

    Parameters
    ----------
    question : str
        Word of the question.
    picture : str
        Name of the picture; with its count where an answer may have several of one name.

    Raises
    ------
    InputError
        If there is none of that name.
    """
    known = PICTURES.get(question, ())
    name, blank, count = picture.rpartition(" ")
    counted = blank and name in known and name in _SEVERAL and count.isascii() and count.isdigit() and count.strip("0")
    if picture not in known and not counted:
        raise InputError([Mistake("picture", repr(picture), f"one of {', '.join(known)}", nearest(picture, known))])


@as_annotated
def plot(
    answer: Answer,
    picture: str | None = None,
    *,
    system: str = "metric",
    width: float = WIDTH,
    note: str | None = None,
) -> Figure:
    """Return a figure of an answer: all its pictures one below the other, or one of them.

    Parameters
    ----------
    answer : Answer
        Of any study that has a picture.
    picture : str, optional
        Name of one, as :func:`figures_of` lists them.
    system : {"metric", "US", "imperial"}
        Units to show.
    width : float
        On paper. [m]
    note : str, optional
        Small line below each picture.

    Returns
    -------
    matplotlib.figure.Figure
        Save it by ``figure.savefig(path)``; a notebook shows it.

    Raises
    ------
    InputError
        If the answer has no picture, or none of that name.
    MissingExtra
        If matplotlib is not installed.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> from hydrokit.studies import check
    >>> figure = plot(check(demonstration()), "heads", system="US")
    >>> figure.get_axes()[0].get_xlabel()
    'share of all that is spent (%)'
    """
    look = _look(system, width)
    return _sheet(_chosen(answer, picture, look), look, _remark(answer, note))


def save_plot(
    answer: Answer,
    path: str | Path,
    picture: str | None = None,
    *,
    system: str = "metric",
    width: float = WIDTH,
    note: str | None = None,
) -> None:
    """Write the pictures of an answer to a file: PNG or SVG as one sheet, PDF with a page for each.

    Raises
    ------
    InputError
        If the name ends in none of these, or the answer has no such picture.
    OutputError
        If it cannot be written; then whatever stood there stays.
    MissingExtra
        If matplotlib is not installed.
    """
    check_destination(path)
    look, remark = _look(system, width), _remark(answer, note)
    chosen = _chosen(answer, picture, look)
    apart = str(path).lower().endswith(".pdf")
    sheets = [[each] for each in chosen] if apart else [chosen]
    save_figures([_sheet(sheet, look, remark) for sheet in sheets], path)
