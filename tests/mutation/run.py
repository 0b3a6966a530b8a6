"""Mutation testing of one room: changes are made one by one, and its tests are to fail at each.

``make mutants`` runs it; ``python -m tests.mutation.run --help`` says how to take another sample. Everything happens in a
copy of the files that git knows. Each test file is run once first, to see which lines it reaches; a mutant then meets the
files that reach its line: those of its own module, then others, quick ones first, until the budget is spent. What is done
is recorded, so that a run that was stopped goes on where it was, and survivors can be met again with better tests.
"""

from __future__ import annotations

import argparse
import ast
import difflib
import json
import os
import shutil
import subprocess
import sys
from collections import Counter
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from tests.mutation.child import forked, run_tests, warm_up
from tests.mutation.mutants import Mutant, drawn, mutants

if TYPE_CHECKING:
    from collections.abc import Iterator

ROOMS: Final = {
    "laws": ("tests/laws", "tests/published", "tests/properties/test_friction.py", "tests/project/test_docstrings.py", "hydrokit/laws"),
    "network": ("tests/network", "tests/timeline", "tests/published/test_networks.py", "tests/published/test_whole_rigs.py",
                "tests/verifying", "tests/properties", "tests/studies/test_filling.py", "tests/studies/test_drawing.py",
                "hydrokit/network"),
    "studies": ("tests/studies", "tests/sheets", "tests/cli", "hydrokit/studies"),
    "rules": ("tests/rules", "tests/studies/test_check_cases.py", "tests/studies/test_check_layouts.py", "hydrokit/rules"),
}  # fmt: skip
COMPILED: Final = "compiled"
"""The folder that numba compiles as a whole: a minute for each mutant."""
COPY: Final = Path("build/mutation")


def copy_files() -> None:
    """Copy what git knows, as it stands, and go there."""
    known = subprocess.run(["git", "ls-files"], check=True, capture_output=True, text=True).stdout.splitlines()
    for name in known:
        target = COPY / name
        target.parent.mkdir(parents=True, exist_ok=True)
        if Path(name).is_file() and not (target.is_file() and target.read_bytes() == Path(name).read_bytes()):
            shutil.copyfile(name, target)
    os.chdir(COPY)
    sys.path[:0] = [str(Path.cwd()), str(Path.cwd() / "cli")]


def test_files(room: str) -> Iterator[str]:
    """Yield the files whose tests, or examples, matter for a room."""
    for place in map(Path, ROOMS[room]):
        if place.is_file():
            yield str(place)
        elif place.parts[0] == "tests":
            yield from sorted(map(str, place.rglob("test_*.py")))
        else:
            files = (path for path in place.rglob("*.py") if COMPILED not in path.parts)
            yield from sorted(str(path) for path in files if ">>>" in path.read_text(encoding="utf-8"))


def reached(room: str, *, slow: bool) -> dict[str, Any]:
    """Run each test file once; return whether it passes, its seconds and the lines of the room that it reaches."""
    found = {}
    for file in test_files(room):
        lines, code, seconds = forked(partial(_lines, file, room, slow=slow), 300.0)
        found[file] = {"passes": code == 0, "seconds": seconds, "lines": lines or {}}
        if code not in {0, 5}:
            sys.stderr.write(f"{file} fails as it is and is left out\n")
    return found


def _lines(file: str, room: str, *, slow: bool) -> tuple[dict[str, list[int]], int]:
    import coverage

    watch = coverage.Coverage(data_file=None, include=[f"hydrokit/{room}/*"], config_file=False)
    watch.start()
    code = run_tests([file], slow=slow)
    watch.stop()
    data, here = watch.get_data(), f"{Path.cwd()}/"
    return {name.removeprefix(here): sorted(data.lines(name) or ()) for name in data.measured_files()}, code


def chosen(mutant: Mutant, files: dict[str, Any], budget: float) -> tuple[list[str], float]:
    """Return the test files that a mutant meets, and how long they take as it is."""
    lines = _statement(mutant)
    ranked = []
    for file, about in files.items():
        if about["passes"] and lines & set(about["lines"].get(mutant.path, ())):
            own = file == mutant.path or Path(file).stem == f"test_{Path(mutant.path).stem}"
            ranked.append((not own, about["seconds"] / len(about["lines"][mutant.path]) ** 0.5, file))
    kept, spent = [], 0.0
    for other, _, file in sorted(ranked):
        seconds = files[file]["seconds"]
        if not (kept and other and spent + seconds > budget):
            kept.append(file)
            spent += seconds
    return kept, spent


