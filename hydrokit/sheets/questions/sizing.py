"""The sheet of ``bore``: which size to take, what each size gives, and where more bore stops paying."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.rules.naming import listed
from hydrokit.sheets.columns import column, percent
from hydrokit.sheets.findings import EVERY, lay_findings, of_verdict
from hydrokit.sheets.places import said
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from collections.abc import Sequence

    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.bores.paying import BoreCurve
    from hydrokit.studies.bores.trials import Candidate
    from hydrokit.studies.sizing import Bore

__all__ = ["lay_out"]

_BESIDE: Final = 2
"""Sizes shown on either side of those that fit."""
_ROWS: Final = 12
"""Combinations shown, unless all are asked for."""
_MOST_ROWS: Final = 1000
"""Of all that are asked for; nobody reads more, and the page would take longer than the answer."""


def _taken(answer: Bore, candidate: Candidate) -> str:
    """Return what to take for which run, as a list in words."""
    return listed(f"{size} for {said(run.place)}" for size, run in zip(candidate.sizes, answer.runs, strict=True))


def _gives(answer: Bore, candidate: Candidate, view: View) -> str:
    flow = view.show(candidate.flow, Dimension.FLOW)
    drawn = view.show(answer.drawn_flow, Dimension.FLOW)
    filled = f", and filling takes {view.show(candidate.fill_time, Dimension.TIME)}"
    return f"{flow} then arrives ({drawn} as drawn){filled if candidate.fill_time is not None else ''}."


def _wanted(answer: Bore) -> str:
    """Return where the wanted flow comes from, if nobody gave it."""
    if answer.wanted_share is None:
        return ""
    return f"Nobody said how much is wanted: {percent(answer.wanted_share, 0)} of the most that any size gives is taken for it."


def _choice(answer: Bore, view: View) -> str:
    wanted = view.show(answer.wanted_flow, Dimension.FLOW)
    best = None if answer.next_best is None else answer.candidates[answer.next_best]
    if best is not None and not answer.aside:
        told = f"Take {_taken(answer, best)}: the smallest that delivers {wanted} and breaks no rule."
        return f"{told} {_gives(answer, best, view)} {_wanted(answer)}".rstrip()
    if best is not None:
        fails = "; ".join(said(name) for name in answer.aside)
        told = f"No bore mends it: this fails at every size that fits: {fails}."
        kept = f"That set aside, take {_taken(answer, best)}. {_gives(answer, best, view)}"
        return f"{told} {kept} {_wanted(answer)}".rstrip()
    return _no_choice(answer, wanted, view)


def _no_choice(answer: Bore, wanted: str, view: View) -> str:
    fitting = [candidate for candidate in answer.candidates if candidate.fits]
    if not fitting:
        return f"No size tried fits: {view.said(answer.candidates[-1].reason)}"
    usable = [candidate for candidate in fitting if set(candidate.ruled_out) <= set(answer.aside)]
    if not usable:
        return f"Every size that fits breaks a rule. At the widest: {view.said(fitting[-1].reason)}"
    most = max(usable, key=lambda candidate: candidate.flow)
    flow = view.show(most.flow, Dimension.FLOW)
    if most.flow <= 0.0:
        why = f": {'; '.join(said(name) for name in answer.aside)}" if answer.aside else ""
        return f"No size that fits lets any water arrive{why}."
    return f"No size that fits delivers {wanted}. The most is {flow}, with {_taken(answer, most)}."


def _shown(answer: Bore, view: View) -> list[int]:
    """Return the places of the candidates to show."""
    if EVERY in view.also:
        first = range(min(len(answer.candidates), _MOST_ROWS))
        return sorted({*first, *answer.front, *([] if answer.next_best is None else [answer.next_best])})
    if len(answer.runs) > 1:
        steps = list(answer.front)
        thinned = (
            steps if len(steps) <= _ROWS else [steps[round(k * (len(steps) - 1) / (_ROWS - 1))] for k in range(_ROWS)]
        )
        return sorted({*thinned, *([] if answer.next_best is None else [answer.next_best])})
    fitting = [place for place, candidate in enumerate(answer.candidates) if candidate.fits] or [0]
    return list(range(max(fitting[0] - _BESIDE, 0), min(fitting[-1] + _BESIDE + 1, len(answer.candidates))))


def _why(answer: Bore, place: int) -> str:
    candidate = answer.candidates[place]
    if not candidate.fits:
        return "does not fit"
    own = [said(name) for name in candidate.ruled_out if name not in answer.aside]
    if own:
        return f"fails: {'; '.join(own)}"
    if place == answer.next_best:
        return "take this"
    return "too little" if candidate.flow < answer.wanted_flow * (1.0 - 1e-9) else ""


def _sizes(sizes: Sequence[str]) -> str:
    """Return sizes side by side, their unit once where they share it."""
    numbers, units = zip(*(size.rsplit(" ", 1) for size in sizes), strict=True)
    return f"{', '.join(numbers)} {units[0]}" if len(set(units)) == 1 else ", ".join(sizes)


def _lay_table(page: Page, answer: Bore, view: View) -> None:
    places = _shown(answer, view)
    rows = [answer.candidates[place] for place in places]
    several = len(answer.runs) > 1
    page.heading("What nothing betters, flow against water carried" if several and rows else "Size by size")
    if not rows:
        page.say("No combination delivers anything without breaking a rule.")
        return
    if several:
        page.say("In the order " + ", ".join(said(run.place) for run in answer.runs) + ":")
    page.columns(
        ("size", [_sizes(row.sizes) for row in rows]),
        column("flow", [row.flow for row in rows], Dimension.FLOW, view.system),
        column("speed", [row.velocity for row in rows], Dimension.VELOCITY, view.system),
        column("water", [row.water_mass for row in rows], Dimension.MASS, view.system),
        column("hose", [row.hose_mass for row in rows], Dimension.MASS, view.system),
        column("fills in", [row.fill_time for row in rows], Dimension.TIME, view.system),
        ("water\nwhole", [percent(row.suction_margin) for row in rows]),
        ("", [_why(answer, place) for place in places]),
    )
    refused = dict.fromkeys(view.said(row.reason) for row in rows if not row.fits)
    for reason in refused:
        page.say(f"What does not fit: {reason}")
    left = len(answer.candidates) - len(rows)
    if left:
        listing = "--json" if len(answer.candidates) > _MOST_ROWS else "--all"
        page.say(f"{left} more {'was' if left == 1 else 'were'} tried; {listing} lists every one.")


def _at(curve: BoreCurve, bore: float) -> int:
    return min(range(len(curve.bores)), key=lambda place: abs(curve.bores[place] - bore))


def _paying(curve: BoreCurve, bore: float | None) -> str:
    name = said(curve.place)
    if not curve.knee:
        return f"{name}: nothing flows at any size."
    told = f"{name}: beyond {curve.knee} no wider hose brings 3 % more flow."
    if bore is None:
        return told
    place = _at(curve, bore)
    hose, tails = curve.hose_shares[place], curve.tail_shares[place]
    shares = f"at {curve.sizes[place]} the hose takes {percent(hose, 1)} of all head"
    if tails <= 0.0:
        return f"{told} Here, {shares}."
    limit = ", so that a wider hose on the same tails brings little" if tails > hose else ""
    turn = f" From {curve.tails_from} on the tails cost more than the hose." if curve.tails_from else ""
    return f"{told} Here, {shares}, its hose tails {percent(tails, 1)}{limit}.{turn}"


def _lay_paying(page: Page, answer: Bore) -> None:
    page.heading("Where more bore stops paying")
    best = None if answer.next_best is None else answer.candidates[answer.next_best]
    bores: Sequence[float | None] = [None] * len(answer.runs) if best is None else best.bores
    page.points(_paying(curve, bore) for curve, bore in zip(answer.curves, bores, strict=True))


def _lay_limits(page: Page, answer: Bore, view: View) -> None:
    if EVERY in view.also or answer.verdict in (Verdict.FAILS, Verdict.CLOSE):
        lay_findings(page, answer, view)
        return
    page.heading("Limits with these bores")
    unknown = len(of_verdict(answer, Verdict.UNKNOWN))
    rest = f"; {unknown} could not be judged" if unknown else ""
    holding = len(of_verdict(answer, Verdict.HOLDS))
    page.say(f"{holding} {'holds' if holding == 1 else 'hold'}, none is close or fails{rest}. --all lists them.")


def lay_out(answer: Bore, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(f"{answer.title}, {answer.mode}: which hose bore", "heading")
    page.gap()
    page.say(_choice(answer, view))
    _lay_table(page, answer, view)
    _lay_paying(page, answer)
    page.say("Sizes are trade sizes; a hose's real bore may differ by several per cent: measure before you cut.")
    _lay_limits(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    page.say("What fits: a spigot of bore b takes hose of b to 1.5 b; common practice, no source.")
    if any(candidate.hose_mass is None for candidate in answer.candidates):
        page.say("The mass of the hose itself is told only where the rig or the catalogue states it by length.")
    lay_cautions(page, answer.kinds)
