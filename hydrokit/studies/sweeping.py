"""Many variants of one rig: every combination of values, solved and judged, as a table."""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import partial
from typing import TYPE_CHECKING, Annotated, Any, ClassVar, Final

from hydrokit.answers import Answer, Verdict
from hydrokit.arguments import as_annotated
from hydrokit.bounds import Dimension, Spec
from hydrokit.errors import InputError, Mistake, SolverError
from hydrokit.files.chunks import Chunks, Kept, open_chunks
from hydrokit.files.result_tables import form_of, join_pieces, piece_of
from hydrokit.files.saving import target_of
from hydrokit.network import build_plan, solve, solving, worth_compiling
from hydrokit.parts import Outlet, Tank
from hydrokit.rules import State, judge
from hydrokit.rules.ways import blocked_by, elements_by_line
from hydrokit.studies.checking import Arrival
from hydrokit.studies.facts.surroundings import Surroundings, kinds_of, surroundings_of
from hydrokit.studies.facts.trust import trust_of
from hydrokit.studies.variants.handing_out import Executor, in_order
from hydrokit.studies.variants.made_of import made_of
from hydrokit.studies.variants.products import product_of
from hydrokit.studies.variants.swept import UNSOLVED, Question, columns_of, swept
from hydrokit.studies.variants.tallies import Tally, rows_of, summary_of
from hydrokit.units import show

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Mapping
    from pathlib import Path

    from pandas import DataFrame

    from hydrokit.rig import Rig
    from hydrokit.studies.variants.products import Product

__all__ = ["LimitCount", "Setting", "Sweep", "SweptVariant", "ValueCount", "sweep"]

