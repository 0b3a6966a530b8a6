"""The sheet of ``check``: the verdict in sentences, then findings, heads, changes, pumps, and the walk if asked for."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.rules.arrival import ARRIVES
from hydrokit.rules.naming import listed
from hydrokit.rules.priming import PRIMES
from hydrokit.rules.pumping import STEADY_SWITCH
from hydrokit.rules.suction import WHOLE_WATER
from hydrokit.sheets.columns import column, percent
from hydrokit.sheets.findings import lay_grave, lay_holding, of_verdict
from hydrokit.sheets.places import first_address, lowered, said, spent_on
from hydrokit.sheets.questions.credited import lay_credited
from hydrokit.sheets.questions.pumps import lay_batteries, lay_pumps
from hydrokit.sheets.questions.walked import WALK, lay_walk
from hydrokit.sheets.questions.weights import lay_weights
from hydrokit.sheets.trust import lay_agreement, lay_cautions, lay_trust

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.changing.changes import Change
    from hydrokit.studies.checking import Check

__all__ = ["lay_out"]

_SAME: Final = 1e-6
_SMALL_SHARE: Final = 0.005
_LEAST_GAIN: Final = 0.0005
_CAVEATS: Final = {
    PRIMES.name: "Every figure below is for a suction hose that is already full of water, which this rig does not"
    " bring about by itself.",
    STEADY_SWITCH.name: "Every figure below is for a pump that runs steadily, which its switch or relief valve does not allow.",
}


def _limited(answer: Check) -> bool:
    """Return whether suction allows less than the full pipe would carry."""
    return answer.flow < answer.full_pipe_flow * (1.0 - _SAME)


def _suction_headline(answer: Check, view: View) -> str:
    full = view.show(answer.full_pipe_flow, Dimension.FLOW)
    if answer.held_back_by == "switch":
        mean = view.show(answer.flow, Dimension.FLOW)
        return (
            f"The pressure switch lets about {mean} through, pumping on and off. The {full} of a pump that ran on is an"
            " upper bound that this rig never reaches."
        )
    if answer.held_back_by == "relief":
        return (
            f"The relief valve leaves {view.show(answer.flow, Dimension.FLOW)}, no more. The {full} of a pump without one is"
            " an upper bound that this rig never reaches."
        )
    if answer.flow <= 0.0:
        return f"Suction lets nothing through. The {full} of a full pipe is an upper bound that this rig never reaches."
    allowed = view.show(answer.flow, Dimension.FLOW)
    return (
        f"Suction lets {allowed} through, no more. The {full} of a full pipe is an upper bound that this rig never"
        " reaches."
    )


def _count(count: int, one: str, many: str) -> str:
    return f"1 {one}" if count == 1 else f"{count} {many}"


def _verdict(answer: Check) -> str:
    counts = {verdict: len(of_verdict(answer, verdict)) for verdict in Verdict}
    unknown = _count(counts[Verdict.UNKNOWN], "limit is not known", "limits are not known")
    tail = f" Besides, {unknown}." if counts[Verdict.UNKNOWN] else ""
    if answer.verdict is Verdict.FAILS:
        return f"It does not work as drawn: {_count(counts[Verdict.FAILS], 'limit fails', 'limits fail')}.{tail}"
    if answer.verdict is Verdict.CLOSE:
        return f"It works, but {_count(counts[Verdict.CLOSE], 'limit is', 'limits are')} close.{tail}"
    if answer.verdict is Verdict.UNKNOWN:
        return f"Nothing that could be judged fails, but {unknown}."
    return (
        f"It works: {_count(counts[Verdict.HOLDS], 'limit was judged and holds', 'limits were judged and all hold')}."
    )


def _delivered(answer: Check, view: View) -> str:
    if answer.full_pipe_flow <= 0.0:
        return "No water arrives anywhere."
    if _limited(answer):
        return (
            ""
            if answer.stays_whole
            else "Even that takes water that stays whole, which it does not: no arrival can be claimed."
        )
    flow = view.show(answer.flow, Dimension.FLOW)
    if not answer.stays_whole:
        return f"{flow} would arrive if the water stayed whole, which it does not: no arrival can be claimed."
    if len(answer.arrivals) == 1:
        return f"{flow} arrives at {answer.arrivals[0].place}."
    flows = [view.show(arrival.flow, Dimension.FLOW) if arrival.flow else "nothing" for arrival in answer.arrivals]
    shares = [f"{share} at {arrival.place}" for share, arrival in zip(flows, answer.arrivals, strict=True)]
    return f"{flow} arrives: {listed(shares)}."


def _what_limits(answer: Check, view: View) -> str:
    failing = of_verdict(answer, Verdict.FAILS)
    if failing:
        return f"The worst: {lowered(view.said(failing[0].reason))}"
    if answer.head_shares:
        most = answer.head_shares[0]
        share = view.show(most.share, Dimension.FRACTION, digits=2)
        return f"What holds the flow back most is {spent_on(most)}: {share} of all that is spent."
    return ""


def _change_first(answer: Check, view: View) -> str:
    if not answer.changes:
        return _no_change(answer, view) if answer.full_pipe_flow > 0.0 else ""
    first, failing = answer.changes[0], len(of_verdict(answer, Verdict.FAILS))
    mending = max(answer.changes, key=lambda change: len(change.mends))
    if not failing:
        return f"Change first: {_then(first, answer, view)}."
    if len(mending.mends) == failing:
        return f"Change first: {_what(mending, view)}; that mends it, and {_flow(mending, view)} arrives."
    if not mending.mends:
        mended = "it" if failing == 1 else "any of them"
        return f"No single change that was tried mends {mended}. The most flow comes by this: {_then(first, answer, view)}."
    if not first.mends:
        mended = _count(len(mending.mends), "limit is mended", "limits are mended")
        return (
            f"No single change mends it all. The worst limit gains most by this: {_then(first, answer, view)}."
            f" {mended} by this: {_what(mending, view)}."
        )
    left = _count(failing - len(first.mends), "limit still fails", "limits still fail")
    return f"No single change mends it all. Begin here: {_then(first, answer, view)}, and {left}."


def _no_change(answer: Check, view: View) -> str:
    """Return what there is to do where no change of a part helps: bring the water to where it is to arrive at all."""
    missed = [finding for finding in of_verdict(answer, Verdict.FAILS) if finding.rule == ARRIVES.name]
    if missed:
        return f"Change first: {lowered(view.said(missed[0].advice))}"
    return "No single change that was tried brings anything."


def _what(change: Change, view: View) -> str:
    return lowered(view.said(change.what))


def _flow(change: Change, view: View) -> str:
    return view.show(change.flow, Dimension.FLOW)


def _then(change: Change, answer: Check, view: View) -> str:
    """Return a change and what arrives then, which it does only if the water stays whole."""
    whole = answer.stays_whole or all(
        f"{WHOLE_WATER.name} at {finding.place}" in change.mends
        for finding in of_verdict(answer, Verdict.FAILS)
        if finding.rule == WHOLE_WATER.name
    )
    arrives = "then arrives" if whole else "would then arrive if the water stayed whole"
    return f"{_what(change, view)}; {_flow(change, view)} {arrives}"


def _lay_answer(page: Page, answer: Check, view: View) -> None:
    page.say(f"{answer.title}, {answer.mode}", "heading")
    page.gap()
    sentences = [_suction_headline(answer, view)] if _limited(answer) else []
    sentences += [_verdict(answer), _delivered(answer, view), _what_limits(answer, view)]
    failing = {finding.rule for finding in of_verdict(answer, Verdict.FAILS)}
    sentences += [text for rule, text in _CAVEATS.items() if rule in failing]
    sentences.append(_change_first(answer, view))
    page.say(" ".join(text for text in sentences if text))


def _lay_heads(page: Page, answer: Check, view: View) -> None:
    if not answer.head_shares:
        return
    page.heading("Where the head goes")
    shown = [share for share in answer.head_shares if share.share >= _SMALL_SHARE]
    rest = [share for share in answer.head_shares if share.share < _SMALL_SHARE]
    head, cells = column("head", [share.head for share in shown], Dimension.LENGTH, view.system)
    rows = [
        [spent_on(share), "" if share.place == share.kind else share.kind, cell, percent(share.share, 1)]
        for share, cell in zip(shown, cells, strict=True)
    ]
    if rest:
        rows.append(
            [_count(len(rest), "other part", "other parts"), "", "", percent(sum(share.share for share in rest), 1)]
        )
    page.table(["part", "kind", head, "of all"], rows)


def _after(change: Change) -> str:
    mended = [f"mends {said(place)}" for place in change.mends]
    limit = [f"limited by {said(change.limit_after)}"] if change.limit_after else []
    return "; ".join(mended + limit)


def _gain(share: float) -> str:
    """Return what a change brings, nothing where it is too little to be written."""
    return percent(share, 1, sign="+") if abs(share) >= _LEAST_GAIN else ""


def _lay_changes(page: Page, answer: Check, view: View) -> None:
    if not answer.changes:
        return
    page.heading("What to change first")
    changes = answer.changes
    page.columns(
        ("change", [view.said(change.what) for change in changes]),
        column("flow then", [change.flow for change in changes], Dimension.FLOW, view.system),
        ("more", [_gain(change.flow_gain / answer.flow) if answer.flow > 0.0 else "" for change in changes]),
        ("worst margin", [_gain(change.margin_gain) for change in changes]),
        ("then", [_after(change) for change in changes]),
    )
    page.say("Each was solved anew by itself; none makes another limit fail.")
    if not answer.stays_whole:
        page.say(
            "These flows are those of water that stays whole, which it does only where the limit of that name is mended."
        )


def lay_out(answer: Check, page: Page, view: View) -> None:
    """Write the whole sheet."""
    _lay_answer(page, answer, view)
    lay_grave(page, answer, view)
    _lay_changes(page, answer, view)
    _lay_heads(page, answer, view)
    lay_holding(page, answer, view)
    lay_pumps(page, answer.duties, view)
    lay_batteries(page, answer.batteries, view)
    lay_credited(page, answer.credited, view)
    lay_weights(page, answer.weights, view)
    if WALK in view.also:
        lay_walk(page, answer.stops, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_agreement(page, answer.agreement)
    address = first_address([share.place for share in answer.head_shares])
    if address:
        page.say(f"The address of {said(address)} is {address}; --set and --json use addresses.")
    lay_cautions(page, answer.kinds)
