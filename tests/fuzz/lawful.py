"""Changes that a rig file may well have: fields and parts within their limits, however unlikely together."""

from __future__ import annotations

import math
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Choice, Curve, Dimension, Flag, Spec, choices_of, specs_of
from hydrokit.catalogue import generic_parts
from hydrokit.errors import RangeError
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.reading import required
from hydrokit.rig import ASIDE, SINGLES
from hydrokit.units import text_of

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from random import Random

__all__ = ["LAWFUL", "stated"]

_GROUPS: Final[dict[str, type[Any]]] = {f"{kind}s": cls for kind, cls in END_KINDS.items()} | ASIDE
_SMALLEST: Final = 1e-6
_LARGEST: Final = 1e6


def stated(value: float, dimension: Dimension) -> str:
    """Return a text for a number; a bare one where no text says it, as of a vacuum below nothing."""
    try:
        return text_of(value, dimension)
    except RangeError:
        return repr(value)


def _number(spec: Spec, random: Random) -> float:
    """Return a number within the limits: like the example in size, of any size, or a limit itself."""
    low, high = max(spec.low, -_LARGEST), min(spec.high, _LARGEST)
    kind = random.random()
    if kind < 0.08:
        return random.choice((low, high, min(max(0.0, low), high)))
    if kind < 0.5 and high <= 10.0:
        return random.uniform(low, high)
    size = math.exp(random.uniform(math.log(_SMALLEST), math.log(_LARGEST if kind > 0.8 else 10.0)))
    return min(max(-size if low < 0.0 and random.random() < 0.2 else size, low), high)


def _points(curve: Curve, random: Random) -> list[list[str]]:
    count = random.choice((curve.least, curve.least, curve.least + 1, curve.least + 3))
    xs = sorted(_number(curve.x, random) for _ in range(count))
    ys = sorted((_number(curve.y, random) for _ in range(count)), reverse=random.random() < 0.6)
    return [[stated(x, curve.x.dimension), stated(y, curve.y.dimension)] for x, y in zip(xs, ys, strict=True)]


def _value(cls: type[Any], name: str, random: Random) -> Any:
    spec = specs_of(cls)[name]
    if isinstance(spec, Spec):
        return stated(_number(spec, random), spec.dimension)
    if isinstance(spec, Curve):
        return _points(spec, random)
    if isinstance(spec, Choice):
        return random.choice([word for word in choices_of(cls, name) if word])
    return random.random() < 0.5 if isinstance(spec, Flag) else random.choice(("main", "a", "near"))


def _kind(item: Any) -> type[Any] | None:
    if not isinstance(item, dict):
        return None
    if isinstance(item.get("use"), str) and item["use"] in generic_parts():
        return PART_KINDS[generic_parts()[item["use"]].kind]
    kind = item.get("part")
    return PART_KINDS.get(kind) if isinstance(kind, str) else None


def _owners(tree: dict[str, Any]) -> Iterator[tuple[type[Any], dict[str, Any]]]:
    """Yield every table that has fields, and the class that declares them."""
    for name, cls in SINGLES.items():
        yield cls, tree.setdefault(name, {}) if isinstance(tree.get(name, {}), dict) else {}
    for group, cls in _GROUPS.items():
        table = tree.get(group)
        yield from ((cls, each) for each in table.values() if isinstance(each, dict)) if isinstance(table, dict) else ()
    for parts in _lists(tree):
        yield from ((cls, item) for item in parts if (cls := _kind(item)) is not None)


def _lists(tree: dict[str, Any]) -> list[list[Any]]:
    """Return the lists of parts of all lines."""
    lines = tree.get("lines")
    found = [each.get("parts") for each in lines.values() if isinstance(each, dict)] if isinstance(lines, dict) else []
    return [each for each in found if isinstance(each, list)]


def _field(tree: dict[str, Any], random: Random) -> None:
    """Give some table another value in one of its fields; emptied tables are left out again."""
    cls, table = random.choice(list(_owners(tree)))
    name = random.choice(list(specs_of(cls)))
    table[name] = _value(cls, name, random)
    for single in SINGLES:
        if tree.get(single) == {}:
            del tree[single]


def _part(tree: dict[str, Any], random: Random) -> None:
    """Put a part into a line."""
    lists = _lists(tree)
    if not lists:
        return
    if random.random() < 0.4:
        item = {"use": random.choice(list(generic_parts()))}
    else:
        kind = random.choice(list(PART_KINDS))
        cls = PART_KINDS[kind]
        item = {"part": kind, **{name: _value(cls, name, random) for name in required(cls)}}
    parts = random.choice(lists)
    parts.insert(random.randint(0, len(parts)), item)


def _order(tree: dict[str, Any], random: Random) -> None:
    """Put the parts of a line into another order."""
    if lists := _lists(tree):
        random.shuffle(random.choice(lists))


def _turn(tree: dict[str, Any], random: Random) -> None:
    """Draw a line the other way round, or to another end."""
    lines = (
        [each for each in tree.get("lines", {}).values() if isinstance(each, dict)]
        if isinstance(tree.get("lines"), dict)
        else []
    )
    if not lines:
        return
    line, other = random.choice(lines), random.choice(lines)
    if random.random() < 0.5:
        line["from"], line["to"] = line.get("to", ""), line.get("from", "")
    else:
        line["to"] = other.get(random.choice(("from", "to")), "")


LAWFUL: Final[tuple[Callable[[dict[str, Any], Random], None], ...]] = (
    _field,
    _field,
    _field,
    _field,
    _part,
    _part,
    _order,
    _turn,
)
"""Each changes a parsed rig file in place."""
