"""Whether a pump works where its curve is known, and whether its pressure switch lets it run."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.answers import Phrase, phrase
from hydrokit.bounds import Dimension
from hydrokit.parts import CentrifugalPump, DiaphragmPump
from hydrokit.rules.cycling import cycling
from hydrokit.rules.rule import Measure, Missing, Rule, margin_below

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.bounds import Array
    from hydrokit.rules.state import State

__all__ = ["STEADY_SWITCH", "WORKING_RANGE"]

_BEST_LOW: Final = 0.7
_BEST_HIGH: Final = 1.2


def _range_word(
    place: str, flow: Array, limits: tuple[Array, Array, Array], best: Array, row: int
) -> tuple[Phrase, Phrase]:
    low, high, flat = (limit[row] for limit in limits)
    said = {"flow": (flow[row], Dimension.FLOW)}
    if flow[row] < flat:
        return (
            phrase(
                f"{place} works on the flat of its curve: any flow up to {{flat}} is as likely, no duty is stable.",
                flat=(flat, Dimension.FLOW),
            ),
            phrase("Open the line downstream, or take a pump whose pressure still falls at this flow."),
        )
    if not low <= flow[row] <= high:
        edge = high if flow[row] > high else low
        return (
            phrase(
                f"{place} works at {{flow}}, outside its data sheet, which ends at {{edge}}: the curve there is a guess.",
                edge=(edge, Dimension.FLOW),
                **said,
            ),
            phrase("Ask for more points of the curve, or choose a pump for this duty."),
        )
    if np.isfinite(best[row]) and not _BEST_LOW <= flow[row] / best[row] <= _BEST_HIGH:
        return (
            phrase(
                f"{place} works at {{flow}}, far from its best at {{best}}.", best=(best[row], Dimension.FLOW), **said
            ),
            phrase("Choose a pump whose best flow lies nearer."),
        )
    return phrase(f"{place} works at {{flow}}, inside its data sheet.", **said), phrase("")


def _working_range(state: State) -> Iterator[Measure]:
    pumps = state.plan.pumps
    if pumps is None:
        return
    table = pumps.table
    for place, index in enumerate(state.running):
        element = state.plan.elements[index]
        flow = state.flow_at(index)
        if state.stands_still(flow).all():
            continue
        scale = state.full(pumps.flow_scale[:, place])
        low, high, flat = table.data_low[place] * scale, table.data_high[place] * scale, table.flat_to[place] * scale
        stated: Any = state.of(element, "best_flow") if isinstance(element.part, CentrifugalPump) else None
        best = state.full(np.nan if stated is None else stated) * scale
        near_best = np.where(np.isnan(best), True, (flow >= _BEST_LOW * best) & (flow <= _BEST_HIGH * best))  # noqa: FBT003
        inside = (flow >= low * (1.0 - 1e-9)) & (flow <= high * (1.0 + 1e-9)) & near_best
        yield Measure(
            place=element.address,
            value=flow,
            limit=high,
            margin=np.where(flow < flat, -1.0, np.where(inside, 1.0, 0.0)),
            word=partial(_range_word, element.address, flow, (low, high, flat), best),
        )


WORKING_RANGE: Final = Rule(
    name="pump working range",
    doc="Each pump works where its curve is stated and falls, and near its best flow where that is known.",
    dimension=Dimension.FLOW,
    source="the pump's data sheet; 70 to 120 % of best flow: ANSI/HI 9.6.3, preferred operating region, from memory",
    measure=_working_range,
)


def _switch_word(state: State, index: int, pressure: Array, limit: Array, row: int) -> tuple[Phrase, Phrase]:
    address = state.plan.elements[index].address
    said = {"pressure": (pressure[row], Dimension.GAUGE_PRESSURE), "limit": (limit[row], Dimension.GAUGE_PRESSURE)}
    if pressure[row] < limit[row]:
        return phrase(f"{address} works against {{pressure}}; its switch stops it at {{limit}}.", **said), phrase("")
    cycle = cycling(state, index, row)
    advice = phrase(
        "Open the line downstream: wider hose, fresh filters; or take a pump with a higher cut-out or a bypass."
    )
    if cycle is None:
        return (
            phrase(
                f"{address} would have to work against {{pressure}}, but its switch stops it at {{limit}}: it hunts.",
                **said,
            ),
            advice,
        )
    return (
        phrase(
            f"{address} would have to work against {{pressure}}, but its switch stops it at {{limit}}: it hunts, running"
            " about {share} of the time, and the flow swings between {least} and {most}.",
            share=(cycle.run_share, Dimension.FRACTION),
            least=(cycle.flow_at_cut_in, Dimension.FLOW),
            most=(cycle.flow_at_cut_out, Dimension.FLOW),
            **said,
        ),
        advice,
    )


def _steady_switch(state: State) -> Iterator[Measure | Missing]:
    for index in state.running:
        element = state.plan.elements[index]
        if not isinstance(element.part, DiaphragmPump | CentrifugalPump):
            continue
        cut_out = state.of(element, "cut_out")
        if cut_out is None:
            if isinstance(element.part, DiaphragmPump):
                yield Missing(place=element.address, needed="cut_out")
            continue
        pressure = state.walk.gauge_pressure[:, state.outlet(index)]
        limit = state.full(cut_out)
        yield Measure(
            place=element.address,
            value=pressure,
            limit=limit,
            margin=margin_below(pressure, limit),
            word=partial(_switch_word, state, index, pressure, limit),
        )


STEADY_SWITCH: Final = Rule(
    name="pump runs steadily",
    doc="The pressure at each pump's outlet stays below the one at which its switch stops it.",
    dimension=Dimension.GAUGE_PRESSURE,
    source="the pump's data sheet",
    measure=_steady_switch,
    needs=("cut_out of a diaphragm pump",),
)
