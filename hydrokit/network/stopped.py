"""A centrifugal pump that stands still lets water through, at a price.

Through a still impeller the head lost goes with the square of the flow. Its size is seldom stated; it is taken as the
shut-off head at the open flow, the same law that holds water back when it is forced backward through the pump running.
Our own choice: complete characteristics of small pumps are not published.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from hydrokit.laws.pump_curve import compile_curves
from hydrokit.parts import CentrifugalPump

if TYPE_CHECKING:
    from collections.abc import Set as AbstractSet

    from hydrokit.network.elements import Element
    from hydrokit.network.values import Conditions

__all__ = ["with_stopped"]


def with_stopped(elements: list[Element], off: AbstractSet[str], conditions: Conditions) -> list[Element]:
    """Return a line's elements in which centrifugal pumps that are off cost what a still impeller costs."""
    return [
        _stopped(element, element.part, conditions)
        if element.address in off and isinstance(element.part, CentrifugalPump)
        else element
        for element in elements
    ]


def _stopped(element: Element, pump: CentrifugalPump, conditions: Conditions) -> Element:
    table = compile_curves([pump.curve], places=[element.address])
    square = float(table.shut_off[0] / table.open_flow[0] ** 2)
    in_head = square if pump.heads is not None else square / conditions.weight
    return replace(
        element,
        square_forward=element.square_forward + in_head,
        square_backward=element.square_backward + in_head,
    )
