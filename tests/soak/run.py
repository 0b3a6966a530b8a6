"""The long run: a million invented networks through the solver, each of which must settle, close and leak nothing.

``make soak`` runs it; ``python -m tests.soak.run --help`` says how to run a part of it or one seed again. A topology is drawn
from its seed, and with it variants over all that a rig can meet, solved as one batch. What is done is recorded, block by
block, so that a run that was stopped goes on where it was. Variants that no rig can satisfy (a demand behind a shut valve, a
battery that cannot turn the pump that meets it) are refused by name, counted apart and not among the million.
"""

from __future__ import annotations

import argparse
import json
import sys
import time
from concurrent.futures import ProcessPoolExecutor
from dataclasses import asdict, dataclass, field
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import numpy as np

from hydrokit.errors import InputError, SolverError
from hydrokit.network import solve
from hydrokit.network.acceleration import speed_up
from hydrokit.verifying import solved_again
from tests.conftest import draw_rig
from tests.soak.rigs import dressed, levelled, varied

if TYPE_CHECKING:
    from collections.abc import Iterator

    from hydrokit.network import Solution
    from hydrokit.rig import Rig

WORST: Final = 1e-9  # relative, of mass and of energy
APART: Final = 1e-6  # relative, of the two methods
NO_FLOW: Final = 1e-10  # m³/s
BLOCK: Final = 50  # topologies that are recorded together
MOST_LINES: Final = 40
LEVEL: Final = 0.1  # of the topologies have all ends nearly level
KEPT: Final = 200  # failures that are told one by one


@dataclass
class Figures:
    """What came of some topologies."""

    solved: int = 0
    refused: int = 0
    mass: float = 0.0
    energy: float = 0.0
    steps: int = 0
    all_steps: int = 0
    compared: int = 0
    not_compared: int = 0
    flow_apart: float = 0.0
    head_apart: float = 0.0
    seconds: float = 0.0
    failures: list[str] = field(default_factory=list)

    def add(self, more: Figures) -> None:
        for name in ("solved", "refused", "all_steps", "compared", "not_compared", "seconds"):
            setattr(self, name, getattr(self, name) + getattr(more, name))
        for name in ("mass", "energy", "steps", "flow_apart", "head_apart"):
            setattr(self, name, max(getattr(self, name), getattr(more, name)))
        self.failures += more.failures

    def told(self) -> str:
        mean = self.all_steps / max(self.solved, 1)
        lines = [
            f"{self.solved} networks solved, {self.refused} refused as impossible, {len(self.failures)} failures",
            f"worst residual: mass {self.mass:.2g}, energy {self.energy:.2g}; steps {mean:.1f} on average, {self.steps} at most",
            f"compared with the second method: {self.compared}; worst in flow {self.flow_apart:.2g}, in head {self.head_apart:.2g}",
            f"the second method gave no answer to {self.not_compared}",
            f"{self.seconds:.0f} s of one core",
        ]
        return "\n".join([*lines, *self.failures[:KEPT]])


def taken(changes: dict[str, Any], rows: Any) -> dict[str, Any]:
    return {address: values[rows] for address, values in changes.items()}


def solved(rig: Rig, changes: dict[str, Any], rows: Any, found: Figures, seed: int) -> Iterator[tuple[Any, Solution]]:
    """Yield rows and solution of all variants that can be solved; halve a batch until what cannot stands alone."""
    try:
        solution = solve(rig, None, taken(changes, rows))
    except (InputError, SolverError) as error:
        if len(rows) > 1:
            for part in np.array_split(rows, 2):
                yield from solved(rig, changes, part, found, seed)
        elif isinstance(error, InputError):
            found.refused += 1
        else:
            found.failures.append(f"seed {seed}, variant {rows[0]}: {error}")
    else:
        yield rows, solution


def wrong(solution: Solution) -> Iterator[tuple[str, Any]]:
    """Yield what is wrong with a solution, and in which variants, shape (n,)."""
    flows, plan = solution.flows, solution.plan
    flow, ends, layout = flows.flow, plan.ends, plan.layout
    low, high = np.broadcast_to(ends.low, flow.shape), np.broadcast_to(ends.high, flow.shape)
    excess = -np.array(np.broadcast_to(ends.demand, (len(flow), len(layout.joints))))
    for line, (start, end) in enumerate(zip(layout.start, layout.end, strict=True)):
        for joint, sign in ((start, -1.0), (end, 1.0)):
            if joint < len(layout.joints):
                excess[:, joint] += sign * flow[:, line]
    largest = np.maximum(np.maximum(np.abs(flow).max(axis=1), np.abs(ends.demand).max(initial=0.0)), NO_FLOW)
    yield "flow is no number", ~np.isfinite(flow).all(axis=1)
    yield "flow passes its bounds", ((flow < low) | (flow > high)).any(axis=1)
    yield "mass does not close", np.abs(excess).max(axis=1, initial=0.0) > WORST * largest
    yield "mass residual", ~(flows.mass_residual <= WORST)
    yield "energy residual", ~(flows.energy_residual <= WORST)


