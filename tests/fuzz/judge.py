"""Runs one command in this process as a shell would, and says what is wrong with how it went."""

from __future__ import annotations

import json
import os
import re
import shutil
import signal
import time
import unicodedata
from dataclasses import dataclass
from functools import cache
from itertools import takewhile
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

import click

from hydrokit.errors import InputError
from hydrokit.files import read_rig, write_rig
from hydrokit_cli import exits
from hydrokit_cli.listing import COMMANDS
from hydrokit_cli.main import hydrokit, main
from tests.fuzz.streams import streams

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["Case", "Outcome", "Place", "faults_of", "run"]

AT_ONCE: Final = 1.0  # s of processor time in which what is wrong is refused
IN_TIME: Final = 10.0  # s in which anything else is answered
STUCK: Final = 60.0  # s after which a case is given up
ESCAPED: Final = -1  # for an exit code, where an exception leaves the program
_CODES: Final = (exits.HOLDS, exits.FAILS, exits.WRONG_INPUT, exits.FAULT, exits.INTERRUPTED)
_TURNED: Final = re.compile("[\u061c\u200e\u200f\u202a-\u202e\u2066-\u2069\u2028\u2029]")
_WRITING: Final = re.compile(r"--(?:out|plot|drawing)(?:=|$)|^new$")


@dataclass(frozen=True, slots=True)
class Case:
    """A command line, the files it finds and what is typed."""

    line: tuple[str, ...]
    files: dict[str, bytes]
    typed: bytes = b""
    ends: tuple[str, str] = ("", "")
    """What is the matter with standard output and standard error."""


@dataclass(frozen=True, slots=True)
class Outcome:
    """How it went."""

    code: int
    out: bytes
    err: bytes
    seconds: float
    changed: tuple[str, ...] = ()
    made: tuple[str, ...] = ()
    """Those of them that were not there before."""


class Stuck(BaseException):
    """A case that does not come to an end."""


def _stop(*_: Any) -> None:
    raise Stuck


class Place:
    """A folder, two deep in another, in which commands run; what they do to either is noticed.

    Parameters
    ----------
    root : Path
        An empty folder.
    """

    def __init__(self, root: Path) -> None:
        self.root, self.work = root, root / "deep" / "work"
        self.laid: dict[str, bytes] = {}
        (self.work / "folder").mkdir(parents=True)
        (self.work / "kept.txt").write_text("kept")
        (self.work / "link").symlink_to("kept.txt")
        (self.work / "broken-link").symlink_to("gone.txt")

    def seen(self) -> dict[str, tuple[int, int, int]]:
        """Return size, time and number of everything that is there."""
        found: dict[str, tuple[int, int, int]] = {}
        for folder, folders, files in os.walk(self.root):
            for name in (*folders, *files):
                path = Path(folder, name)
                state = path.lstat()
                found[str(path.relative_to(self.root))] = (
                    state.st_size * (name in files),
                    state.st_mtime_ns * (name in files),
                    state.st_ino,
                )
        return found

    def lay(self, files: dict[str, bytes]) -> None:
        """Put files where commands find them."""
        for name, data in files.items():
            if self.laid.get(name) != data or not (self.work / name).exists():
                (self.work / name).parent.mkdir(exist_ok=True)
                (self.work / name).write_bytes(data)
        self.laid = dict(files)

    def clear(self, changed: tuple[str, ...]) -> None:
        """Take away what a command has made."""
        for folder in {name.partition("/")[0] for name in self.laid if "/" in name}:
            shutil.rmtree(self.work / folder, ignore_errors=True)
        self.laid = {}
        for name in sorted(changed, reverse=True):
            path = self.root / name
            if path.is_dir() and not path.is_symlink():
                shutil.rmtree(path)
            else:
                path.unlink(missing_ok=True)
        if "deep/work/kept.txt" in changed or not (self.work / "kept.txt").exists():
            (self.work / "kept.txt").write_text("kept")
        if not (self.work / "link").is_symlink():
            (self.work / "link").symlink_to("kept.txt")


def _ended(case: Case) -> tuple[int, bytes]:
    """Return the exit code of a command, and what escaped it, which a shell would show as a traceback."""
    try:
        return main(case.line), b""
    except (Exception, SystemExit) as error:  # noqa: BLE001  whatever it is, it is what is looked for
        return ESCAPED, f"Traceback: {type(error).__name__}: {error}".encode(errors="backslashreplace")


def run(case: Case, place: Place) -> Outcome:
    """Return how a command went; Stuck where it came to no end."""
    place.lay(case.files)
    before, home = place.seen(), Path.cwd()
    os.chdir(place.work)
    old = signal.signal(signal.SIGVTALRM, _stop)
    signal.setitimer(signal.ITIMER_VIRTUAL, STUCK)
    start = time.process_time()
    try:
        with streams(case.typed, case.ends) as (out, err):
            code, escaped = _ended(case)
        seconds = time.process_time() - start
    finally:
        signal.setitimer(signal.ITIMER_VIRTUAL, 0.0)
        signal.signal(signal.SIGVTALRM, old)
        os.chdir(home)
    after = place.seen()
    changed = tuple(sorted(name for name in before.keys() | after.keys() if before.get(name) != after.get(name)))
    made = tuple(name for name in changed if name not in before)
    if changed or any("/" in name for name in case.files):
        place.clear(changed)
    return Outcome(code, out.getvalue(), err.getvalue() + escaped, seconds, changed, made)


