"""One case out of a random generator, whichever gives it: a seed, an example of hypothesis or the bytes of a guided run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.fuzz.attacks import quantity, word
from tests.fuzz.documents import PUMPS, READINGS, bases, document
from tests.fuzz.judge import Case
from tests.fuzz.leads import SHARES
from tests.fuzz.lines import RIG_WORDS, SLOW, answers, command_line
from tests.fuzz.streams import ENDS
from tests.fuzz.unfinished import SWEPT, left_by, tampered

if TYPE_CHECKING:
    from random import Random

__all__ = ["drawn_case"]


def _plain(random: Random, *, quick: bool) -> list[str]:
    """Return a command that asks about the rig file and nothing besides."""
    words = [name for name in RIG_WORDS if name not in (*SLOW, "compare", "sweep")]
    if quick:
        words = ["check"]
    name = random.choices(words, [SHARES[each] for each in words])[0]
    return [name, "rig.toml", *random.choice(([], [], ["--json"], ["--all"] * (name != "diagnose")))]


def _gone_on(random: Random, base: str) -> tuple[list[str], dict[str, bytes]]:
    """Return a sweep that goes on with another, and what that has left."""
    form = random.choice(("csv", "csv", "jsonl"))
    left = left_by(base, form)
    line = ["sweep", "rig.toml", *(each for pair in SWEPT.items() for each in ("--vary", "=".join(pair)))]
    line += [
        "--out",
        f"made.{form}",
        *random.choice(([], [], [], ["--restart"], ["--force"], ["--best", "3"], ["--json"])),
    ]
    return line, tampered(left, random) if left and random.random() < 0.95 else dict(left)


def _nonsense(random: Random) -> str:
    """Return what nobody types who reads the questions."""
    return "".join(f"{random.choice((quantity, word))(random)}\n" for _ in range(random.choice((0, 1, 5, 60))))


def drawn_case(random: Random, *, quick: bool = False) -> Case:
    """Return a command line and its files; ``quick`` leaves out what computes for long."""
    base = random.choice(bases()[3:] if quick else bases())
    kind = random.random()
    rig = base if kind < 0.35 or kind > 0.92 else document(random, base)
    texts = {"rig.toml": rig, "other.toml": base, "pumps.toml": PUMPS, "readings.toml": READINGS}
    left: dict[str, bytes] = {}
    line = command_line(random, base, quick=quick)
    typed = _nonsense(random) if random.random() < 0.05 else ""
    if 0.6 < kind < 0.88:
        line = _plain(random, quick=quick)
    elif 0.92 < kind < 0.935:
        line, typed = ["new", "made.toml", "--ask"], answers(random) if random.random() < 0.8 else _nonsense(random)
    elif 0.935 < kind < 0.955:
        line, left = _gone_on(random, base)
    elif kind > 0.955:
        texts |= {"pumps.toml": document(random, PUMPS), "readings.toml": document(random, READINGS)}
        diagnose, match = (
            ["diagnose", "rig.toml", "--readings", "readings.toml"],
            ["match", "rig.toml", "--pumps", "pumps.toml"],
        )
        line = diagnose if random.random() < 0.8 else match
    ends = (random.choice(("", *ENDS)), random.choice(("", *ENDS))) if random.random() < 0.03 else ("", "")
    files = {name: text.encode("utf-8", "surrogatepass") for name, text in texts.items()}
    return Case(tuple(line), files | left, typed.encode("utf-8", "surrogatepass"), ends)
