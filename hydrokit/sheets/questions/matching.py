"""The sheet of ``match``: which pump suits, how they rank, and why the others fail."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from hydrokit.answers import Verdict
from hydrokit.bounds import Dimension
from hydrokit.rules.naming import capital, listed
from hydrokit.sheets.columns import column, percent
from hydrokit.sheets.findings import EVERY, lay_findings
from hydrokit.sheets.places import limit_and_place, said
from hydrokit.sheets.trust import lay_cautions, lay_trust
from hydrokit.units import si

if TYPE_CHECKING:
    from hydrokit.sheets.page import Page
    from hydrokit.sheets.view import View
    from hydrokit.studies.matching import Match, PumpTried

__all__ = ["lay_out"]

_PLACE: Final = "\0"


def _called(pump: PumpTried) -> str:
    return f"{pump.name} (as drawn)" if pump.drawn else pump.name


def _answer(answer: Match, view: View) -> str:
    first, drawn = answer.pumps[0], next(pump for pump in answer.pumps if pump.drawn)
    flow = view.show(first.flow, Dimension.FLOW)
    if answer.best is None:
        fails = "; ".join(_limit(name, answer) for name in first.ruled_out)
        return f"None of these pumps suits. The nearest is {_called(first)}, which fails: {fails}."
    if first.drawn:
        told = f"Keep {first.name}, the pump as drawn: it delivers {flow}, and no limit fails."
    else:
        told = f"Take {first.name}: it delivers {flow}, and no limit fails; the pump as drawn delivers"
        told += f" {view.show(drawn.flow, Dimension.FLOW)}."
    passing = [pump for pump in answer.pumps if pump.verdict is not Verdict.FAILS]
    count = f"{len(passing)} of {len(answer.pumps)} pumps {'breaks' if len(passing) == 1 else 'break'} no rule"
    unknown = (
        f" Not judged of it: {'; '.join(_limit(name, answer) for name in first.not_judged)}."
        if first.not_judged
        else ""
    )
    return f"{told} {count}.{unknown}"


def _limit(name: str, answer: Match) -> str:
    """Return a limit and where it is; the place of the pump itself goes without saying."""
    limit, place = limit_and_place(name)
    return limit if place == answer.place else said(name)


def _lay_ranks(page: Page, answer: Match, view: View) -> None:
    pumps, per = answer.pumps, si(view.per, Dimension.VOLUME)
    energy = [None if pump.energy_per_volume is None else pump.energy_per_volume * per for pump in pumps]
    page.heading("In rank")
    page.columns(
        ("pump", [_called(pump) for pump in pumps]),
        ("verdict", [pump.verdict.value for pump in pumps]),
        column("flow", [pump.flow for pump in pumps], Dimension.FLOW, view.system),
        column("head", [pump.head for pump in pumps], Dimension.LENGTH, view.system),
        column("fills in", [pump.fill_time for pump in pumps], Dimension.TIME, view.system),
        column(f"for {view.per}", energy, Dimension.ENERGY, view.system),
    )
    page.heading("What each has in hand")
    page.table(
        ["pump", "primes", "water\nwhole", "pressure\nat shut-off", "flow, of that at\nbest efficiency"],
        [
            [
                _called(pump),
                "" if pump.primes is None else pump.primes.value,
                *(percent(value) for value in (pump.suction_margin, pump.shut_off_margin, pump.best_share)),
            ]
            for pump in pumps
        ],
    )
    page.say("Ranked by how few limits fail, then by flow. An empty cell is not known, or does not apply.")


def _lay_failing(page: Page, answer: Match, view: View) -> None:
    failing = [pump for pump in answer.pumps if pump.verdict is Verdict.FAILS]
    if not failing:
        return
    page.heading("Why the others fail" if answer.best is not None else "Why they fail")
    for pump in failing:
        page.say(_called(pump), "fails")
        for reason in _gathered(pump, view):
            page.say(reason, indent=2)


def _gathered(pump: PumpTried, view: View) -> list[str]:
    """Return why a pump fails; reasons that differ in nothing but the place are said once for all places."""
    alike: dict[tuple[str, str], list[str]] = {}
    for name, reason in zip(pump.ruled_out, pump.reasons, strict=True):
        limit, address = limit_and_place(name)
        place, text = said(address), view.said(reason)
        if place and text.startswith(capital(place)):
            text = place + text[len(place) :]
        alike.setdefault((limit, text.replace(place, _PLACE) if place else text), []).append(place)
    return [_of_places(text, places) for (_, text), places in alike.items()]


def _of_places(text: str, places: list[str]) -> str:
    first, *others = places
    if others and text.startswith(_PLACE):  # its verb is for one
        return f"{capital(text.replace(_PLACE, first))} The same goes for {_together(others)}."
    return capital(text.replace(_PLACE, _together(places)))


def _together(places: list[str]) -> str:
    """Return places in one phrase: tanks near and far."""
    kinds = {place.partition(" ")[0] for place in places}
    names = [place.partition(" ")[2] for place in places]
    if len(places) > 1 and kinds == {"tank"}:
        return f"tanks {listed(names)}"
    return listed(places)


def _lay_unjudged(page: Page, answer: Match) -> None:
    rows = [(pump, pump.not_judged) for pump in answer.pumps if pump.not_judged]
    if not rows:
        return
    page.heading("Not known, and so not judged")
    shared = set.intersection(*(set(names) for _, names in rows)) if len(rows) == len(answer.pumps) else set()
    if shared:
        page.say(f"With any of them: {'; '.join(_limit(name, answer) for name in rows[0][1] if name in shared)}.")
    for pump, names in rows:
        own = [_limit(name, answer) for name in names if name not in shared]
        if own:
            page.say(f"{_called(pump)}: {'; '.join(own)}.")


def lay_out(answer: Match, page: Page, view: View) -> None:
    """Write the whole sheet."""
    page.say(f"{answer.title}, {answer.mode}: which pump in place of {said(answer.place)}", "heading")
    page.gap()
    page.say(_answer(answer, view))
    _lay_ranks(page, answer, view)
    _lay_failing(page, answer, view)
    _lay_unjudged(page, answer)
    if EVERY in view.also:
        page.heading(f"Every limit with {_called(answer.pumps[0])}")
        lay_findings(page, answer, view)
    lay_trust(page, answer.trust, answer.surroundings, view)
    page.say("Each pump takes the place and height of the one drawn; the hoses and tails stay as they are.")
    lay_cautions(page, answer.kinds)
