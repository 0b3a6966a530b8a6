"""Command lines: every command with options that fit, that nearly fit, and that do not fit at all."""

from __future__ import annotations

import re
from functools import cache
from typing import TYPE_CHECKING, Any, Final

import click

from hydrokit.errors import InputError
from hydrokit.files import read_rig
from hydrokit.files.questions import following
from hydrokit.rig import spec_at, values_of
from hydrokit_cli.main import hydrokit
from tests.fuzz.attacks import NAMES, PATHS, quantity, word
from tests.fuzz.lawful import stated
from tests.fuzz.leads import PICTURES, RIG_WORDS, SHARES, lead

if TYPE_CHECKING:
    from collections.abc import Callable
    from random import Random

    from hydrokit.bounds import Spec

__all__ = ["RIG_WORDS", "SLOW", "answers", "command_line"]

SLOW: Final = ("spread", "envelope", "report", "match", "bore")
"""What computes for long."""

_NAMED: Final = re.compile(r"^\[(?:\w+)\.([\w-]+)\]|name = \"([\w-]+)\"", re.MULTILINE)
_VALUES: Final = (
    "0 m to 3 m step 1 m", "0 m to 3 m in 3", "1 m to 0 m step 1 m", "0 m to 1 m step 0 m", "0 m to 1e30 m step 1e-30 m", "0 m to 1 m in 1",
    "0 m to 1 m in 99999999999", "0 m to", "to", "step", ",", "", "1 m,,2 m", "1 m, 1 m", "8 mm, 10 mm", "5 °C to 9 °C in 3", "0, 1", "0.1, 50 %",
    "1 bar to 2 bar step 1 kPa in 4", "nan to nan step nan", "0 m to 1 m in ٣", "0 m to 1 m in -3",
)  # fmt: skip


@cache
def _options(name: str) -> tuple[click.Option, ...]:
    command = hydrokit.get_command(click.Context(hydrokit), name)
    return tuple(each for each in command.params if isinstance(each, click.Option)) if command else ()


@cache
def _values(text: str) -> dict[str, tuple[float, Spec]]:
    """Return every number that a rig states, and what it may be."""
    try:
        rig = read_rig(text)
    except InputError:
        return {}
    return {address: (value, spec_at(rig, address)) for address, value in values_of(rig).items()}


def _addresses(text: str) -> tuple[str, ...]:
    return (*_values(text), "lines.intake.hose-1.bore", "site.altitude", "tanks.near.level")


def _named(text: str, random: Random) -> str:
    found = [one or other for one, other in _NAMED.findall(text)]
    return random.choice(found) if found and random.random() < 0.8 else word(random)


def _address(text: str, random: Random) -> str:
    found = random.choice(_addresses(text))
    kind = random.random()
    if kind < 0.75:
        return found
    if kind < 0.85:
        words = found.split(".")
        words[random.randrange(len(words))] = word(random)
        return ".".join(words)
    return random.choice(
        (found.upper(), found[:-1], f"{found}.{found}", "." + found, found.rpartition(".")[0], word(random))
    )


def _setting(text: str, random: Random) -> str:
    """Return an address and a value: often one that may well be, only larger or smaller than the rig's own."""
    address = _address(text, random)
    values = _values(text)
    if address not in values or random.random() < 0.3:
        return f"{address}={quantity(random)}"
    value, spec = values[address]
    number = random.choice(
        (value * random.choice((-1.0, 0.0, 0.1, 0.5, 2.0, 10.0, 1e3, 1e-3, 1e6)), random.uniform(0.0, 1.0))
    )
    return f"{address}={stated(number, spec.dimension)}"


def _output(random: Random, ending: str) -> str:
    if random.random() < 0.6:
        return f"made{ending}"
    return random.choice((random.choice(PATHS), f"{random.choice(PATHS)}{ending}", f"x{word(random)}{ending}"))


def _path(random: Random, good: str) -> str:
    return good if random.random() < 0.85 else random.choice(PATHS)


def _varied(text: str, random: Random) -> str:
    value = random.choice((random.choice(_VALUES), quantity(random), f"{quantity(random)}, {quantity(random)}"))
    return f"{_address(text, random)}={value}" if random.random() < 0.9 else word(random)


_COUNTS: Final = ("64", "1", "0", "-1", "1e3", "12", "x", "9" * 30, "999")
_MEANT: Final[dict[str, Callable[[str, Random], str]]] = {
    "--set": lambda text, random: _setting(text, random) if random.random() < 0.9 else word(random),
    "--vary": _varied,
    "--out": lambda _, random: _output(random, random.choice((".csv", ".jsonl", ".html"))),
    "--plot": lambda _, random: _output(random, ".svg"),
    "--picture": lambda _, random: random.choice(PICTURES),
    "--drawing": lambda _, random: _output(random, ".svg"),
    "--readings": lambda _, random: _path(random, "readings.toml"),
    "--pumps": lambda _, random: _path(random, "pumps.toml"),
    **dict.fromkeys(("--samples", "--seed", "--best"), lambda _, random: random.choice(_COUNTS)),
    "--workers": lambda _, random: random.choice(("1", "0", "x", "-1")),
}
"""What options may be given that are neither words nor quantities."""


