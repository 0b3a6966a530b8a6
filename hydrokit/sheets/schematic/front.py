"""The whole drawing: title, rows, and what its signs mean."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final
from xml.etree.ElementTree import Element, SubElement, tostring

from hydrokit.bounds import Dimension
from hydrokit.sheets.schematic.items import Scene
from hydrokit.sheets.schematic.labels import LINE, folded
from hydrokit.sheets.schematic.layout import Heights, draw_row
from hydrokit.sheets.schematic.placing import WIDTH, rows_of
from hydrokit.sheets.schematic.svg import number, printable, write
from hydrokit.sheets.schematic.trails import trails_of
from hydrokit.sheets.view import View

if TYPE_CHECKING:
    from hydrokit.rig import Rig
    from hydrokit.studies import Check

__all__ = ["drawing_tree", "rig_drawing"]

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
        told += (
            f" Flows and pressures are those of a full pipe, {full} in all, which this rig never reaches: {real} is what"
            f" its {'pressure switch' if answer.held_back_by == 'switch' else 'suction side'} allows."
        )
    return folded(told, WIDTH - 2.0 * _EDGE, 8)


def rig_drawing(rig: Rig, answer: Check, *, system: str = "metric") -> str:
    """Return a drawing of a rig from source to tap as one SVG, in black and white.

    Heights are to scale. Beside each part stand its name and the pressure behind it, beside each line its flow; what holds
    the flow back most and what fails is framed and says so.

    Parameters
    ----------
    rig : Rig
        With the values that the check was made for: :func:`hydrokit.rig.replaced` puts in those that were changed.
    answer : Check
        Of that rig.
    system : {"metric", "US", "imperial"}
        Units to show.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> from hydrokit.studies import check
    >>> rig = demonstration()
    >>> drawing = rig_drawing(rig, check(rig))
    >>> drawing[:4], "holds back most:" in drawing
    ('<svg', True)
    """
    return tostring(drawing_tree(rig, answer, system), encoding="unicode")


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