def _unprintable(text: str) -> str:
    """Return the first letter that would steer a terminal; empty where there is none."""
    if text.isascii() and text.replace("\n", "").isprintable():
        return ""
    return next(
        (each for each in text if each != "\n" and (unicodedata.category(each) in ("Cc", "Cs") or _TURNED.match(each))),
        "",
    )


def _faults_of_text(outcome: Outcome) -> Iterator[str]:
    for name, data in (("standard output", outcome.out), ("standard error", outcome.err)):
        try:
            text = data.decode()
        except UnicodeDecodeError:
            yield f"{name} is not UTF-8"
            continue
        if letter := _unprintable(text):
            yield f"{name} has a raw {letter!r}: {text[max(text.index(letter) - 40, 0) : text.index(letter) + 20]!r}"
        if "Traceback" in text:
            yield f"{name} has a traceback"


@cache
def _taking() -> frozenset[str]:
    """Return every option that takes the word behind it."""
    context = click.Context(hydrokit)
    commands = [hydrokit.get_command(context, name) for name in COMMANDS]
    options = [each for command in commands if command for each in command.params if isinstance(each, click.Option)]
    return frozenset(name for each in options if not each.is_flag for name in each.opts)


def _asks_json(case: Case) -> bool:
    """Return whether ``--json`` is an option of a line, and not what another option is given."""
    before = ("", *case.line)
    return any(
        word == "--json" and before[at] not in _taking() for at, word in enumerate(takewhile("--".__ne__, case.line))
    )


def _faults_of_json(case: Case, outcome: Outcome) -> Iterator[str]:
    try:
        document = json.loads(outcome.out, parse_constant=lambda word: 1 / 0)
    except (ValueError, ZeroDivisionError):
        yield f"standard output is no JSON: {outcome.out[:80]!r}"
        return
    if outcome.code != exits.WRONG_INPUT:
        return
    for mistake in document.get("mistakes") or [{}]:
        if not (mistake.get("found") and mistake.get("expected") and (mistake.get("place") or document.get("file"))):
            yield f"a mistake without place, found or expected: {mistake}"


def _faults_of_refusal(case: Case, outcome: Outcome) -> Iterator[str]:
    if not outcome.err.strip() and not case.ends[1]:
        yield "refused without a word"
    if outcome.changed and case.ends[0] != "full":  # where a file is written before the answer is printed
        yield f"refused, but changed {outcome.changed}"
    if outcome.seconds > AT_ONCE and not case.ends[0]:  # that a stream takes nothing shows when the answer is there
        yield f"refused after {outcome.seconds:.1f} s"


def _fault_itself(case: Case, outcome: Outcome) -> str:
    text = outcome.err.decode(errors="replace")
    if "No answer was reached" in text or (case.ends[1] and not text):
        return ""
    return text.partition("\n")[0][:300] or "ended as a fault, without a word"


def faults_of(case: Case, outcome: Outcome) -> list[str]:
    """Return everything that is wrong with how a command went; that no answer was reached is none."""
    found = list(_faults_of_text(outcome))
    if outcome.code not in _CODES:
        found.append(f"exit code {outcome.code}")
    if outcome.code == exits.FAULT and (told := _fault_itself(case, outcome)):
        found.append(told)
    if (
        _asks_json(case)
        and not case.ends[0]
        and outcome.code in (exits.HOLDS, exits.FAILS, exits.WRONG_INPUT)
        and not outcome.out.startswith((b"Usage:", b"hydrokit "))
    ):
        found += _faults_of_json(case, outcome)
    if outcome.code == exits.WRONG_INPUT:
        found += _faults_of_refusal(case, outcome)
    elif outcome.seconds > IN_TIME:
        found.append(f"answered after {outcome.seconds:.1f} s")
    if outcome.changed and not any(_WRITING.search(word) for word in case.line):
        found.append(f"changed {outcome.changed}")
    litter = [name for name in outcome.made if ".part" in name or ".unfinished" in name]
    if litter and outcome.code != exits.FAULT:
        found.append(f"left {litter}")
    return found


def round_trip(text: str) -> str:
    """Return what is wrong with how a text is read and written again; empty where nothing is."""
    try:
        rig = read_rig(text)
    except InputError:
        return ""
    return "" if read_rig(write_rig(rig)) == rig else "what is written does not read back to the same rig"


def where(case: Case) -> str:
    """Return where in the program a fault lies: the last lines of its traceback."""
    import traceback

    try:
        hydrokit.main(list(case.line), prog_name="hydrokit", standalone_mode=False)
    except Exception as fault:  # noqa: BLE001  whatever it is, it is what is looked for
        frames = traceback.extract_tb(fault.__traceback__)
        return "; ".join(f"{Path(frame.filename).name}:{frame.lineno} {frame.name}" for frame in frames[-3:])
    return "not seen a second time"
