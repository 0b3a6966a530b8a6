"""The sheet of ``wear``: which filter goes first and when, what gives way before, then the curves and the filters."""

from __future__ import annotations

from bisect import bisect_right
from math import isclose
from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.rules.naming import capital, listed
from hydrokit.sheets.columns import column, percent
from hydrokit.sheets.findings import EVERY, lay_findings
from hydrokit.sheets.places import lowered, said
from hydrokit.sheets.trust import lay_cautions, lay_trust
from hydrokit.units import si

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.wearing import FilterWear, LimitReached, PrefilterGain, Wear, WearPoint

__all__ = ["lay_out"]

_VOLUME: Final = Dimension.VOLUME
_SAME: Final = 1e-6
_ROUNDING: Final = 1e-12
"""Share of the solids below which a difference is that of the arithmetic, which is not the same on every machine."""
_BY: Final = {"solids": "full of solids", "life": "past its stated life"}


def _span(least: float | None, most: float | None, view: View) -> str:
    """Return litres from least to most, one figure where they are one."""
    if least is None or most is None or abs(most - least) <= _SAME * most:
        return view.show(most if least is None else least, _VOLUME)
    return f"{view.show(least, _VOLUME)} to {view.show(most, _VOLUME)}"


def _filter(answer: Wear, place: str) -> FilterWear:
    return next(each for each in answer.filters if each.place == place)


def _reckoned(answer: Wear, row: FilterWear, view: View) -> str:
    told = [] if row.fills is None else [f"{view.show(row.fills, Dimension.NUMBER)} fills"]
    if row.days is not None and answer.daily_use is not None:
        daily = view.show(answer.daily_use, _VOLUME)
        told.append(f"{view.show(row.days / 86_400.0, Dimension.NUMBER)} days at {daily} a day")
    return f": {', or '.join(told)}" if told else ""


def _goes_first(answer: Wear, view: View) -> str:
    if not answer.filters:
        return "No filter is in use."
    if not answer.goes_first:
        if any(not row.missing for row in answer.filters):
            return f"No filter of which enough is known ever gets full{' with such flushes' if answer.flush_every else ''}."
        return "How long any filter lasts cannot be told: what it holds and keeps back, or its life, is not stated."
    row = _filter(answer, answer.goes_first)
    when = "now" if not row.likely else f"after {view.show(row.likely, _VOLUME)}"
    told = f"{capital(said(row.place))} goes first: {_BY[row.by]} {when}{_reckoned(answer, row, view)}."
    worst = _filter(answer, answer.goes_first_worst)
    if (
        answer.turbidity is None
        or worst.least is None
        or row.likely is None
        or worst.least >= row.likely * (1.0 - _SAME)
    ):
        return told
    cloudy = f"{view.show(answer.turbidity, Dimension.TURBIDITY)} of turbidity"
    after = view.show(worst.least, _VOLUME)
    other = "" if worst.place == row.place else f" it is {said(worst.place)}"
    return f"{told} With the most solids that {cloudy} may mean{other}, after {after}."


def _left_out(answer: Wear) -> str:
    """Return which filters may go before, for all that is known of them."""
    unknown = [said(row.place) for row in answer.filters if row.likely is None and row.missing]
    return f"How long {listed(unknown)} lasts is not known." if unknown and answer.goes_first else ""


def _falls(answer: Wear, view: View) -> str:
    if not answer.points:
        return ""
    first, lasts = answer.points[0], _flows_left(answer)
    if first.flow <= 0.0:
        return "No water arrives."
    early, late, start = (view.show(flow, Dimension.FLOW) for flow in (lasts[0], lasts[-1], first.flow))
    first_end = _first_end(answer, view)
    when = f"After {first_end}," if first_end else "At the end" if answer.points[-1].litres else "Now"
    told = f"{when} {early} is left of {start}"
    return f"{told}{f', or {late} if drops rise late' if late != early else ''}."


def _first_end(answer: Wear, view: View) -> str:
    """Return after how much water the first filter is used up; empty where none ever is, or one is now."""
    litres = _filter(answer, answer.goes_first).likely if answer.goes_first else None
    return view.show(litres, _VOLUME) if litres else ""


def _flows_left(answer: Wear) -> list[float]:
    """Return the flow of each curve where the first of them ends: that is when the first filter is used up."""
    curves = _curves(answer)
    first = min((rows[-1] for rows in curves), key=lambda row: row.litres)
    found = [_beside([first], rows, [row.flow for row in rows])[0] for rows in curves]
    return [rows[-1].flow if flow is None else flow for flow, rows in zip(found, curves, strict=True)]