def _statement(mutant: Mutant) -> set[int]:
    """Return the lines of the smallest statement, or head of one, about a mutant: the first is what is reached."""
    spans = [(mutant.line, mutant.line)]
    for node in ast.walk(ast.parse(Path(mutant.path).read_text(encoding="utf-8"))):
        if isinstance(node, ast.stmt) and not isinstance(node, (ast.FunctionDef, ast.ClassDef)):
            body = getattr(node, "body", None)
            last = body[0].lineno - 1 if body else node.end_lineno or node.lineno
            if node.lineno <= mutant.line <= last:
                spans.append((node.lineno, last))
    first, last = spans[0] if len(spans) == 1 else min(spans[1:], key=lambda span: span[1] - span[0])
    return set(range(first, last + 1))


def meet(mutant: Mutant, files: dict[str, Any], budget: float, *, slow: bool) -> dict[str, Any]:
    """Let the tests meet one mutant; return what became of it, and the change."""
    wanted, seconds = chosen(mutant, files, budget)
    if not wanted:
        return {"state": "not reached", "change": []}
    path = Path(mutant.path)
    before, stat = path.read_bytes(), path.stat()
    source = before.decode()
    changed = mutant.of(source)
    try:
        path.write_text(changed, encoding="utf-8")
        os.utime(path, (stat.st_atime, stat.st_mtime - 1e6))  # another time, so that no compiled file is taken for it
        _, code, _ = forked(lambda: (None, run_tests(wanted, slow=slow)), 10.0 + 3.0 * seconds)
    finally:
        path.write_bytes(before)
        os.utime(path, ns=(stat.st_atime_ns, stat.st_mtime_ns))
    lines = difflib.unified_diff(source.splitlines(), changed.splitlines(), lineterm="", n=0)
    state = "survived" if code == 0 else "ran too long" if code < 0 else "killed"
    return {"state": state, "change": [line for line in lines if line[:1] in "+-" and line[1:3] not in {"++", "--"}]}


def asked() -> argparse.Namespace:
    parser = argparse.ArgumentParser(prog="python -m tests.mutation.run", description="Change code, see tests fail.")
    parser.add_argument("room", choices=ROOMS)
    parser.add_argument("--only", default="", help="files whose path contains this")
    parser.add_argument("--share", type=float, default=0.1, help="of the mutants of each file")
    parser.add_argument("--least", type=int, default=3, help="mutants of one file, if it has so many")
    parser.add_argument("--most", type=int, default=14, help="mutants of one file")
    parser.add_argument("--seed", type=int, default=7)
    parser.add_argument("--budget", type=float, default=6.0, help="seconds of tests besides the file's own")
    parser.add_argument("--slow", action="store_true", help="slow tests too")
    parser.add_argument("--again", action="store_true", help="meet those that survived once more")
    parser.add_argument("--record", type=Path, default=None, help="what is done; delete it to begin anew")
    return parser.parse_args()


def main() -> int:
    """Meet the mutants that were not yet met, print survivors and the score."""
    wanted = asked()
    record = (wanted.record or Path(f".mutation-{wanted.room}.json")).absolute()
    copy_files()
    sample: list[Mutant] = []
    for path in sorted(Path("hydrokit", wanted.room).rglob("*.py")):
        if COMPILED not in path.parts and wanted.only in str(path):
            source = path.read_text(encoding="utf-8")
            sample += drawn(mutants(path), source, wanted.share, (wanted.least, wanted.most), wanted.seed)
    warm_up()
    files = reached(wanted.room, slow=wanted.slow)
    done = json.loads(record.read_text(encoding="utf-8")) if record.exists() else {}
    for mutant in sample:
        if str(mutant) not in done or (wanted.again and done[str(mutant)]["state"] == "survived"):
            done[str(mutant)] = meet(mutant, files, wanted.budget, slow=wanted.slow)
            record.write_text(json.dumps(done, indent=1), encoding="utf-8")
    told = []
    for name in map(str, sample):
        if done[name]["state"] in {"survived", "not reached"}:
            told += [f"{name}: {done[name]['state']}", *done[name]["change"]]
    states = Counter(done[str(mutant)]["state"] for mutant in sample)
    told += [f"{wanted.room}: of {len(sample)}, " + ", ".join(f"{count} {state}" for state, count in states.items())]
    sys.stdout.write("\n".join(told) + "\n")
    return 0


if __name__ == "__main__":
    sys.exit(main())
