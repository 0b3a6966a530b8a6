"""How sure an answer is: every ± of a rig as a distribution, samples of all of them, and what comes out.

All samples are solved as one batch. Each is a rig that is exactly known: where a check looks at the highest water and the
warmest that the ± allow, a sample is judged at its own. Percentiles are values that came out themselves: the least that so great a share of
the samples does not exceed.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Annotated, ClassVar, Final

import numpy as np

from hydrokit.answers import Answer, Phrase, Verdict, finite_or_none, phrase
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Spec, require
from hydrokit.network import solve
from hydrokit.rig import replaced
from hydrokit.rules import State, judge
from hydrokit.studies.chance.foremost import HIGH, LOW, MIDDLE, MeasureFirst, Moves, foremost, percentile
from hydrokit.studies.chance.influence import influence_of
from hydrokit.studies.chance.sampled import Outcomes, outcomes_of
from hydrokit.studies.chance.uncertain import Method, Shape, Uncertain, draw_samples, uncertain_values
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping, Sequence

    from hydrokit.answers import Finding, Trust
    from hydrokit.bounds import Array, Real
    from hydrokit.rig import Rig
    from hydrokit.studies.chance.influence import Influence

__all__ = ["Outcome", "Risk", "Spread", "spread"]

_FLOW: Final = "flow"
_TIME: Final = "time to fill"
_SUCTION: Final = "suction margin"
_ENERGY: Final = "energy of a fill"
_SHAPES: Final = {
    "rectangular": "every value within its ± is as likely as any other",
    "triangular": "values within ± are the likelier the nearer they are to the middle",
    "normal": "± is two standard deviations of a normal distribution, cut off where its field ends",
}
_ASSUMED: Final = (
    "values err independently of each other, parts that are alike too",
    "what is judged at the highest water and the warmest that ± allow is judged at those of each sample",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """How one figure spreads; SI, of ``dimension``.

    ``stated`` is the rig as stated; ``low``, ``median`` and ``high`` are not exceeded in 5, 50 and 95 % of the samples,
    None where more than that share never ends or is not known; ``sampling_error`` is the standard error of the least
    certain of the three, were as many samples drawn with no care for evenness. ``missing`` is the share of samples that
    have no such figure, ``unexplained`` what the shares of all inputs leave of its variance in ranks; None where it does
    not vary.
    """

    name: str
    dimension: Dimension
    stated: float | None
    low: float | None
    median: float | None
    high: float | None
    sampling_error: float | None
    missing: float
    unexplained: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """One limit at one place: the chance that it fails.

    ``chance`` is of all samples, ``judged`` the share of them in which it could be judged and had something to say;
    ``reason`` says why it fails in the worst sample, where it does in any.
    """

    rule: str
    place: str
    chance: Annotated[float, Spec(Dimension.FRACTION, "that it fails")]
    judged: Annotated[float, Spec(Dimension.FRACTION, "of the samples, in which it was judged")]
    margin: Annotated[float | None, Spec(Dimension.FRACTION, "as stated")]
    low_margin: Annotated[float | None, Spec(Dimension.FRACTION, "not exceeded in 5 % of the samples")]
    least_margin: Annotated[float | None, Spec(Dimension.FRACTION, "in the worst sample")]
    reason: Phrase


@dataclass(frozen=True, kw_only=True, repr=False)
class Spread(Answer):
    """How sure the figures of a rig are, as far as what is stated with ± goes.

    The findings are those of the rig as stated; the verdict is ``fails`` where one of them fails, or where any limit
    fails in a greater share of the samples than ``risk``, and ``close`` where any does in fewer.

    Parameters
    ----------
    samples, seed : int
        How many were drawn, and from which random numbers.
    shape, method : str
        Of the distributions, and how samples were drawn from them.
    risk : float
        Chance of failing beyond which a limit counts as failing.
    inputs : tuple of Uncertain
        What was varied.
    not_varied : tuple of str
        Addresses of what is called a guess and has no ±.
    outcomes : tuple of Outcome
        Flow, time to fill, least margin of the suction side, energy of a fill: those that the rig has.
    moves : tuple of Moves
        Of every input and outcome, the one that matters most first.
    failing : float
        Share of the samples in which any limit fails.
    risks : tuple of Risk
        Every limit that was judged, the likeliest to fail first, then the one with least in hand.
    measure_first : MeasureFirst or None
        None where nothing moves.
    """

    question: ClassVar[str] = "spread"
    table: ClassVar[str] = "outcomes"

    samples: int
    seed: int
    shape: Shape
    method: Method
    risk: Annotated[float, Spec(Dimension.FRACTION, "chance of failing beyond which a limit counts as failing")]
    inputs: tuple[Uncertain, ...]
    not_varied: tuple[str, ...]
    outcomes: tuple[Outcome, ...]
    moves: tuple[Moves, ...]
    failing: Annotated[float, Spec(Dimension.FRACTION, "of the samples, in which any limit fails")]
    risks: tuple[Risk, ...]
    measure_first: MeasureFirst | None
    surroundings: Surroundings
    kinds: tuple[str, ...]

    @property
    def verdict(self) -> Verdict:
        """Whether it works, as surely as was asked for."""
        stated = super().verdict
        if stated is Verdict.FAILS or any(risk.chance > self.risk for risk in self.risks):
            return Verdict.FAILS
        return Verdict.CLOSE if self.failing > 0.0 else stated


def _figures(found: Outcomes) -> dict[str, tuple[Dimension, Array]]:
    """Return the figures that the rig has, by name, the most important first."""
    told = {_FLOW: (Dimension.FLOW, found.flow)}
    if found.fills:
        told[_TIME] = (Dimension.TIME, found.fill_time)
    told |= {_SUCTION: (Dimension.FRACTION, found.suction), _ENERGY: (Dimension.ENERGY, found.energy)}
    return {name: figure for name, figure in told.items() if not np.isnan(figure[1]).all()}


def _sampling_error(values: Array) -> float | None:
    """Return the greatest standard error of the three percentiles, from the order of the samples alone."""
    errors = []
    for share in (LOW, MIDDLE, HIGH):
        off = np.sqrt(share * (1.0 - share) / len(values))
        errors.append(0.5 * (percentile(values, share + off) - percentile(values, share - off)))
    known = [error for error in errors if np.isfinite(error)]
    return max(known) if known else None


def _outcome(name: str, dimension: Dimension, stated: Array, values: Array, influence: Influence | None) -> Outcome:
    return Outcome(
        name=name,
        dimension=dimension,
        stated=finite_or_none(float(stated[0])),
        low=finite_or_none(percentile(values, LOW)),
        median=finite_or_none(percentile(values, MIDDLE)),
        high=finite_or_none(percentile(values, HIGH)),
        sampling_error=_sampling_error(values),
        missing=float((~np.isfinite(values)).mean()),
        unexplained=None if influence is None else influence.unexplained,
    )


def _moves(name: str, inputs: Sequence[Uncertain], influence: Influence | None) -> list[Moves]:
    if influence is None:
        return []
    return [
        Moves(
            outcome=name,
            address=inputs[place].address,
            correlation=float(influence.correlation[place]),
            share=float(influence.share[place]),
        )
        for place in np.argsort(-influence.share, kind="stable").tolist()
    ]


def _risks(stated: Outcomes, found: Outcomes) -> tuple[Risk, ...]:
    rows = []
    for key, margins in found.margins.items():
        known = margins[~np.isnan(margins)]
        rows.append(
            Risk(
                rule=key[0],
                place=key[1],
                chance=float((margins < 0.0).mean()),
                judged=len(known) / len(margins),
                margin=finite_or_none(float(stated.margins[key][0])) if key in stated.margins else None,
                low_margin=percentile(known, LOW) if known.size else None,
                least_margin=float(known.min()) if known.size else None,
                reason=found.reasons.get(key, phrase("")),
            )
        )
    rows.sort(key=lambda risk: (-risk.chance, np.inf if risk.low_margin is None else risk.low_margin))
    return tuple(rows)


def _guesses(rig: Rig, inputs: Sequence[Uncertain]) -> tuple[str, ...]:
    """Return the addresses of what is called a guess and has no ±."""
    varied = {each.address for each in inputs if each.spread > 0.0}
    return tuple(address for address, word in rig.origins.items() if word == "guess" and address not in varied)


def _failing(found: Outcomes) -> float:
    return float(np.logical_or.reduce([margins < 0.0 for margins in found.margins.values()]).mean())


def _trust(state: State, findings: Sequence[Finding], found: Outcomes, shape: Shape) -> Trust:
    assumed = (_SHAPES[shape], *_ASSUMED)
    trust = trust_of(state.solution, findings, assumed)
    return replace(
        trust,
        steps=max(trust.steps, found.steps),
        mass_residual=max(trust.mass_residual, found.mass_residual),
        energy_residual=max(trust.energy_residual, found.energy_residual),
        unknown=(*trust.unknown, *found.unknown),
    )


@as_annotated
def spread(  # noqa: PLR0913  each is a word of the question, and none must be given
    rig: Rig,
    mode: str | None = None,
    *,
    samples: int = 4096,
    seed: int = 1,
    shape: Shape = "rectangular",
    method: Method = "latin-hypercube",
    risk: float = 0.05,
    changed: Mapping[str, float] | None = None,
    tolerances: Mapping[str, float] | None = None,
    progress: Callable[[float], None] | None = None,
) -> Spread:
    """Return how sure the figures of a rig are, how likely each limit fails, and what to measure first.

    Parameters
    ----------
    rig : Rig
        What is stated with ± is varied.
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    samples : int
        How many to draw; a power of two for the Sobol sequence.
    seed : int
        Of the random numbers; the same seed gives the same answer.
    shape : {"rectangular", "triangular", "normal"}
        Of the distribution of each value: any within ± as likely as any other, those near the middle likelier, or ± as
        two standard deviations.
    method : {"latin-hypercube", "sobol"}
        How samples are spread evenly.
    risk : float
        Chance beyond which a limit counts as failing.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own for this answer; their ± stays. SI.
    tolerances : mapping of address to float, optional
        Half-widths that stand in front of the rig's own; 0 holds a value. SI.
    progress : callable, optional
        Told the share done, 0 to 1.

    Returns
    -------
    Spread

    Raises
    ------
    InputError
        If nothing is stated with ±, or a mode, an address, a value or an option is not possible.
    SolverError
        If the network does not settle in a sample.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = spread(demonstration(), samples=1000)
    >>> answer.measure_first.address
    'site.water_temperature'
    >>> flow = answer.outcomes[0]
    >>> [round(each * 60_000.0, 1) for each in (flow.low, flow.median, flow.high)]
    [7.2, 7.4, 7.6]
    """
    require("risk", risk, 0.0, 1.0, "1")
    name, chosen = rig.mode(mode)
    held = dict(changed or {})
    inputs = uncertain_values(rig, name, held, tolerances or {}, shape)
    stated_rig = replaced(rig, {**chosen.values, **held})
    drawn = draw_samples(stated_rig, inputs, samples=samples, seed=seed, shape=shape, method=method)
    told = replace(rig, tolerances={each.address: each.spread for each in inputs})
    exact = replace(rig, tolerances={})  # a sample holds what a ± may bring: it is not to count twice
    state = State(solve(told, name, held))
    stated = outcomes_of(told, name, held, 1)
    values: dict[str, Real] = {**held, **drawn}
    found = outcomes_of(exact, name, values, samples, progress=progress)

    def known(outcome: str, address: str) -> Array:
        value = next(each.value for each in inputs if each.address == address)
        again = outcomes_of(exact, name, {**values, address: value}, samples, filling=outcome in (_TIME, _ENERGY))
        return _by_name(again)[outcome]

    figures, columns = _figures(found), np.stack([drawn[each.address] for each in inputs], axis=1)
    influences = {called: influence_of(columns, came) for called, (_, came) in figures.items()}
    findings, before = judge(state), _by_name(stated)
    return Spread(
        title=rig.title,
        mode=name,
        findings=findings,
        trust=_trust(state, findings, found, shape),
        samples=samples,
        seed=seed,
        shape=shape,
        method=method,
        risk=risk,
        inputs=inputs,
        not_varied=_guesses(rig, inputs),
        outcomes=tuple(
            _outcome(called, dimension, before[called], came, influences[called])
            for called, (dimension, came) in figures.items()
        ),
        moves=tuple(row for called in figures for row in _moves(called, inputs, influences[called])),
        failing=_failing(found),
        risks=_risks(stated, found),
        measure_first=foremost(
            inputs,
            drawn,
            {called: came for called, (_, came) in figures.items()},
            {f"{rule} at {place}": margins for (rule, place), margins in found.margins.items()},
            known,
        ),
        surroundings=surroundings_of(state.solution),
        kinds=kinds_of(state),
    )


def _by_name(found: Outcomes) -> dict[str, Array]:
    """Return every figure and every margin by name, known or not."""
    margins = {f"{rule} at {place}": margin for (rule, place), margin in found.margins.items()}
    return {_FLOW: found.flow, _TIME: found.fill_time, _SUCTION: found.suction, _ENERGY: found.energy, **margins}
