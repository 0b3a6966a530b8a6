"""The long run: a hundred thousand wrong, torn and unlikely files and command lines through the whole program.

``make fuzz`` runs it; ``python -m tests.fuzz.run --help`` says how to run some of it, or one case again by its number. No case may
end in a traceback, in another exit code than the five there are, or late; change any file that it was not told to write; or
show a terminal a letter that steers it. That no answer was reached is counted, and each such case told.
"""

from __future__ import annotations

import argparse
import gc
import re
import signal
import sys
import tempfile
import time
import warnings
from collections import Counter
from concurrent.futures import ProcessPoolExecutor
from dataclasses import dataclass, field
from multiprocessing import get_context
from pathlib import Path
from random import Random
from typing import Any, Final

from hydrokit_cli import exits
from tests.fuzz.cases import drawn_case
from tests.fuzz.judge import Case, Place, Stuck, faults_of, round_trip, run

BLOCK: Final = 100  # cases that one process runs in one folder
TOLD: Final = 10  # blocks after which it is told how far it has come
KEPT: Final = 3  # cases that are told of each kind of fault


@dataclass
class Figures:
    """What came of some cases."""

    codes: Counter[int] = field(default_factory=Counter)
    words: Counter[str] = field(default_factory=Counter)
    kinds: Counter[str] = field(default_factory=Counter)
    told: list[str] = field(default_factory=list)
    unanswered: list[str] = field(default_factory=list)
    refusal: tuple[float, str] = (0.0, "")
    answer: tuple[float, str] = (0.0, "")
    seconds: float = 0.0

    def add(self, more: Figures) -> None:
        self.codes += more.codes
        self.words += more.words
        self.kinds += more.kinds
        self.told += more.told
        self.unanswered += more.unanswered
        self.refusal, self.answer = max(self.refusal, more.refusal), max(self.answer, more.answer)
        self.seconds += more.seconds

    def note(self, number: int, case: Case, fault: str) -> None:
        kind = re.sub(r"[0-9]+", "0", fault.partition("Please report")[0])[:80]
        self.kinds[kind] += 1
        if self.kinds[kind] <= KEPT:
            self.told.append(f"case {number}: {[*case.line][:12]}: {fault[:300]}")

    def report(self) -> str:
        codes = ", ".join(f"{count} ended {code}" for code, count in sorted(self.codes.items()))
        lines = [
            f"{sum(self.codes.values())} cases: {codes}",
            "by command: " + ", ".join(f"{word} {count}" for word, count in self.words.most_common()),
            f"slowest refusal {self.refusal[0]:.2f} s ({self.refusal[1]}), slowest answer {self.answer[0]:.2f} s ({self.answer[1]})",
            f"{len(self.unanswered)} reached no answer, {sum(self.kinds.values())} faults of {len(self.kinds)} kinds",
            f"{self.seconds:.0f} s of one core",
        ]
        return "\n".join(
            [*lines, *(f"{count} × {kind}" for kind, count in self.kinds.most_common()), *self.told, *self.unanswered]
        )


def tried(number: int, case: Case, place: Place, figures: Figures) -> None:
    """Run one case, and note what came of it."""
    try:
        outcome = run(case, place)
    except Stuck:
        figures.note(number, case, "came to no end")
        return
    figures.codes[outcome.code] += 1
    figures.words[next((word for word in case.line if word.isalpha()), "")] += 1
    named = f"case {number}, {' '.join(case.line[:3])!r}"
    if outcome.code == exits.WRONG_INPUT:
        figures.refusal = max(figures.refusal, (outcome.seconds, named))
    else:
        figures.answer = max(figures.answer, (outcome.seconds, named))
    faults = faults_of(case, outcome)
    try:
        text = case.files["rig.toml"].decode("utf-8", "surrogatepass")
        if outcome.code != exits.WRONG_INPUT and (told := round_trip(text)):
            faults.append(told)
    except Exception as error:  # noqa: BLE001  whatever it is, it is what is looked for
        faults.append(f"read and written: {type(error).__name__}: {error}")
    for fault in faults:
        figures.note(number, case, fault)
    if outcome.code == exits.FAULT and not faults:
        figures.unanswered.append(
            f"case {number}: {[*case.line]}: {outcome.err.decode(errors='replace').strip()[:200]}"
        )


def block(first: int, last: int) -> Figures:
    """Run the cases from one number up to another."""
    warnings.simplefilter("error", RuntimeWarning)
    figures, start = Figures(), time.process_time()
    with tempfile.TemporaryDirectory() as folder:
        place = Place(Path(folder).resolve())
        for number in range(first, last):
            tried(number, drawn_case(Random(number)), place, figures)
    gc.collect()
    figures.seconds = time.process_time() - start
    return figures


def _arguments() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.fuzz.run", description=__doc__)
    parser.add_argument("--cases", type=int, default=100_000)
    parser.add_argument("--seed", type=int, default=0, help="number of the first case")
    parser.add_argument("--processes", type=int, default=2)
    parser.add_argument(
        "--case", type=int, help="only this one: lay its files into the folder fuzzed, and show how it goes"
    )
    return parser.parse_args()


def _again(number: int) -> int:
    case = drawn_case(Random(number))
    folder = Path("fuzzed")
    for name, data in case.files.items():
        (folder / name).parent.mkdir(parents=True, exist_ok=True)
        (folder / name).write_bytes(data)
    with tempfile.TemporaryDirectory() as other:
        outcome = run(case, Place(Path(other).resolve()))
    told = [
        case.line,
        *([case.ends] if any(case.ends) else ()),
        outcome.out.decode(errors="replace"),
        outcome.err.decode(errors="replace"),
        outcome.code,
    ]
    told += [f"{outcome.seconds:.2f} s", outcome.changed, *faults_of(case, outcome)]
    sys.stdout.write("\n".join(map(str, told)) + "\n")
    return outcome.code


def main() -> int:
    """Run what is asked for and print what came of it; 1 where anything was wrong."""
    asked = _arguments()
    if asked.case is not None:
        return _again(asked.case)
    whole, last = Figures(), asked.seed + asked.cases
    signal.signal(signal.SIGTERM, signal.default_int_handler)  # as Ctrl-C
    firsts = range(asked.seed, last, BLOCK)
    with ProcessPoolExecutor(asked.processes, mp_context=get_context("spawn")) as pool:
        jobs: list[Any] = [pool.submit(block, first, min(first + BLOCK, last)) for first in firsts]
        try:
            for done, job in enumerate(jobs, start=1):
                figures = job.result()
                whole.add(figures)
                sys.stderr.writelines(f"{told}\n" for told in figures.told)
                if done % TOLD == 0:
                    sys.stderr.write(f"{sum(whole.codes.values())} cases, {sum(whole.kinds.values())} faults\n")
                    sys.stderr.flush()
        except KeyboardInterrupt:  # what is done is told all the same
            sys.stderr.write("stopped before the last case\n")
            pool.shutdown(wait=False, cancel_futures=True)
    sys.stdout.write(f"from case {asked.seed} on, {whole.report()}\n")
    return bool(whole.kinds)


if __name__ == "__main__":
    sys.exit(main())