_CHUNK: Final = 4096
"""Variants that are worked out together, and kept together; part of what makes results the same to the last bit."""
_MOST_KEPT: Final = 10_000
"""Variants that an answer holds itself; more of them go to a file."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Setting:
    """One value of one variant: its address, what it is, and the value in SI."""

    place: str
    dimension: Dimension
    value: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SweptVariant:
    """One combination of values, and what comes of it; None, and no verdict, where it has no answer.

    ``variant`` counts from 1; ``tried`` says its values in words. ``limit`` decides the verdict, as "rule at place", and
    ``margin`` is what is left of it; ``least_margin`` is the least of all limits that can fail, ``suction_margin`` that
    of NPSH and of the pressure at which water stays whole; ``failing`` counts the limits that are passed.
    """

    variant: int
    tried: tuple[str, ...]
    settings: tuple[Setting, ...]
    flow: Annotated[float | None, Spec(Dimension.FLOW, "delivered, as far as suction and switches allow")]
    full_pipe_flow: Annotated[float | None, Spec(Dimension.FLOW, "that the full pipe would carry")]
    arrivals: tuple[Arrival, ...]
    fill_time: Annotated[
        float | None, Spec(Dimension.TIME, "until every tank that is filled is full; None where not asked or not known")
    ]
    verdict: Verdict | None
    limit: str
    margin: Annotated[float | None, Spec(Dimension.FRACTION, "of the limit that decides")]
    least_margin: Annotated[float | None, Spec(Dimension.FRACTION, "of all limits that can fail")]
    suction_margin: Annotated[float | None, Spec(Dimension.FRACTION, "of the limits of suction")]
    failing: int | None
    mass_residual: Annotated[float | None, Spec(Dimension.NUMBER, "relative to the largest flow")]
    energy_residual: Annotated[float | None, Spec(Dimension.NUMBER, "relative to the largest head")]


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueCount:
    """How one value does: in how many variants it is tried, in how many of these every limit is kept, their most flow."""

    setting: Setting
    variants: int
    kept: int
    most_flow: Annotated[float | None, Spec(Dimension.FLOW, "in a variant of this value that keeps every limit")]


@dataclass(frozen=True, slots=True, kw_only=True)
class LimitCount:
    """A limit, and how many failing variants it decides."""

    limit: str
    variants: int


@dataclass(frozen=True, kw_only=True, repr=False)
class Sweep(Answer):
    """What comes of every combination of some values.

    The findings are those of the best variant: the one in which fewest limits fail, the most flow deciding between equals.

    Parameters
    ----------
    file : str
        Where every variant is written to; empty where they are in ``rows``.
    variants : int
        How many there are.
    holding, close, unknown, failing, unsolved : int
        How many have which verdict; the last have no answer.
    varied : tuple of str
        The addresses; the last changes from each variant to the next.
    best : tuple of SweptVariant
        The best of them, the best first.
    rows : tuple of SweptVariant
        All of them in order; none where they went to a file.
    values : tuple of ValueCount
        How each value does, of what has no more than 100.
    limits : tuple of LimitCount
        What decides the variants that fail, the most frequent first.
    """

    question: ClassVar[str] = "sweep"
    table: ClassVar[str] = "best"

    file: str
    variants: int
    holding: int
    close: int
    unknown: int
    failing: int
    unsolved: int
    varied: tuple[str, ...]
    least_flow: Annotated[float, Spec(Dimension.FLOW, "delivered in any variant")]
    most_flow: Annotated[float, Spec(Dimension.FLOW, "delivered in any variant")]
    best: tuple[SweptVariant, ...]
    rows: tuple[SweptVariant, ...]
    values: tuple[ValueCount, ...]
    limits: tuple[LimitCount, ...]
    surroundings: Surroundings
    kinds: tuple[str, ...]

    @property
    def kept(self) -> int:
        """In how many variants no limit fails."""
        return self.holding + self.close + self.unknown

    def to_frame(self, table: str | None = None) -> DataFrame:
        """Return a table as a pandas frame, in SI, units in the column names; all variants where none is named.

        Where they went to a file, the best of them. Every varied value has a column of its own.

        Parameters
        ----------
        table : str, optional
            One of :meth:`tables`.

        Returns
        -------
        DataFrame
            One row for each row of the table.

        Raises
        ------
        InputError
            If there is no such table, or nothing in it.
        MissingExtra
            If pandas is not installed.

        Examples
        --------
        See :func:`sweep`:

        >>> from hydrokit.files import hand_check
        >>> swept = sweep(hand_check(), {"lines.intake.delivery-hose.bore": [0.010, 0.0125]})
        >>> len(swept.to_frame())
        2
        """
        name = table or ("rows" if self.rows else "best")
        frame = Answer.to_frame(self, name)
        if name == "values":
            settings = [each.setting for each in self.values]
            told = {"place": [each.place for each in settings], "value": [each.value for each in settings],
                    "unit": [each.dimension.si_unit for each in settings]}  # fmt: skip
            return frame.drop(columns="setting").assign(**told)[[*told, *(head for head in frame if head != "setting")]]
        if name not in {"rows", "best"}:
            return frame
        values, arriving = _spread_out(getattr(self, name))
        plain = frame.drop(columns=["tried", "settings", "arrivals"]).assign(**values, **arriving)
        first = ["variant", *values, "flow [m^3/s]", "full_pipe_flow [m^3/s]", *arriving]
        return plain[[*first, *(head for head in plain if head not in first)]]


def _spread_out(rows: tuple[SweptVariant, ...]) -> tuple[dict[str, list[float]], dict[str, list[float | None]]]:
    """Return what differs from rig to rig, a column each: the values, and what arrives where."""
    values = {
        f"{each.place} [{each.dimension.si_unit}]": [row.settings[place].value for row in rows]
        for place, each in enumerate(rows[0].settings)
    }
    ends = dict.fromkeys(arrival.place for row in rows for arrival in row.arrivals)
    flows = [{arrival.place: arrival.flow for arrival in row.arrivals} for row in rows]
    return values, {f"{end}.flow [m^3/s]": [flow.get(end) for flow in flows] for end in ends}


@dataclass(frozen=True, slots=True)
class _Task:
    """What a chunk is worked out from, wherever that is."""

    question: Question
    form: str
    chunk: int
    shown: int
    compiled: bool


@dataclass(frozen=True, slots=True)
class _Done:
    """A chunk: what is remembered of it, and its rows as a piece of the file, else as plain data."""

    number: int
    kept: Kept
    rows: list[dict[str, Any]]


def _worked_out(task: _Task, number: int) -> _Done:
    question, first = task.question, number * task.chunk
    with solving(compiled=task.compiled):  # in whatever process this runs
        table = swept(question, first, min(first + task.chunk, len(question.product)))
    summary = summary_of(question, table, first, task.shown)
    if not task.form:
        return _Done(number, Kept(summary, b""), rows_of(question, table))
    return _Done(number, Kept(summary, piece_of(task.form, columns_of(question), table)), [])


def _ends(rig: Rig, mode: str, held: Mapping[str, float]) -> tuple[str, ...]:
    """Return the addresses of the tanks and outlets to which a line leads that is open in a mode."""
    plan, chosen, ends = build_plan(rig, mode, held), rig.mode(mode)[1], rig.ends()
    open_lines = (
        line
        for (name, line), own in zip(rig.lines.items(), elements_by_line(plan), strict=True)
        if f"lines.{name}" not in chosen.closed and not blocked_by(plan, chosen, own)
    )
    groups = {Tank: "tanks", Outlet: "outlets"}
    found = (
        f"{group}.{line.end}"
        for line in open_lines
        for kind, group in groups.items()
        if isinstance(ends[line.end], kind)
    )
    return tuple(dict.fromkeys(found))


def _settings(product: Product, row: Mapping[str, Any]) -> tuple[Setting, ...]:
    return tuple(
        Setting(place=axis.address, dimension=axis.spec.dimension, value=row[axis.address]) for axis in product.axes
    )


def _variant(question: Question, row: Mapping[str, Any]) -> SweptVariant:
    settings, solved = _settings(question.product, row), row["verdict"] != UNSOLVED
    plain = ("flow", "full_pipe_flow", "margin", "least_margin", "suction_margin", "mass_residual", "energy_residual")
    return SweptVariant(
        variant=row["variant"],
        tried=tuple(show(each.value, each.dimension) for each in settings),
        settings=settings,
        arrivals=tuple(Arrival(place=end, flow=row[f"{end}.flow"]) for end in question.ends if solved),
        fill_time=row.get("fill_time"),
        verdict=Verdict(row["verdict"]) if solved else None,
        limit=row["limit"] or "",
        failing=row["failing"],
        **{name: row[name] for name in plain},
    )


def _value_counts(product: Product, tally: Tally) -> Iterator[ValueCount]:
    for axis, counts in zip(product.axes, tally.values, strict=True):
        for value, tried, kept, most in zip(axis.values.tolist(), *counts, strict=True) if counts else ():
            yield ValueCount(
                setting=Setting(place=axis.address, dimension=axis.spec.dimension, value=value),
                variants=tried,
                kept=kept,
                most_flow=most if kept else None,
            )


def _run(
    task: _Task,
    chunks: Chunks | None,
    handed: Mapping[str, Any],
    progress: Callable[[float], None] | None,
) -> tuple[Tally, list[dict[str, Any]]]:
    """Work out every chunk that is not there yet; return the sum of all, and the rows where they are not kept in chunks."""
    tally, rows = Tally(task.shown), list[dict[str, Any]]()
    count, done = -(-len(task.question.product) // task.chunk), 0

    def add(kept: Kept) -> None:
        nonlocal done
        tally.add(kept.summary)
        done += 1
        if progress is not None:
            progress(done / count)

    def missing() -> Iterator[int]:
        for number in range(count):
            kept = None if chunks is None else chunks.read(number)
            if kept is None:
                yield number
            else:
                add(kept)

    for found in in_order(_worked_out, task, missing(), **handed):
        if chunks is not None:
            chunks.save(found.number, found.kept)
        rows += found.rows
        add(found.kept)
    return tally, rows


def _answer(question: Question, tally: Tally, rows: list[dict[str, Any]], out: str) -> Sweep:
    product = question.product
    best = tuple(_variant(question, row) for row in tally.best)
    chosen = {each.place: each.value for each in best[0].settings}
    state = State(solve(question.rig, question.mode, {**question.held, **chosen}))
    findings = judge(state)
    trust = trust_of(state.solution, findings)
    steps, mass, energy = tally.worst
    unsolved = tally.verdicts[UNSOLVED]
    also = (f"{unsolved} of {len(product)} variants, which do not settle",) if unsolved else ()
    return Sweep(
        title=question.rig.title,
        mode=question.mode,
        findings=findings,
        trust=replace(
            trust, steps=int(steps), mass_residual=mass, energy_residual=energy, unknown=(*trust.unknown, *also)
        ),
        file=out,
        variants=len(product),
        holding=tally.verdicts[Verdict.HOLDS.value],
        close=tally.verdicts[Verdict.CLOSE.value],
        unknown=tally.verdicts[Verdict.UNKNOWN.value],
        failing=tally.verdicts[Verdict.FAILS.value],
        unsolved=unsolved,
        varied=tuple(axis.address for axis in product.axes),
        least_flow=tally.flows[0],
        most_flow=tally.flows[1],
        best=best,
        rows=tuple(_variant(question, row) for row in rows),
        values=tuple(_value_counts(product, tally)),
        limits=tuple(
            LimitCount(limit=limit, variants=count)
            for limit, count in sorted(tally.limits.items(), key=lambda item: (-item[1], item[0]))
        ),
        surroundings=surroundings_of(state.solution),
        kinds=kinds_of(state),
    )


def _check(product: Product, out: str | Path | None, shown: int, ahead: int) -> None:
    wrong = [
        Mistake(name, repr(value), "a whole number of at least 1")
        for name, value in (("shown", shown), ("ahead", ahead))
        if not isinstance(value, int) or value < 1
    ]
    if out is None and len(product) > _MOST_KEPT:
        found, expected = (
            f"{len(product)} variants and no file",
            f"a file to write them to, where there are over {_MOST_KEPT}",
        )
        wrong.append(Mistake("out", found, expected, "--out sweep.csv (from Python out=)"))
    if wrong:
        raise InputError(wrong)


@as_annotated
def sweep(  # noqa: PLR0913  what is asked, where it goes and who works it out; only the first two must be given
    rig: Rig,
    variation: Mapping[str, Any],
    mode: str | None = None,
    *,
    changed: Mapping[str, float] | None = None,
    fill_time: bool = False,
    out: str | Path | None = None,
    shown: int = 10,
    executor: Executor | None = None,
    ahead: int = 16,
    force: bool = False,
    restart: bool = False,
    progress: Callable[[float], None] | None = None,
) -> Sweep:
    """Return what comes of every combination of some values: flow, margins, verdict and what decides it.

    Parameters
    ----------
    rig : Rig
    variation : mapping of address to values
        What each is in turn: numbers in SI, texts with units, or ranges such as ``"0.5 m to 3 m step 0.25 m"`` and
        ``"0.5 m to 3 m in 11"``. The last address changes from each variant to the next, the first most slowly.
    mode : str, optional
        Name of a mode; the rig's first where none is named.
    changed : mapping of address to float, optional
        Values that stand in front of the rig's own in every variant, SI.
    fill_time : bool
        Whether to work out the time to fill as well; it takes about as long again.
    out : path, optional
        File to write every variant to, whose ending says how: ``.csv``, ``.jsonl`` or ``.parquet``. More than 10,000
        variants need one. What is done is kept beside it in ``FILE.unfinished``, so that the same call goes on after
        an interruption; the file is the same to the last byte.
    shown : int
        How many of the best variants the answer tells.
    executor : Executor, optional
        Runs chunks of 4096 variants elsewhere: any executor in the style of ``concurrent.futures``. None: here.
    ahead : int
        How many chunks are handed to it before the first of them is waited for.
    force : bool
        Write over a file that is there.
    restart : bool
        Throw away what an earlier call has left unfinished.
    progress : callable, optional
        Told the share that is done.

    Returns
    -------
    Sweep

    Raises
    ------
    InputError
        If an address is unknown, values cannot be read or are not possible, or chunks of another sweep lie there; before
        anything is computed.
    SolverError
        If no variant at all has an answer; one that has none by itself is a row that says so.
    MissingExtra
        If the file's form needs a library that is not installed.
    OutputError
        If the file is there already, or cannot be written.

    Examples
    --------
    >>> from hydrokit.files import demonstration
    >>> answer = sweep(demonstration(), {"lines.intake.delivery-hose.bore": "8 mm, 10 mm, 12.5 mm",
    ...                                  "lines.intake.lift-pump.height": "1 m to 3 m in 5"})
    >>> answer.variants, answer.kept, answer.best[0].tried
    (15, 15, ('12.5 mm', '1 m'))
    """
    held = dict(changed or {})
    name = rig.mode(mode)[0]
    product = product_of(rig, name, variation, held)
    _check(product, out, shown, ahead)
    question = Question(rig, name, product, held, _ends(rig, name, held), fill_time)
    task = _Task(question, "" if out is None else form_of(out), _CHUNK, shown, worth_compiling(len(product)))
    target = None if out is None else target_of(out, force=force)
    swept(question, 0, 1)  # what is wrong with every variant comes to light before anything is written
    chunks = (
        None if target is None else open_chunks(target, made_of(question, task.form, _CHUNK, shown), restart=restart)
    )
    tally, rows = _run(task, chunks, {"executor": executor, "ahead": ahead}, progress)
    if chunks is not None:
        count = -(-len(product) // _CHUNK)
        chunks.join(count, partial(_write, task), force=force)
    if not tally.solved:
        raise SolverError(f"none of {len(product)} variants settles")
    return _answer(question, tally, rows, "" if out is None else str(out))


def _write(task: _Task, pieces: Iterator[bytes], file: Any) -> None:
    join_pieces(task.form, columns_of(task.question), pieces, file)
