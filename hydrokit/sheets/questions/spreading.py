"""The sheet of ``spread``: how sure the figures are and what to measure first in sentences, then chances and shares."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.bounds import Dimension
from hydrokit.rules.naming import capital, listed
from hydrokit.sheets.findings import EVERY, lay_findings
from hydrokit.sheets.places import limit_and_place, said
from hydrokit.sheets.trust import lay_cautions, lay_trust

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.chance.foremost import MeasureFirst
    from hydrokit.studies.chance.uncertain import Uncertain
    from hydrokit.studies.spreading import Outcome, Risk, Spread

__all__ = ["lay_out"]

_SHARE: Final = Dimension.FRACTION
_LIMITS: Final = 5
"""Limits listed that fail in no sample, those with least in hand."""
_SMALL: Final = 0.01
"""Share under which what an input moves is not worth a row."""
_MUCH: Final = 0.1
"""Share that all inputs leave unexplained from which on it is said why."""
_SENTENCES: Final = {
    "flow": "{span} arrives in nine samples out of ten.",
    "time to fill": "Filling takes {span}.",
    "suction margin": "On the suction side the tightest limit has {span} in hand.",
    "energy of a fill": "A fill takes {span} out of the battery.",
}
_METHODS: Final = {"latin-hypercube": "as a Latin hypercube", "sobol": "from a Sobol sequence"}


def _name(address: str) -> str:
    """Return what is called the value at an address, as one reads it aloud."""
    return said(address).replace("_", " ")


def _stated(each: Uncertain | MeasureFirst, view: View) -> str:
    return f"{view.show(each.value, each.dimension)} ± {view.width(each.spread, each.value, each.dimension)}"


def _percent(share: float, view: View) -> str:
    return view.show(share, _SHARE, digits=2)


def _alike(width: float | None, outcome: Outcome, view: View) -> str:
    """Return a width in the unit of the figure itself."""
    if width is None or outcome.median is None:
        return ""
    return view.width(width, outcome.median, outcome.dimension, digits=2)


def _limit(name: str) -> str:
    """Return "rule at place" as the limit and where it is."""
    rule, place = limit_and_place(name)
    return f"the limit “{rule}” at {said(place)}"


def _overall(answer: Spread, view: View) -> str:
    if not answer.risks:
        return "No limit could be judged."
    if answer.failing == 0.0:
        return f"No limit fails in any of {answer.samples} samples of what is stated with ±."
    worst = answer.risks[0]
    if answer.failing == 1.0:
        told = f"Some limit fails in every one of {answer.samples} samples of what is stated with ±"
    else:
        told = f"It fails in {_percent(answer.failing, view)} of {answer.samples} samples of what is stated with ±"
    than = "more than" if worst.chance > answer.risk else "no more than"
    return (
        f"{told}; likeliest is {_limit(f'{worst.rule} at {worst.place}')}, in {_percent(worst.chance, view)}, {than} the"
        f" {_percent(answer.risk, view)} allowed."
    )


def _missing(answer: Spread, outcome: Outcome, view: View) -> str:
    """Return in how many samples a figure is missing; what is missing for want of an end to the filling is told once."""
    share = _percent(outcome.missing, view)
    if outcome.dimension is Dimension.TIME:
        return f"In {share} of the samples some tank is never full, or something holds the flow back."
    if any(each.dimension is Dimension.TIME and each.missing == outcome.missing for each in answer.outcomes):
        return ""
    return f"In {share} of the samples the {outcome.name} is not known."


def _range(answer: Spread, outcome: Outcome, view: View) -> str:
    if outcome.low is None or outcome.high is None:
        return _missing(answer, outcome, view)
    dimension = outcome.dimension
    low, high = view.show(outcome.low, dimension), view.show(outcome.high, dimension)
    return _SENTENCES[outcome.name].format(span=low if low == high else f"{low} to {high}")


def _beyond(first: MeasureFirst, view: View) -> str:
    """Return beyond which value of what is to be measured the limit in doubt holds or fails for sure."""
    helps = first.correlation > 0.0
    told = []
    if first.sure_from is not None:
        value = view.show(first.sure_from, first.dimension)
        told.append(f"{'above' if helps else 'below'} {value} it failed in no sample")
    if first.lost_from is not None:
        value = view.show(first.lost_from, first.dimension)
        told.append(f"{'below' if helps else 'above'} {value} in every one")
    if first.sure_from is None and told:
        told[0] = told[0].replace("in every one", "it failed in every sample")
    return f": {', '.join(told)}" if told else ""


def _narrows(answer: Spread, first: MeasureFirst, view: View) -> str:
    outcome = next((each for each in answer.outcomes if each.name == first.moves), None)
    if outcome is None or outcome.low is None or outcome.high is None:
        return ""
    now = outcome.high - outcome.low
    whole, then = (_alike(width, outcome, view) for width in (now, first.narrows_to * now))
    if first.narrows_to < _SMALL:
        return f" Were it known exactly, next to nothing would be left of the {whole} within which nine samples out of ten lie."
    return f" Were it known exactly, nine samples out of ten would lie within {then} instead of {whole}."


def _first(answer: Spread, view: View) -> str:
    first = answer.measure_first
    if first is None:
        return "Nothing that is varied moves any figure or limit."
    told = f"Measure first: the {_name(first.address)}, stated as {_stated(first, view)}."
    share = _percent(first.share, view)
    if first.in_doubt:
        why = f"It makes {share} of the doubt about {_limit(first.moves)}{_beyond(first, view)}."
        return f"{told} {why}"
    return f"{told} It makes {share} of the spread of the {first.moves}.{_narrows(answer, first, view)}"


def _lay_outcomes(page: Page, answer: Spread, view: View) -> None:
    page.heading("What comes out")
    rows = []
    for each in answer.outcomes:
        values = (each.stated, each.low, each.median, each.high)
        shown = [view.show(value, each.dimension) for value in values]
        rows.append([each.name, *shown, _alike(each.sampling_error, each, view)])
    page.table(["", "as stated", "1 in 20\nbelow", "half\nbelow", "19 in 20\nbelow", "by chance\n±"], rows)
    page.say(
        f"{answer.samples} samples, drawn {_METHODS[answer.method]} from seed {answer.seed}. By chance: how far the least"
        " certain of the three might come out elsewhere from another seed, rather too much than too little."
    )


def _lay_limits(page: Page, answer: Spread, view: View) -> None:
    failing = [risk for risk in answer.risks if risk.chance > 0.0]
    shown: list[Risk] = [*failing, *answer.risks[len(failing) : len(failing) + _LIMITS]]
    if EVERY in view.also:
        shown = list(answer.risks)
    if not shown:
        return
    page.heading("How likely limits fail")
    rows = []
    for risk in shown:
        left = (risk.margin, risk.low_margin, risk.least_margin)
        chance = _percent(risk.chance, view) if risk.chance else "none"
        rows.append([risk.rule, said(risk.place), chance, *(view.show(m, _SHARE, digits=2) for m in left)])
    page.table(["limit", "at", "fails in", "in hand\nas stated", "in 1 of\n20", "at worst"], rows)
    if len(shown) < len(answer.risks):
        others = len(answer.risks) - len(shown)
        told = "1 more limit fails in no sample; --all lists it." if others == 1 else ""
        page.say(told or f"{others} more limits fail in no sample; --all lists them.")
    page.points(f"{risk.rule}, at worst: {view.said(risk.reason)}" for risk in failing if risk.reason)


def _shares(answer: Spread, address: str) -> dict[str, tuple[float, float]]:
    return {each.outcome: (each.share, each.correlation) for each in answer.moves if each.address == address}


def _cell(share: float, correlation: float, view: View) -> str:
    if share < _SMALL / 10.0:
        return ""
    return ("-" if correlation < 0.0 else "") + _percent(share, view)


def _lay_shares(page: Page, answer: Spread, view: View) -> None:
    moved = [each for each in answer.outcomes if each.unexplained is not None]
    if not moved:
        return
    page.heading("What makes the spread")
    shares = {each.address: _shares(answer, each.address) for each in answer.inputs}
    most = {address: max(share for share, _ in own.values()) for address, own in shares.items()}
    inputs = sorted(answer.inputs, key=lambda each: -most[each.address])
    shown = [each for each in inputs if most[each.address] >= _SMALL or EVERY in view.also]
    rows = [
        [
            _name(each.address),
            _stated(each, view),
            *(_cell(*shares[each.address][outcome.name], view) for outcome in moved),
        ]
        for each in shown
    ]
    rows.append(["left unexplained", "", *(_percent(max(each.unexplained or 0.0, 0.0), view) for each in moved)])
    page.table(["", "stated", *(each.name.replace(" ", "\n", 1) for each in moved)], rows)
    page.say("Shares of the variance, in ranks; with a - where more of it makes the figure smaller.")
    few = [_name(each.address) for each in inputs if each not in shown]
    if few:
        page.say(f"Under 1 % of any of them: {listed(few)}.")
    if any((each.unexplained or 0.0) > _MUCH for each in moved):
        page.say("What is left unexplained comes from values that act only together, or not one way throughout.")


def lay_out(answer: Spread, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(f"{answer.title}, {answer.mode}: how sure that is", "heading")
    page.gap()
    sentences = [
        _overall(answer, view),
        *(_range(answer, each, view) for each in answer.outcomes),
        _first(answer, view),
    ]
    page.say(" ".join(text for text in sentences if text))
    _lay_outcomes(page, answer, view)
    _lay_limits(page, answer, view)
    _lay_shares(page, answer, view)
    if answer.not_varied:
        page.heading("Guesses without ±, not varied")
        page.say(f"{capital(listed([_name(address) for address in answer.not_varied]))}.")
    page.heading("What the rules say of the rig as stated")
    lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    lay_cautions(page, answer.kinds)
