"""What each command is mostly asked with, so that it has something to work out; and how often each is asked."""

from __future__ import annotations

from typing import TYPE_CHECKING, Final

from tests.fuzz.attacks import NAMES, quantity

if TYPE_CHECKING:
    from collections.abc import Callable
    from random import Random

__all__ = ["PICTURES", "RIG_WORDS", "SHARES", "lead"]

SHARES: Final = {
    "check": 18, "lift": 6, "fill": 8, "draw": 7, "wear": 7, "envelope": 4, "spread": 3, "report": 2, "bore": 5, "match": 3, "compare": 5,
    "sweep": 8, "diagnose": 8, "limit": 5, "hose": 5, "new": 4, "schema": 2, "catalogue": 3, "explain": 3, "rules": 2,
}  # fmt: skip
"""Of a hundred cases; what takes long has less."""
RIG_WORDS: Final = tuple(name for name in SHARES if name not in (
    "limit", "hose", "new", "schema", "catalogue", "explain", "rules",
))  # fmt: skip
PICTURES: Final = (
    "pump", "way", "heads", "depth", "sizes", "levels", "flows", "litres", "candidates", "sides", "corners", "guesses", "PUMP", "pumps", "none",
    "", "pump,way", "../pump", "pump.svg", "0", "__all__", "\x1b[31m", "\udc9b", *NAMES,
)  # fmt: skip


def _some(pairs: dict[str, str], random: Random, chance: float) -> list[str]:
    """Return options, each left out or given nonsense now and then."""
    found: list[str] = []
    for option, value in pairs.items():
        if random.random() < chance:
            found += [option, value if random.random() < 0.8 else quantity(random)]
    return found


def _hose(random: Random) -> list[str]:
    two = dict(random.sample((("--flow", "8 L/min"), ("--bore", "13 mm"), ("--drop", "10 kPa")), k=2))
    return _some({"--length": "6 m", **two}, random, 0.95)


def _limit(random: Random) -> list[str]:
    needed = _some({"--flow": "8 L/min", "--bore": "19 mm", "--length": "6 m"}, random, 0.97)
    stated = {"--npsh": "2 m", "--dry-lift": "2.4 m", "--vacuum": "0.6 bar vacuum", "--lift": "3 m", "--water": "12 °C"}
    return needed + _some(stated, random, 0.3)


def _diagnose(random: Random) -> list[str]:
    if random.random() < 0.5:
        return ["--readings", "readings.toml"]
    read = {"--flow": "5 ± 0.2 L/min", "--vacuum": "0.35 bar vacuum", "--before-filters": "1.2 bar", "--after-filters": "0.3 bar",
            "--dead-head": "2.6 bar", "--volts": "11.4 V", "--amps": "6 A ± 3 %", "--battery-volts": "12.1 V"}  # fmt: skip
    return _some(read, random, 0.3)


def _spread(random: Random) -> list[str]:
    return ["--samples", "100", *(["--vary", "site.altitude=300 ± 50 m"] if random.random() < 0.8 else [])]


def _sweep(random: Random) -> list[str]:
    out = ["--out", random.choice(("made.csv", "made.jsonl"))] if random.random() < 0.2 else []
    return ["--vary", "site.altitude=0 m, 900 m", *out]


_LEADS: Final[dict[str, Callable[[Random], list[str]]]] = {
    "hose": _hose,
    "limit": _limit,
    "diagnose": _diagnose,
    "spread": _spread,
    "sweep": _sweep,
    "report": lambda _: ["--out", "made.html"],
    "match": lambda random: ["--pumps", "pumps.toml"] if random.random() < 0.5 else [],
}


def lead(name: str, random: Random) -> list[str]:
    """Return the options that a command mostly has."""
    return _LEADS[name](random) if name in _LEADS else []