def _mean(option: click.Option, text: str, random: Random) -> str:
    """Return a value that an option may take, or nearly."""
    if (meant := _MEANT.get(option.opts[0])) is not None:
        return meant(text, random)
    choices = getattr(option.type, "choices", None)
    if choices:
        return random.choice((*choices, *[each.upper() for each in choices], word(random)))
    example = getattr(option.type, "example", "")
    if example:
        return example if random.random() < 0.3 else quantity(random)
    return random.choice((_named(text, random), _address(text, random), "filling", "as drawn", quantity(random)))


def _option(option: click.Option, text: str, random: Random) -> list[str]:
    name = random.choice((*option.opts, *option.secondary_opts))
    if option.is_flag:
        return [name] if random.random() < 0.98 else [f"{name}=1"]
    values = [_mean(option, text, random) for _ in range(option.nargs)]
    if random.random() < 0.02:
        values = values[1:]
    if len(values) == 1 and random.random() < 0.2:
        return [f"{name}={values[0]}"]
    return [name, *values]


def _files(name: str, random: Random) -> list[str]:
    if name == "new":
        return [_output(random, ".toml")]
    if name in ("explain", "catalogue"):
        return [random.choice((word(random), "NPSH", "bore", "hose", "carbon"))] if random.random() < 0.9 else []
    if name not in RIG_WORDS:
        return []
    first = [_path(random, "rig.toml")] if random.random() < 0.97 else []
    return [*first, _path(random, "other.toml")] if name == "compare" or random.random() < 0.02 else first


def _disturbed(line: list[str], random: Random) -> list[str]:
    """Return a line with something in it that does not belong there."""
    line = list(line)
    kind = random.randrange(4)
    if kind == 0 and line:
        del line[random.randrange(len(line))]
    elif kind == 1:
        line.insert(random.randint(0, len(line)), random.choice((*NAMES, *PATHS)))
    elif kind == 2:
        line.insert(
            random.randint(0, len(line)),
            random.choice(("--", "--unknown", "-x", "--set", "--json=", "--help", "--version", "-hh")),
        )
    else:
        random.shuffle(line)
    return [each.replace("\x00", "\\0") for each in line]  # no system hands a NUL over


def _chosen(option: click.Option, text: str, random: Random) -> list[str]:
    """Return an option as it is typed; what matplotlib draws takes half a second, so pictures are mostly such as cannot be."""
    name = option.opts[0]
    if name == "--plot":
        odd = random.random() < 0.9
        return _option(option, text, random) + (["--picture", random.choice(NAMES)] if odd else [])
    if name == "--picture" and random.random() < 0.5:
        return ["--picture", random.choice(NAMES), "--plot", "made.svg"]
    return _option(option, text, random)


def command_line(random: Random, text: str, *, quick: bool = False) -> list[str]:
    """Return what might be typed, about the rig of a text: ``quick`` leaves out what computes for long."""
    name = random.choices(list(SHARES), list(SHARES.values()))[0]
    if quick and name in SLOW:
        name = "check"
    line = _files(name, random) + lead(name, random)
    for _ in range(random.choice((0, 0, 1, 1, 2, 4))):
        options = [
            each for each in _options(name) if not (quick and each.opts[0] in ("--plot", "--drawing", "--verify"))
        ]
        if options:
            line += _chosen(random.choice(options), text, random)
    if random.random() < 0.3:
        line.append("--json")
    if random.random() < 0.04:
        return _disturbed([name, *line], random)
    return [name, *(each.replace("\x00", "\\0") for each in line)]


def answers(random: Random) -> str:
    """Return what might be typed in answer to the questions of ``new --ask``."""
    typed: dict[str, Any] = {}
    lines: list[str] = []
    while len(lines) < 120:
        question = following(typed)
        if question is None:
            break
        good = random.random() < 0.9
        text = (
            ""
            if good and question.suggest(typed)
            else random.choice((*question.words, "-", "?", "<", quantity(random), word(random)))
        )
        text = text.replace("\n", " ").replace("\r", " ")
        lines.append(text)
        if text.strip() == "<":
            typed.pop(next(reversed(typed), ""), None)
            continue
        try:
            typed[question.key] = question.accept(text, typed)
        except InputError:
            continue
    return "\n".join(lines[: random.randint(0, len(lines))] if random.random() < 0.1 else lines) + "\n"