def _curves(answer: Wear) -> list[list[WearPoint]]:
    names = dict.fromkeys(point.curve for point in answer.points)
    return [[point for point in answer.points if point.curve == name] for name in names]


def _reached(limit: LimitReached, view: View) -> str:
    what = (
        "The wanted flow no longer comes"
        if limit.limit == "wanted flow"
        else f"{capital(said(limit.limit))} no longer holds"
    )
    if limit.likely_early == 0.0:
        return f"{what} even now."
    if limit.likely_early is None and limit.likely_late is None:
        return f"With the most solids, {lowered(what)} after {view.show(limit.least, _VOLUME)}; with the likely ones the first filter is used up before."
    when = _span(limit.likely_early, limit.likely_late, view)
    if limit.likely_late is None:
        when = f"{view.show(limit.likely_early, _VOLUME)} if drops rise early, not before the first filter is used up if late"
    told = f"{what} after {when}"
    if limit.least is not None and limit.likely_early is not None and limit.least < limit.likely_early * (1.0 - _SAME):
        return f"{told}; with the most solids after {view.show(limit.least, _VOLUME)}."
    return f"{told}."


def _limits(answer: Wear, view: View) -> str:
    if not answer.points:
        return ""
    if not answer.limits:
        return "Nothing that holds now gives way before."
    return " ".join(_reached(limit, view) for limit in answer.limits[:3])


def _gain(gain: PrefilterGain, view: View) -> str:
    flows = f"{view.show(gain.flow_before, Dimension.FLOW)} becomes {view.show(gain.flow_after, Dimension.FLOW)}"
    told = f"With {gain.name} in front, {flows} while new"
    before = f"{view.show(gain.likely_before, _VOLUME)} ({view.show(gain.least_before, _VOLUME, 'not known')} with the most solids)"
    after = view.show(gain.others_likely_after, _VOLUME, "no end that is known")
    worst = view.show(gain.others_least_after, _VOLUME, "no end that is known")
    first = "it goes first itself" if gain.first_after in gain.places else f"{said(gain.first_after)} goes first"
    when = view.show(gain.likely_after, _VOLUME)
    return f"{told}; the others last {after} ({worst} with the most solids) instead of {before}; {first}, after {when}."


def _lay_curves(page: Page, answer: Wear, view: View) -> None:
    curves = _curves(answer)
    early, late = curves[0], curves[-1]
    page.heading("As the litres pass" + (", drops that rise early and late" if len(curves) > 1 else ""))
    system, volume = view.system, si(view.per, _VOLUME)
    columns = [column("passed", [row.litres for row in early], _VOLUME, system)]
    columns += [
        column(f"flow{word}", _beside(early, rows, [row.flow for row in rows]), Dimension.FLOW, system)
        for word, rows in _named(curves)
    ]
    columns += [
        column(f"fills in{word}", _beside(early, rows, [row.fill_time for row in rows]), Dimension.TIME, system)
        for word, rows in _named(curves)
    ]
    energies = [None if row.energy_per_volume is None else row.energy_per_volume * volume for row in early]
    columns.append(
        column(f"per {view.per}{', early' if early is not late else ''}", energies, Dimension.ENERGY, system)
    )
    page.columns(*columns)
    _lay_before(page, answer, early, view)


def _beside(
    stated: Sequence[WearPoint], rows: Sequence[WearPoint], values: Sequence[float | None]
) -> list[float | None]:
    """Return values of one curve at the litres of another; None beyond its end, where its first filter is used up.

    Curves of a filter that is part-used from the start end at litres of their own.
    """
    litres = [row.litres for row in rows]
    wanted = [row.litres for row in stated]
    if all(isclose(own, other, rel_tol=_SAME) for own, other in zip(litres, wanted, strict=False)) and len(
        litres
    ) == len(wanted):
        return list(values)
    found: list[float | None] = []
    for passed in wanted:
        after = min(max(bisect_right(litres, passed), 1), len(litres) - 1)
        low, high = values[max(after - 1, 0)], values[after]
        if low is None or high is None or passed > litres[-1] * (1.0 + _SAME):
            found.append(None)
        else:
            span = litres[after] - litres[max(after - 1, 0)]
            found.append(low + (high - low) * ((passed - litres[after] + span) / span if span > 0.0 else 1.0))
    return found


