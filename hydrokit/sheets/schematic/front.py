"""The whole drawing: title, rows, and what its signs mean."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Final
from xml.etree.ElementTree import Element, SubElement, tostring

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Mistakes
from hydrokit.files import save_text
from hydrokit.files.saving import target_of
from hydrokit.rig import in_force
from hydrokit.sheets.schematic.items import Scene
from hydrokit.sheets.schematic.labels import LINE, folded
from hydrokit.sheets.schematic.layout import Heights, draw_row
from hydrokit.sheets.schematic.placing import WIDTH, rows_of
from hydrokit.sheets.schematic.svg import number, printable, write
from hydrokit.sheets.schematic.trails import trails_of
from hydrokit.sheets.view import View

if TYPE_CHECKING:
    from collections.abc import Mapping

    from hydrokit.rig import Rig
    from hydrokit.studies import Check

__all__ = ["check_destination", "drawing_tree", "rig_drawing", "save_drawing"]

_DECLARATION: Final = '<?xml version="1.0" encoding="utf-8"?>\n'
_ENDING: Final = ".svg"
_EDGE: Final = 12.0
_BETWEEN_ROWS: Final = 26.0
_TITLE_SIZE: Final = 15.0
_STYLE: Final = """
.rig-drawing { font-family: Arial, Helvetica, "Liberation Sans", sans-serif; font-size: 11px; background: #fff; }
.rig-drawing text { fill: #000; white-space: pre; }
.rig-drawing .title { font-size: 15px; font-weight: bold; }
.rig-drawing .name { font-weight: bold; }
.rig-drawing polyline, .rig-drawing path, .rig-drawing rect, .rig-drawing circle { fill: none; stroke: #000; stroke-width: 1.3; }
.rig-drawing .shape { fill: #fff; }
.rig-drawing .again { fill: #fff; stroke-dasharray: 4 3; }
.rig-drawing .solid { fill: #000; }
.rig-drawing .pipe { stroke-width: 1.6; }
.rig-drawing .hose { stroke-width: 3.4; stroke-linejoin: round; }
.rig-drawing .mark { fill: none; }
.rig-drawing .dashed { stroke-width: 1; stroke-dasharray: 3 2; }
.rig-drawing .thin { stroke-width: .8; }
.rig-drawing .surface { stroke-width: 1; }
.rig-drawing .leader { stroke-width: .5; }
.rig-drawing .scale { stroke: #bbb; stroke-width: .6; }
.rig-drawing .frame-of-hose { stroke-width: 11; }
.rig-drawing .gap { stroke: #fff; stroke-width: 7; }
.rig-drawing .frame { stroke-width: 2.2; stroke-dasharray: none; }
"""


def _key(answer: Check, view: View, *, again: bool) -> list[str]:
    """Return what the signs of the drawing mean."""
    told = (
        "Heights are to scale, each row to the same; the length of hoses and the size of parts are not. Beside each part stands"
        " the pressure after it, against the air outside. A black arrow shows where the water of a line goes."
    )
    if again:
        told += " What is dashed round its edge is drawn once more, for another line."
    if any(stop.flow != 0.0 for stop in answer.stops) and answer.flow < answer.full_pipe_flow * (1.0 - 1e-6):
        full, real = (view.show(flow, Dimension.FLOW) for flow in (answer.full_pipe_flow, answer.flow))
        holder = {"switch": "pressure switch", "relief": "relief valve"}.get(answer.held_back_by, "suction side")
        told += (
            f" Flows and pressures are those of a full pipe, {full} in all, which this rig never reaches: {real} is what"
            f" its {holder} allows."
        )
    if not answer.stays_whole:
        told += (
            " Flows and pressures are those of water that stays whole, which it does not: no arrival can be claimed."
        )
    return folded(told, WIDTH - 2.0 * _EDGE, 8)


@as_annotated
def rig_drawing(rig: Rig, answer: Check, *, changed: Mapping[str, float] | None = None, system: str = "metric") -> str:
    """Return a drawing of a rig from source to tap as one SVG, in black and white.

    Heights are to scale. Beside each part stand its name and the pressure after it, beside each line its flow; what holds
    the flow back most and what fails is framed and says so.

    Parameters
    ----------
    rig : Rig
    answer : Check
        Of that rig.
    changed : mapping of address to float, optional
        As it was given to :func:`hydrokit.check`, SI.
    system : {"metric", "US", "imperial"}
        Units to show.

    Returns
    -------
    str
        From ``<svg`` to ``</svg>``.

    Raises
    ------
    InputError
        If the answer is of a mode that the rig has not, an address is unknown, or there is no such system of units.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> from hydrokit.studies import check
    >>> rig = demonstration()
    >>> drawing = rig_drawing(rig, check(rig))
    >>> drawing[:4], "holds back most:" in drawing
    ('<svg', True)
    """
    tree = drawing_tree(in_force(rig, answer.mode, changed), answer, system)
    return tostring(tree, encoding="unicode")


def check_destination(path: str | Path) -> None:
    """Refuse a file that no drawing could be written to, before anything is worked out.

    Raises
    ------
    InputError
        If its name does not end in ``.svg``.
    OutputError
        If it is a folder, or stands in one that is not there.
    """
    mistakes, name = Mistakes(), Path(path).name
    if Path(path).suffix.lower() != _ENDING:
        mistakes.add("drawing", repr(str(path)), f"a file name that ends in {_ENDING}", f"{Path(name).stem}{_ENDING}")
    mistakes.settle()
    target_of(path, force=True)


def save_drawing(
    rig: Rig,
    answer: Check,
    path: str | Path,
    *,
    changed: Mapping[str, float] | None = None,
    system: str = "metric",
) -> None:
    """Write the drawing of a rig to an SVG file; what stood there before is replaced. See :func:`rig_drawing`.

    Raises
    ------
    InputError
        If its name does not end in ``.svg``; else as :func:`rig_drawing`.
    OutputError
        If it cannot be written; then whatever stood there stays.
    """
    check_destination(path)
    save_text(f"{_DECLARATION}{rig_drawing(rig, answer, changed=changed, system=system)}\n", path, force=True)


def drawing_tree(rig: Rig, answer: Check, system: str, *, titled: bool = True) -> Element:
    """Return the drawing as elements, to stand in a file of its own or, without a title to be seen, in a page."""
    view = View(system)
    scene = Scene(rig, answer, view)
    trails = [scene.items(trail) for trail in trails_of(rig, scene.flows)]
    heights = Heights.of([item for trail in trails for item in trail], system)
    root = Element("svg", {"xmlns": "http://www.w3.org/2000/svg", "class": "rig-drawing", "role": "img"})
    title = printable(f"{answer.title}, {answer.mode}")
    SubElement(root, "title").text = f"Drawing of {title}"
    SubElement(root, "style").text = _STYLE
    y = _EDGE
    for text in folded(title, WIDTH - 2.0 * _EDGE, 3, _TITLE_SIZE * 1.1) if titled else ():
        y += 1.3 * _TITLE_SIZE
        write(root, _EDGE, y, text, "title")
    y += _EDGE
    for row in rows_of(trails):
        y = draw_row(root, row, y, heights) + _BETWEEN_ROWS
    for text in _key(answer, view, again=any(item.again for trail in trails for item in trail)):
        y += LINE
        write(root, _EDGE, y, text, "told")
    root.set("viewBox", f"0 0 {number(WIDTH)} {number(y + _EDGE)}")
    root.set("width", number(WIDTH))
    root.set("height", number(y + _EDGE))
    return root
