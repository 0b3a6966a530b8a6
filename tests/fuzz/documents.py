"""Rig files, lists of pumps and readings, changed in their structure: valid ones to begin with, then torn."""

from __future__ import annotations

import json
import re
import tomllib
from copy import deepcopy
from functools import cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final

from hydrokit.files import demonstration_text, hand_check, starter, write_rig
from tests.fuzz.attacks import NAMES, Raw, any_value, quantity, word
from tests.fuzz.lawful import LAWFUL
from tests.ten_rigs import made_rigs

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from random import Random

__all__ = ["bases", "document", "places", "torn", "written"]

_PUBLISHED: Final = Path(__file__).parents[1] / "published" / "rigs"
PUMPS: Final = """format = 1
[parts.small]
part = "diaphragm pump"
points = [["0 L/min", "2 bar"], ["6 L/min", "0 bar"]]
[parts.large]
part = "centrifugal pump"
heads = [["0 L/min", "20 m"], ["40 L/min", "5 m"]]
[parts.stock]
use = "diaphragm-pump-11"
dry_lift = "2.0 m"
"""
READINGS: Final = """format = 1
readings = [
  { flow = "5.0 ± 0.2 L/min" },
  { vacuum = "0.35 bar vacuum" },
  { pressure = "1.2 bar", before = "filters" },
  { dead_head = "2.6 bar" },
  { volts = "11.4 V" }, { amps = "6.2 A ± 3 %" }, { bubbles = true },
]
"""
_FIELDS: Final = (
    "bore", "length", "height", "volume", "floor", "depth", "level", "surface", "pressure", "points", "heads", "part", "use", "name", "from",
    "to", "parts", "origin", "k", "roughness", "friction_factor", "loading", "wear", "air", "battery", "charge", "cut_in", "cut_out", "speed",
    "demand", "altitude", "water_temperature", "density", "closed", "off", "set", "title", "note", "gallon", "format", "enters", "opening",
)  # fmt: skip
_NUMBER: Final = re.compile(r"([+-]?[0-9.]+)(.*)", re.DOTALL)
_BARE: Final = re.compile(r"[A-Za-z0-9_-]+")
_SHARDS: Final = (
    "[", "]", "{", "}", "=", ",", ".", '"', '"""', "'", "'''", "#", "\n", "\\", "\x00", "\ufeff", "±", "[[", "]]", "0", "-", "1e999", "\r", "\x1b[2J",
    "nan", "true", '"6 m"', "from", "parts", 'use = "carbon"', "origin", "[modes.x.set]", "lines", "9" * 400, "\\u0000", "\\ud800", "\\x41", "# \x07",
)  # fmt: skip


@cache
def bases() -> tuple[str, ...]:
    """Return the texts that everything starts from: small rigs several times, for they are quick."""
    published = [path.read_text("utf-8") for path in sorted(_PUBLISHED.glob("*.toml"))]
    made = [write_rig(rig) for name, rig in made_rigs().items() if name not in ("demonstration", "hand check")]
    return (demonstration_text(), starter(), write_rig(hand_check()), *made, *made, *published)


@cache
def _parsed(text: str) -> dict[str, Any]:
    return tomllib.loads(text)


def _key(text: str, random: Random) -> str:
    return text if _BARE.fullmatch(text) else _text(text, random)


def _text(text: str, random: Random) -> str:
    if random.random() < 0.03:
        return f"'{text}'"
    quoted = json.dumps(text, ensure_ascii=random.random() < 0.3)
    return quoted.replace("\\ud800", "\ud800") if random.random() < 0.1 else quoted


def _value(value: Any, random: Random) -> str:
    if isinstance(value, Raw):
        return str(value)
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{_key(key, random)} = {_value(each, random)}" for key, each in value.items()) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(_value(each, random) for each in value) + "]"
    return _text(value, random) if isinstance(value, str) else json.dumps(value, default=str)


def _tables(tree: dict[str, Any], above: tuple[str, ...], random: Random) -> Iterator[str]:
    inline = {key: each for key, each in tree.items() if not isinstance(each, dict) or len(above) >= 2}
    if above and (inline or not tree):
        yield f"[{'.'.join(_key(key, random) for key in above)}]"
    for key, each in inline.items():
        yield f"{_key(key, random)} = {_value(each, random)}"
        if random.random() < 0.002:
            yield f"{_key(key, random)} = {_value(each, random)}"
    for key, each in tree.items():
        if key not in inline:
            yield from _tables(each, (*above, key), random)


def written(tree: dict[str, Any], random: Random) -> str:
    """Return the text of a tree, now and then with a key twice or other quotes."""
    return "\n".join(_tables(tree, (), random)) + "\n"


_Place = tuple[Any, Any]


def places(tree: Any) -> Iterator[_Place]:
    """Yield every container and key in a tree."""
    pairs = tree.items() if isinstance(tree, dict) else enumerate(tree)
    for key, value in pairs:
        yield tree, key
        if isinstance(value, (dict, list)):
            yield from places(value)


def _place(tree: dict[str, Any], random: Random, *kinds: type) -> _Place | None:
    found = [(at, key) for at, key in places(tree) if not kinds or isinstance(at[key], kinds)]
    return random.choice(found) if found else None


def _drop(tree: dict[str, Any], random: Random) -> None:
    if place := _place(tree, random):
        del place[0][place[1]]


def _double(tree: dict[str, Any], random: Random) -> None:
    if place := _place(tree, random):
        at, key = place
        if isinstance(at, list):
            at[key:key] = [deepcopy(at[key]) for _ in range(random.choice((1, 1, 2, 30)))]
        else:
            at[random.choice((f"{key}-2", *_FIELDS))] = deepcopy(at[key])


