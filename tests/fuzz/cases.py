"""One case out of a random generator, whichever gives it: a seed, an example of hypothesis or the bytes of a guided run."""

from __future__ import annotations

from typing import TYPE_CHECKING

from tests.fuzz.documents import PUMPS, READINGS, bases, document
from tests.fuzz.judge import Case
from tests.fuzz.lines import answers, command_line

if TYPE_CHECKING:
    from random import Random

__all__ = ["drawn_case"]


def drawn_case(random: Random, *, quick: bool = False) -> Case:
    """Return a command line and its files; ``quick`` leaves out what computes for long."""
    base = random.choice(bases()[3:] if quick else bases())
    kind = random.random()
    rig = base if kind < 0.35 else document(random, base)
    files = {"rig.toml": rig, "other.toml": base, "pumps.toml": PUMPS, "readings.toml": READINGS}
    if kind > 0.95:
        files |= {"pumps.toml": document(random, PUMPS), "readings.toml": document(random, READINGS), "rig.toml": base}
    line = command_line(random, base, quick=quick)
    if 0.6 < kind < 0.9:
        line = random.choice((["check", "rig.toml"], ["check", "rig.toml", "--json"]))
    typed = ""
    if 0.93 < kind < 0.94:
        line, typed = ["new", "made.toml", "--ask"], answers(random)
    if kind > 0.97:
        line = random.choice(
            (["diagnose", "rig.toml", "--readings", "readings.toml"], ["match", "rig.toml", "--pumps", "pumps.toml"])
        )
    return Case(
        tuple(line),
        {name: text.encode("utf-8", "surrogatepass") for name, text in files.items()},
        typed.encode("utf-8", "surrogatepass"),
    )
