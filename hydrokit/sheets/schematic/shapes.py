"""Simple shapes for parts and ends, in black and white; what a thing is is written beside it, never told by its shape alone.

The bow of a valve, the circle with a triangle for a pump and the triangle over a water surface are those of everyday
drawing practice in the trade; no source.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.sheets.schematic.svg import circle, line, path, rectangle

if TYPE_CHECKING:
    from collections.abc import Callable
    from xml.etree.ElementTree import Element

__all__ = ["TALLEST", "draw_shape", "draw_water", "reach"]

TALLEST: Final = 13.0
"""Of a part, from its middle up or down."""


def draw_water(parent: Element, left: float, right: float, y: float, *, again: bool = False) -> None:
    """Draw a water surface, with the triangle that stands on it; dashed where it has been drawn before."""
    line(parent, [(left, y), (right, y)], "dashed" if again else "surface")
    middle = 0.5 * (left + right)
    line(parent, [(middle, y), (middle - 4.0, y - 6.0), (middle + 4.0, y - 6.0), (middle, y)], "mark")


def _box(parent: Element, x: float, y: float, *, half: float = 9.0, tall: float = 11.0) -> None:
    rectangle(parent, x - half, y - tall, 2.0 * half, 2.0 * tall, "shape")


def _filter(parent: Element, x: float, y: float) -> None:
    _box(parent, x, y, half=11.0, tall=12.0)
    line(parent, [(x, y - 12.0), (x, y + 12.0)], "dashed")


def _lamp(parent: Element, x: float, y: float) -> None:
    _box(parent, x, y, half=11.0, tall=8.0)
    line(parent, [(x - 7.0, y), (x + 7.0, y)], "hose")


def _pump(parent: Element, x: float, y: float) -> None:
    circle(parent, x, y, 11.0, "shape")
    line(parent, [(x - 5.0, y - 9.0), (x + 11.0, y), (x - 5.0, y + 9.0)], "mark")


def _hand_pump(parent: Element, x: float, y: float) -> None:
    circle(parent, x, y, 10.0, "shape")
    line(parent, [(x, y), (x + 8.0, y - 13.0)], "hose")


def _bow(parent: Element, x: float, y: float) -> None:
    path(parent, f"M{x - 8} {y - 6}L{x + 8} {y + 6}V{y - 6}L{x - 8} {y + 6}Z", "shape")


def _float_valve(parent: Element, x: float, y: float) -> None:
    _bow(parent, x, y)
    line(parent, [(x, y), (x, y + 6.0)], "thin")
    circle(parent, x, y + 9.5, 3.5, "shape")


def _one_way(parent: Element, x: float, y: float) -> None:
    path(parent, f"M{x - 7} {y - 6}L{x + 6} {y}L{x - 7} {y + 6}Z", "shape")
    line(parent, [(x + 6.0, y - 7.0), (x + 6.0, y + 7.0)], "mark")


def _foot_valve(parent: Element, x: float, y: float) -> None:
    _one_way(parent, x, y)
    line(parent, [(x - 8.0, y - 8.0), (x - 8.0, y + 8.0)], "dashed")


def _strainer(parent: Element, x: float, y: float) -> None:
    _box(parent, x, y, half=7.0, tall=8.0)
    for shift in (-3.5, 0.0, 3.5):
        line(parent, [(x + shift, y - 8.0), (x + shift, y + 8.0)], "dashed")


def _tail(parent: Element, x: float, y: float) -> None:
    path(parent, f"M{x - 8} {y - 5}L{x + 8} {y - 2.5}V{y + 2.5}L{x - 8} {y + 5}Z", "shape")


def _coupler(parent: Element, x: float, y: float) -> None:
    for shift in (-2.5, 2.5):
        line(parent, [(x + shift, y - 7.0), (x + shift, y + 7.0)], "mark")


def _elbow(parent: Element, x: float, y: float) -> None:
    _box(parent, x, y, half=6.0, tall=6.0)
    line(parent, [(x - 6.0, y + 3.0), (x + 2.0, y + 3.0), (x + 2.0, y - 6.0)], "mark")


def _tee(parent: Element, x: float, y: float) -> None:
    _box(parent, x, y, half=6.0, tall=6.0)
    line(parent, [(x - 6.0, y), (x + 6.0, y)], "mark")
    line(parent, [(x, y), (x, y + 6.0)], "mark")


def _fitting(parent: Element, x: float, y: float) -> None:
    _box(parent, x, y, half=5.0, tall=5.0)


def _arrow(parent: Element, x: float, y: float) -> None:
    path(parent, f"M{x - 6} {y - 5}L{x + 7} {y}L{x - 6} {y + 5}Z", "solid")


def _shut(parent: Element, x: float, y: float) -> None:
    circle(parent, x, y, 7.0, "shape")
    line(parent, [(x - 5.0, y - 5.0), (x + 5.0, y + 5.0)], "mark")
    line(parent, [(x - 5.0, y + 5.0), (x + 5.0, y - 5.0)], "mark")


def _still(parent: Element, x: float, y: float) -> None:
    circle(parent, x, y, 7.0, "shape")
    line(parent, [(x - 4.0, y), (x + 4.0, y)], "mark")


def _joint(parent: Element, x: float, y: float) -> None:
    circle(parent, x, y, 4.0, "solid")


def _joint_again(parent: Element, x: float, y: float) -> None:
    circle(parent, x, y, 5.0, "again")


def _outlet(parent: Element, x: float, y: float) -> None:
    line(parent, [(x - 12.0, y), (x, y), (x, y + 10.0)], "pipe")
    line(parent, [(x - 4.0, y + 6.0), (x, y + 13.0), (x + 4.0, y + 6.0)], "mark")


_SHAPES: Final[dict[str, Callable[[Element, float, float], None]]] = {
    "filter": _filter, "lamp": _lamp, "diaphragm pump": _pump, "centrifugal pump": _pump, "hand pump": _hand_pump,
    "valve": _bow, "float valve": _float_valve, "non-return valve": _one_way, "foot valve": _foot_valve,
    "strainer": _strainer, "hose tail": _tail, "coupler": _coupler, "elbow": _elbow, "tee": _tee, "fitting": _fitting,
    "arrow": _arrow, "shut": _shut, "still": _still,
    "joint": _joint, "joint again": _joint_again, "outlet": _outlet,
}  # fmt: skip


_REACH: Final = {
    "filter": 12.0,
    "lamp": 8.0,
    "strainer": 8.0,
    "joint": 4.0,
    "float valve": 13.0,
    "foot valve": 8.0,
} | dict.fromkeys(("diaphragm pump", "centrifugal pump", "hand pump"), 11.0)
_SMALL: Final = 7.0


def reach(kind: str) -> float:
    """Return how far a shape goes up and down from its middle."""
    return _REACH.get(kind, _SMALL)


def draw_shape(parent: Element, kind: str, x: float, y: float) -> None:
    """Draw a part, joint, outlet or mark about its middle; hoses, tanks and sources have a size and are drawn elsewhere."""
    _SHAPES[kind](parent, x, y)
