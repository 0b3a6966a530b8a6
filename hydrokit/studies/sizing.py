"""Which hose bore: the smallest standard size that delivers what is wanted and breaks no rule."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import reduce
from math import prod
from typing import TYPE_CHECKING, Annotated, ClassVar, Final, Literal

import numpy as np

from hydrokit.answers import Answer, Trust
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Mistakes, Spec, nearest, require
from hydrokit.catalogue import hose_bores
from hydrokit.catalogue.bores import Series, series_of
from hydrokit.network import solve
from hydrokit.rules import State, judge
from hydrokit.studies.bores.paying import BoreCurve, curve_of
from hydrokit.studies.bores.runs import Run, runs_of
from hydrokit.studies.bores.trials import Candidate, Trial
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.facts.usable import usable_flow

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hydrokit.answers import Finding
    from hydrokit.bounds import Array
    from hydrokit.network import Solution
    from hydrokit.rig import Rig

__all__ = ["ENOUGH", "Bore", "bore"]

ENOUGH: Final = 0.95
"""Share of the most that any candidate delivers which is wanted where nobody says how much. Our own choice."""
_MOST: Final = 50_000
"""Combinations that are tried, judged and told in seconds."""
_TAILS: Final = ("kept", "changed")


@dataclass(frozen=True, kw_only=True, repr=False)
class Bore(Answer):
    """Which hose bore to take, everything that was tried, and where more bore stops paying.

    The findings are those of the rig with the chosen bores; where nothing passes, with the nearest to it.

    Parameters
    ----------
    runs : tuple of Run
        Hoses that share one bore; every tuple of bores or sizes is in their order.
    candidates : tuple of Candidate
        By water carried, the smallest first. Of one run all sizes of the series, of several those that fit.
    wanted_flow : float
        As asked for; else 95 % of the most that any candidate delivers without breaking a rule. [m^3/s]
    wanted_share : float or None
        What 95 % is, where nobody said how much.
    drawn_flow : float
        Of the rig as drawn, as far as suction allows. [m^3/s]
    chosen : int or None
        Place among the candidates of the smallest that fits, delivers what is wanted and breaks no rule.
    aside : tuple of str
        What fails at every size that fits, so that no bore mends it.
    next_best : int or None
        The choice if those were set aside; the same as ``chosen`` where nothing is.
    front : tuple of int
        Places of the candidates that no other betters both in flow and in water carried; those rules set aside.
    curves : tuple of BoreCurve
        For each run, flow through the whole series with the others held at the choice, or as drawn.
    """

    question: ClassVar[str] = "bore"
    table: ClassVar[str] = "candidates"

    surroundings: Surroundings
    runs: tuple[Run, ...]
    candidates: tuple[Candidate, ...]
    wanted_flow: Annotated[float, Spec(Dimension.FLOW, "to be delivered")]
    wanted_share: Annotated[float | None, Spec(Dimension.FRACTION, "of the most, wanted where nobody says how much")]
    drawn_flow: Annotated[float, Spec(Dimension.FLOW, "of the rig as drawn, as far as suction allows")]
    chosen: int | None
    aside: tuple[str, ...]
    next_best: int | None
    front: tuple[int, ...]
    curves: tuple[BoreCurve, ...]
    kinds: tuple[str, ...]

    @property
    def choice(self) -> Candidate | None:
        """The chosen candidate."""
        return None if self.chosen is None else self.candidates[self.chosen]


def _sizes(series: Series, least: float | None, most: float | None) -> tuple[tuple[str, float], ...]:
    low, high = 0.0 if least is None else least, 10.0 if most is None else most
    require("least", low, 0.0, 10.0, "m")
    require("most", high, 0.0, 10.0, "m")
    known = hose_bores(series)
    found = tuple((label, size) for label, size in known if low * (1 - 1e-9) <= size <= high * (1 + 1e-9))
    if not found:
        mistakes = Mistakes()
        listed = ", ".join(label for label, _ in known)
        mistakes.add("least, most", f"{low * 1e3:g} to {high * 1e3:g} mm", f"a range that holds one of {listed}")
        mistakes.settle()
    return found


def _series_of(bores: Sequence[float]) -> Series:
    """Return the series to which most of some bores belong; the metric one where none is nearer."""
    inch = sum(series_of(bore) == "inch" for bore in bores)
    return "inch" if 2 * inch > len(bores) else "metric"


def _rows(trial: Trial) -> Array:
    """Return every combination of bores: of one run the whole series, of several what fits, else as drawn."""
    bores = [bore for _, bore in trial.series]
    if len(trial.runs) == 1:
        return np.array(bores)[:, None]
    ways = [
        [bore for bore in bores if run.refuses(bore, tails_change=trial.tails_change) is None] or [run.drawn]
        for run in trial.runs
    ]
    count = prod(len(way) for way in ways)
    if count > _MOST:
        mistakes = Mistakes()
        found = f"{count} combinations of {len(ways)} runs of hose"
        mistakes.add("hoses", found, f"at most {_MOST}", "fewer lines or hoses, or a narrower least and most")
        mistakes.settle()
    return np.stack(np.meshgrid(*ways, indexing="ij"), axis=-1).reshape(-1, len(ways))


def _eligible(candidates: Sequence[Candidate]) -> tuple[tuple[str, ...], list[int]]:
    """Return what fails at every candidate that fits, and the places of those at which nothing else fails."""
    fitting = [candidate for candidate in candidates if candidate.fits]
    if not fitting:
        return (), []
    shared = reduce(set.intersection, (set(candidate.ruled_out) for candidate in fitting))
    aside = tuple(name for name in fitting[0].ruled_out if name in shared)
    places = [
        place for place, candidate in enumerate(candidates) if candidate.fits and set(candidate.ruled_out) <= shared
    ]
    return aside, places


def _front(candidates: Sequence[Candidate], places: Sequence[int]) -> tuple[int, ...]:
    """Return the places that none betters in both flow and water carried; candidates come by water carried."""
    found: list[int] = []
    best = 0.0
    for place in places:
        if candidates[place].flow > best * (1.0 + 1e-9):
            found.append(place)
            best = candidates[place].flow
    return tuple(found)


def _smallest(candidates: Sequence[Candidate], places: Sequence[int], wanted: float) -> int | None:
    enough = wanted * (1.0 - 1e-9)
    return next((place for place in places if candidates[place].flow >= enough > 0.0), None)


def _check_words(tails: str, wanted_flow: float | None) -> None:
    mistakes = Mistakes()
    if tails not in _TAILS:
        mistakes.add("tails", repr(tails), f"one of {', '.join(_TAILS)}", nearest(str(tails), _TAILS))
    mistakes.settle()
    if wanted_flow is not None:
        require("wanted_flow", wanted_flow, 1e-9, 1e3, "m^3/s")


def _trust(trial: Trial, solution: Solution, findings: tuple[Finding, ...], candidates: Sequence[Candidate]) -> Trust:
    told = trust_of(solution, findings)
    unknown = any(candidate.hose_mass is None for candidate in candidates)
    masses = ["the mass of hose in sizes for which neither rig nor catalogue states it"] if unknown else []
    return replace(
        told,
        steps=max(told.steps, trial.steps),
        mass_residual=max(told.mass_residual, trial.mass_residual),
        energy_residual=max(told.energy_residual, trial.energy_residual),
        unknown=(*told.unknown, *masses, *trial.unknown),
    )


@as_annotated
def bore(  # noqa: PLR0913  each is a word of the question, and none must be given
    rig: Rig,
    mode: str | None = None,
    *,
    lines: Sequence[str] | None = None,
    hoses: Sequence[str] | None = None,
    wanted_flow: float | None = None,
    series: Series | None = None,
    least: float | None = None,
    most: float | None = None,
    tails: Literal["kept", "changed"] = "kept",
    changed: Mapping[str, float] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Bore:
    """Return which hose bore to take: the smallest that delivers what is wanted and breaks no rule.

    Parameters
    ----------
    rig : Rig
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    lines : sequence of str, optional
        Lines whose hose is to be chosen; all hose of a line on one side of its pumps is given one bore.
    hoses : sequence of str, optional
        Addresses of single hoses. Where neither is given, all hose in open lines is chosen together, save in lines that
        only let two tanks level.
    wanted_flow : float, optional
        To be delivered in all tanks and outlets together; left out, 95 % of the most that any candidate delivers
        without breaking a rule. [m^3/s]
    series : {"metric", "inch", "all"}, optional
        Standard sizes to choose from; left out, inch sizes where the hoses to choose lie nearer to those, else metric ones.
    least, most : float, optional
        Narrowest and widest bore to try. [m]
    tails : {"kept", "changed"}
        Whether the hose tails stay, and limit what fits, or are changed along with their hose, in proportion.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer, SI.
    progress : callable, optional
        Is told the share that is done.

    Returns
    -------
    Bore

    Raises
    ------
    InputError
        If a line, hose, mode, address or series is unknown, or there are more than 50,000 combinations to try.
    SolverError
        If the network does not settle.

    Notes
    -----
    Smallest means least water carried in the hoses chosen; of one run, the narrowest bore. A limit that is not known
    rules nothing out. What fits: :mod:`hydrokit.studies.bores.runs`.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> bore(demonstration(), hoses=["lines.intake.suction-hose"], most=0.025).choice.sizes
    ('19 mm',)
    """
    _check_words(tails, wanted_flow)
    if series is not None:
        _sizes(series, least, most)  # before anything is solved
    state = State(solve(rig, mode, changed))
    runs = runs_of(state, lines, hoses)
    sizes = _sizes(series or _series_of([run.drawn for run in runs]), least, most)
    trial = Trial(rig, state.plan.mode, changed or {}, runs, sizes, tails == "changed")
    candidates = sorted(
        trial.candidates(_rows(trial), progress), key=lambda each: (round(each.water_mass, 9), -each.flow)
    )
    aside, places = _eligible(candidates)
    wanted = ENOUGH * max((candidates[place].flow for place in places), default=0.0)
    if wanted_flow is not None:
        wanted = wanted_flow
    best = _smallest(candidates, places, wanted)
    held = [run.drawn for run in runs] if best is None else list(candidates[best].bores)
    final = State(solve(rig, mode, trial.variation(np.array([held])) if best is not None else changed))
    findings = judge(final)
    return Bore(
        title=rig.title,
        mode=state.plan.mode,
        findings=findings,
        trust=_trust(trial, final.solution, findings, candidates),
        surroundings=surroundings_of(final.solution),
        runs=runs,
        candidates=tuple(candidates),
        wanted_flow=wanted,
        wanted_share=ENOUGH if wanted_flow is None else None,
        drawn_flow=float(usable_flow(state)[0]),
        chosen=None if aside else best,
        aside=aside,
        next_best=best,
        front=_front(candidates, places),
        curves=tuple(curve_of(trial, column, held) for column in range(len(runs))),
        kinds=kinds_of(final),
    )