def compare(rig: Rig, changes: dict[str, Any], row: int, solution: Solution, place: int, found: Figures) -> str:
    """Compare one variant with the second method; return what is wrong.

    Where the water stands still, what the rounding of heads leaves open in the easiest line passes through the others too.
    """
    try:
        again = solved_again(rig, None, {address: float(values[row]) for address, values in changes.items()})
    except SolverError:
        found.not_compared += 1
        return ""
    largest = max(*map(abs, again.flows.values()), NO_FLOW)
    still = max(again.grains.values()) if largest <= NO_FLOW else 0.0
    flow = max(
        max(abs(float(solution.flow(name)[place]) - value) - max(again.grains[name], still), 0.0) / largest
        for name, value in again.flows.items()
    )
    apart = [abs(float(solution.head(name)[place]) - value) / again.size for name, value in again.heads.items()]
    head = max(apart, default=0.0)
    found.compared += 1
    found.flow_apart, found.head_apart = max(found.flow_apart, flow), max(found.head_apart, head)
    return (
        ""
        if flow <= APART and head <= APART
        else f"the second method is {flow:.2g} in flow and {head:.2g} in head apart"
    )


def drawn(seed: int, variants: int, level: float, random: np.random.Generator) -> tuple[Rig, dict[str, Any]]:
    """Return the rig of a seed and its variants; ``random`` begins with the seed."""
    rig = dressed(draw_rig(seed, int(random.integers(1, MOST_LINES + 1))), random)
    changes = varied(rig, random, variants, share=float(random.uniform(0.05, 1.0)))
    other = np.random.default_rng([11, seed])  # by itself, so that all else of a seed is the same at any share
    return levelled(rig, changes, other) if other.random() < level else (rig, changes)


def one(seed: int, variants: int, share: float, level: float) -> Figures:
    """Solve one topology in many variants, and one of these again by the second method in a share of the topologies."""
    found, random = Figures(), np.random.default_rng([7, seed])
    began = time.process_time()
    rig, changes = drawn(seed, variants, level, random)
    again = random.random() < share
    try:
        for rows, solution in solved(rig, changes, np.arange(variants), found, seed):
            for what, where in wrong(solution):
                found.failures += [f"seed {seed}, variant {row}: {what}" for row in rows[where]]
            flows = solution.flows
            found.add(
                Figures(
                    solved=len(rows),
                    mass=float(flows.mass_residual.max()),
                    energy=float(flows.energy_residual.max()),
                    steps=int(flows.steps.max()),
                    all_steps=int(flows.steps.sum()),
                )
            )
            if again:
                told = compare(rig, changes, int(rows[0]), solution, 0, found)
                found.failures += [f"seed {seed}, variant {rows[0]}: {told}"] if told else []
                again = False
    except Exception as error:  # noqa: BLE001  # whatever it is, it is a failure of this seed
        found.failures.append(f"seed {seed}: {type(error).__name__}: {error}")
    found.seconds = time.process_time() - began
    return found


def block(first: int, count: int, variants: int, share: float, level: float) -> tuple[int, Figures]:
    """Solve some topologies one after the other."""
    whole = Figures()
    for seed in range(first, first + count):
        whole.add(one(seed, variants, share, level))
    return first, whole


def recorded(record: Path, key: str) -> dict[int, Figures]:
    """Return what earlier runs of the same kind have done, by first seed."""
    if not record.exists():
        return {}
    rows = [json.loads(text) for text in record.read_text(encoding="utf-8").splitlines()]
    return {row["first"]: Figures(**row["figures"]) for row in rows if row["key"] == key}


def asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.soak.run", description="Random networks through the solver.")
    parser.add_argument("--first", type=int, default=0, help="first seed")
    parser.add_argument("--topologies", type=int, default=20_000, help="seeds to go through")
    parser.add_argument("--variants", type=int, default=53, help="of each topology; some are refused as impossible")
    parser.add_argument(
        "--compare", type=float, default=0.05, help="share of topologies solved again by the second method"
    )
    parser.add_argument("--level", type=float, default=LEVEL, help="share of topologies whose ends are nearly level")
    parser.add_argument(
        "--compiled", action="store_true", help="by the compiled search, of the extra fast, where it serves"
    )
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument(
        "--record", type=Path, default=Path(".soak.jsonl"), help="what is done; delete it to begin anew"
    )
    return parser.parse_args()


def main() -> int:
    """Run what is not yet done, print the figures; return 1 if anything failed."""
    wanted = asked()
    key = f"{wanted.variants} variants, {wanted.compare:g} compared, {wanted.level:g} level"
    key += ", compiled" if wanted.compiled else ""
    firsts = range(wanted.first, wanted.first + wanted.topologies, BLOCK)
    counts = {first: min(BLOCK, firsts.stop - first) for first in firsts}
    done = recorded(wanted.record, key)
    whole = Figures()
    for first in firsts:
        whole.add(done.get(first, Figures()))
    left = [first for first in firsts if first not in done]
    begin = speed_up if wanted.compiled else None
    with (
        ProcessPoolExecutor(wanted.processes, initializer=begin) as pool,
        wanted.record.open("a", encoding="utf-8") as record,
    ):
        jobs = [
            pool.submit(block, first, counts[first], wanted.variants, wanted.compare, wanted.level) for first in left
        ]
        for place, job in enumerate(jobs, start=1):
            first, figures = job.result()
            record.write(json.dumps({"key": key, "first": first, "figures": asdict(figures)}) + "\n")
            record.flush()
            whole.add(figures)
            if place % 10 == 0 or figures.failures:
                sys.stdout.write(f"{len(done) + place} of {len(firsts)} blocks\n{whole.told()}\n\n")
                sys.stdout.flush()
    sys.stdout.write(f"{whole.told()}\n")
    return 1 if whole.failures else 0


if __name__ == "__main__":
    sys.exit(main())