def _rename(tree: dict[str, Any], random: Random) -> None:
    tables = [(at, key) for at, key in places(tree) if isinstance(at, dict)]
    if tables:
        at, key = random.choice(tables)
        new = random.choice((word(random), random.choice(_FIELDS), key[1:], key.upper(), key + "s", key[::-1]))
        at[new] = at.pop(key)


def _rename_everywhere(tree: dict[str, Any], random: Random) -> None:
    """Give an end, a line or a mode another name, wherever it is named."""
    group = random.choice(("sources", "tanks", "outlets", "lines", "modes", "joints", "parts", "batteries"))
    table = tree.get(group)
    if not isinstance(table, dict) or not table:
        return
    old, new = random.choice(list(table)), word(random)
    table[new] = table.pop(old)
    for at, key in list(places(tree)):
        if at[key] == old and key in ("from", "to", "use", "battery", "name"):
            at[key] = new


def _swap(tree: dict[str, Any], random: Random) -> None:
    one, other = _place(tree, random), _place(tree, random)
    if one and other:
        first, second = deepcopy(one[0][one[1]]), deepcopy(other[0][other[1]])
        one[0][one[1]], other[0][other[1]] = second, first


def _replace(tree: dict[str, Any], random: Random) -> None:
    if place := _place(tree, random):
        place[0][place[1]] = any_value(random)


def _attack(tree: dict[str, Any], random: Random) -> None:
    if place := _place(tree, random, str):
        place[0][place[1]] = random.choice((quantity, word))(random)


def _scale(tree: dict[str, Any], random: Random) -> None:
    """Make a quantity much larger or smaller, or nothing at all."""
    for _ in range(random.choice((1, 1, 2, 5, 20))):
        place = _place(tree, random, str)
        match = _NUMBER.fullmatch(place[0][place[1]]) if place else None
        if not place or not match:
            continue
        try:
            number = float(match[1]) * random.choice(
                (0.0, -1.0, 0.1, 0.5, 2.0, 10.0, 1e3, 1e-3, 1e6, 1e-6, 1e12, 1e-12)
            )
        except ValueError:
            continue
        place[0][place[1]] = f"{number:.6g}{match[2]}"


def _add(tree: dict[str, Any], random: Random) -> None:
    if place := _place(tree, random, dict):
        place[0][place[1]][random.choice((*_FIELDS, *NAMES))] = any_value(random)


def _wrap(tree: dict[str, Any], random: Random) -> None:
    if place := _place(tree, random):
        at, key = place
        at[key] = random.choice(([at[key]], {"a": at[key]}, [[at[key]]], [at[key], at[key]]))


def _loop(tree: dict[str, Any], random: Random) -> None:
    """Let parts use one another, and lines run from an end to itself."""
    tree["parts"] = {"a": {"use": "b"}, "b": {"use": random.choice(("a", "b", "c", "carbon"))}}
    lines = (
        [each for each in tree.get("lines", {}).values() if isinstance(each, dict)]
        if isinstance(tree.get("lines"), dict)
        else []
    )
    if lines:
        line = random.choice(lines)
        line["parts"] = [{"use": "a"}, {"use": "a", "name": "a"}]
        if random.random() < 0.5:
            line["to"] = line.get("from", "a")


_CHANGES: Final[tuple[Callable[[dict[str, Any], Random], None], ...]] = (
    _drop, _drop, _double, _rename, _rename_everywhere, _rename_everywhere, _swap, _replace, _replace, _attack, _attack, _attack, _scale, _scale,
    _scale, _scale, _add, _add, _wrap, _loop,
)  # fmt: skip


def _huge(random: Random) -> str:
    kind = random.randrange(6)
    if kind == 0:
        return "format = 1\na = " + "[" * 10_000 + "]" * 10_000
    if kind == 1:
        return "format = 1\na = " + "{a=" * 10_000 + "1" + "}" * 10_000
    if kind == 2:
        return "format = 1\n" + ".".join(["a"] * 10_000) + " = 1"
    if kind == 3:
        return "format = 1\nlines = [" + "0," * random.choice((1000, 100_000)) + "]"
    if kind == 4:
        return "format = 1\n[lines.a]\nparts = [" + '{ part = "hose" },' * 5000 + "]"
    return "# " + "x" * 10_000_000


def torn(text: str, random: Random) -> str:
    """Return a text with pieces cut out and others put in."""
    for _ in range(random.randint(1, 4)):
        at, size = random.randint(0, len(text)), random.choice((0, 0, 1, 3, 30, 300))
        shard = (
            random.choice(_SHARDS)
            if random.random() < 0.9
            else chr(random.choice((random.randrange(0x250), random.randrange(0x11000))))
        )
        text = text[:at] + shard + text[at + size :]
    return random.choice(
        (text, text, text.replace("\n", "\r\n"), "\ufeff" + text, text[: random.randint(0, len(text))])
    )


def document(random: Random, base: str | None = None) -> str:
    """Return the text of a file: one time in fifteen as it was, else changed one to four times, torn, or huge."""
    base = random.choice(bases()) if base is None else base
    kind = random.random()
    if kind < 0.07:
        return base
    if kind < 0.15:
        return torn(base, random)
    if kind < 0.153:
        return _huge(random)
    tree = deepcopy(_parsed(base))
    changes = _CHANGES if kind < 0.45 else (*LAWFUL, _scale)
    for _ in range(random.choice((1, 1, 1, 2, 2, 4))):
        random.choice(changes)(tree, random)
    text = written(tree, random)
    return torn(text, random) if random.random() < 0.03 else text