def _named(curves: Sequence[list[WearPoint]]) -> list[tuple[str, list[WearPoint]]]:
    return [("", curves[0])] if len(curves) == 1 else [(f"\n{rows[0].curve}", rows) for rows in curves]


def _lay_before(page: Page, answer: Wear, rows: list[WearPoint], view: View) -> None:
    page.heading(
        "Pressure before each filter, and how far it has gone to its end drop"
        + (" (early)" if len(_curves(answer)) > 1 else "")
    )
    columns = [column("passed", [row.litres for row in rows], _VOLUME, view.system)]
    for at, each in enumerate(answer.filters):
        label = each.place.rpartition(".")[2]
        columns.append(column(label, [row.pressures_before[at] for row in rows], Dimension.GAUGE_PRESSURE, view.system))
        columns.append(("", [percent(row.loadings[at], 0) for row in rows]))
    page.columns(*columns)


def _lay_filters(page: Page, answer: Wear, view: View) -> None:
    page.heading("How long each filter lasts, those before it renewed in time")
    rows, first = answer.filters, _first_end(answer, view)
    page.columns(
        ("filter", [said(row.place) for row in rows]),
        ("element", [row.element for row in rows]),
        column("at least", [row.least for row in rows], _VOLUME, view.system),
        column("likely", [row.likely for row in rows], _VOLUME, view.system),
        column("at most", [row.most for row in rows], _VOLUME, view.system),
        column(f"in it\nby {first}" if first else "in it", [row.caught for row in rows], Dimension.MASS, view.system),
        column("flushed\nout", [row.flushed or None for row in rows], Dimension.MASS, view.system),
        ("fills", ["" if row.fills is None else f"{row.fills:.0f}" for row in rows]),
        ("then", [_then(row) for row in rows]),
    )
    page.points(_lacking(rows))
    if answer.solids_likely is not None:
        page.say(_carried(answer, view))


def _lacking(rows: Sequence[FilterWear]) -> list[str]:
    """Return what is not stated of which filters, so that nobody can tell how fast they fill."""
    alike: dict[tuple[str, ...], list[str]] = {}
    for row in rows:
        if row.missing:
            alike.setdefault(row.missing, []).append(said(row.place))
    return [
        f"{listed(places)}: {said(listed(missing))} {'is' if len(missing) == 1 else 'are'} not stated, so"
        f" {'its' if len(places) == 1 else 'their'} solids are not counted"
        for missing, places in alike.items()
    ]


def _then(row: FilterWear) -> str:
    if row.likely is not None:
        return _BY[row.by]
    return "not known" if row.missing else "never"


def _carried(answer: Wear, view: View) -> str:
    likely = view.show(answer.solids_likely, Dimension.CONCENTRATION)
    told = f"The raw water carries {likely} of solids"
    if answer.solids_most != answer.solids_least:
        least, most = (view.show(each, Dimension.CONCENTRATION) for each in (answer.solids_least, answer.solids_most))
        told = f"{told}, {least} to {most} by what a turbidity may mean; dry and weigh a sample to know"
    missing = max(answer.imbalance, _ROUNDING)
    return f"{told}. What came, was caught and passed on agree to within {missing:.0e} of all that came."


def lay_out(answer: Wear, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(f"{answer.title}, {answer.mode}: as the filters load up", "heading")
    page.gap()
    sentences = [_goes_first(answer, view), _falls(answer, view), _limits(answer, view), _left_out(answer)]
    if answer.gain is not None:
        sentences.append(_gain(answer.gain, view))
    if answer.flush_every is not None:
        sentences.append(f"All this with a flush after every {view.show(answer.flush_every, _VOLUME)}.")
    page.say(" ".join(text for text in sentences if text))
    if answer.filters:
        _lay_filters(page, answer, view)
    if answer.points:
        _lay_curves(page, answer, view)
    judged = EVERY in view.also or answer.verdict in {"fails", "close"}
    if judged:
        lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    above = {f"{finding.rule} at {finding.place}" for finding in answer.findings} if judged else set()
    lasting = tuple(f"how long {row.place} lasts" for row in answer.filters)  # told below the table of the filters
    unknown = [said(text) for text in answer.trust.unknown if text not in above and not text.startswith(lasting)]
    if unknown:
        page.say("Not known:")
        page.points(unknown)
    page.say("Drops rise by the published filtration laws: cake on a surface, pores blocked or narrowed in a depth.")
    lay_cautions(page, answer.kinds)
