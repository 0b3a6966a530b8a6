"""Answers of a builder to the text of a rig file in which every line is explained.

Remarks are the words of the specifications. What was left out stands as a remark that shows how to write it.
"""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Dimension, specs_of
from hydrokit.catalogue import generic_parts
from hydrokit.files.asking import NO, OWN, YES, raw_of
from hydrokit.files.questions import MOST_FILTERS, PUMP_KINDS, QUESTIONS, SUPPORTS, hosed, kind_of_pump
from hydrokit.files.writing import quoted
from hydrokit.parts import Filter, Hose, Outlet, Source, Tank
from hydrokit.parts.describing import described
from hydrokit.parts.electrics import Battery
from hydrokit.parts.pumps import SUPPLY, PoweredPump
from hydrokit.parts.vehicles import Vehicle
from hydrokit.rig import Site
from hydrokit.units import measured, show

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hydrokit.files.asking import Answers

__all__ = ["composed"]

_REMARK: Final = 44
"""Column at which remarks begin, where the value leaves room."""
_TAIL_FITS: Final = (1.2, 1.5)
"""Bore of a hose over that of a tail inside it; common practice, no source."""

_HEAD: Final = (
    "# A rig file, written from your answers. Everything behind a # is a remark; change what you like.",
    "# Lines that begin with # and hold a value are what you left out: take off the # once you know the value.",
    '# Where you are not sure, say so: "6.0 ± 0.3 m". `hydrokit explain` tells what any word means.',
    "# Values marked 'suggested' were not yours: put in your own.",
)


def _remarked(line: str, remark: str) -> str:
    return f"{line.ljust(_REMARK)} # {remark}" if remark else line


def _is_suggested(answers: Answers, key: str) -> bool:
    question = next(each for each in QUESTIONS if each.key == key and each.when(answers))
    return question.suggest(answers) == answers[key]


def _short(doc: str) -> str:
    return doc.partition(";")[0]


def _doc(answers: Answers, key: str, doc: str) -> str:
    return f"{_short(doc)} (suggested)" if _is_suggested(answers, key) else _short(doc)


def _table(
    header: str,
    cls: type[Any],
    group: str,
    answers: Answers,
    *,
    first: Iterable[str] = (),
    without: tuple[str, ...] = (),
) -> list[str]:
    """Return a table with a line for each field that was asked for."""
    lines = [header, *first]
    for name, spec in specs_of(cls).items():
        key = f"{group}.{name}"
        if key not in answers or name in without:
            continue
        if answers[key]:
            lines.append(_remarked(f"{name} = {quoted(raw_of(spec, answers[key]))}", _doc(answers, key, spec.doc)))
        else:
            example = next(each.example for each in described(cls) if each.name == name)
            lines.append(_remarked(f"# {name} = {example}", f"not known: {_short(spec.doc)}"))
    return [*lines, ""]


def _own(group: str, name: str, cls: type[Any], answers: Answers, *without: str) -> list[str]:
    """Return the table of a part that the catalogue does not have, or nothing."""
    if answers.get(f"{group}.use") != OWN:
        return []
    kind = _remarked(f'part = "{cls.kind}"', "its kind")
    return _table(f"[parts.{name}]", cls, group, answers, first=[kind], without=without)


def _item(use: str, **fields: str) -> str:
    pairs = ", ".join([f"use = {quoted(use)}", *(f"{key} = {quoted(value)}" for key, value in fields.items())])
    return f"  {{ {pairs} }},"


def _plain(part: str, **fields: str) -> str:
    pairs = ", ".join([f"part = {quoted(part)}", *(f"{key} = {quoted(value)}" for key, value in fields.items())])
    return f"  {{ {pairs} }},"


def _length(text: str) -> float:
    return measured(text, Dimension.LENGTH).value


def _tail(bore: str, answers: Answers) -> list[str]:
    """Return a tail of the catalogue that goes into a hose, or nothing where none fits or none was wanted."""
    wide = _length(bore)
    tails = {
        name: _length(str(entry.fields["bore"])) for name, entry in generic_parts().items() if entry.kind == "hose tail"
    }
    least, most = _TAIL_FITS
    fitting = [name for name, own in tails.items() if least * own <= wide <= most * own]
    return [_item(fitting[-1])] if fitting and answers["tails"] == YES else []


def _named(group: str, name: str, answers: Answers) -> str:
    return name if answers[f"{group}.use"] == OWN else answers[f"{group}.use"]


def _run(group: str, name: str, answers: Answers, length: str = "") -> str:
    """Return a hose as an item of a line."""
    return _item(_named(group, name, answers), length=answers[length or f"{group}.length"])


def _pump(group: str, name: str, answers: Answers) -> list[str]:
    """Return a pump as an item of a line, with what supplies it."""
    if answers.get(f"{group}.use", "none") == "none":
        return []
    fields = {"height": answers[f"{group}.height"]}
    if issubclass(PUMP_KINDS[kind_of_pump(group, answers)], PoweredPump) and answers.get("battery") == YES:
        fields["battery"] = "main"
    fields |= {word: answers[key] for word in SUPPLY if answers.get(key := f"{group}.{word}")}
    return [_item(_named(group, name, answers), **fields)]


def _filters(answers: Answers) -> list[str]:
    names = [f"filter-{number}" for number in range(1, MOST_FILTERS + 1)]
    used = [name for name in names if answers.get(f"{name}.use", "none") != "none"]
    uses = [_named(name, name, answers) for name in used]
    height = answers["filters.height"] if used else ""
    return [
        _item(use, **({"name": name} if uses.count(use) > 1 else {}), height=height)  # else it goes by what it is
        for name, use in zip(used, uses, strict=True)
    ]


def _line(name: str, start: str, end: str, parts: Iterable[str], remark: str = "", *also: str) -> list[str]:
    ends = [f"from = {quoted(start)}", f"to = {quoted(end)}", *also]
    return [_remarked(f"[lines.{name}]", remark), *ends, "parts = [", *parts, "]", ""]


def _vehicle(answers: Answers) -> list[str]:
    """Return what carries the rig, its mass and middle worked out of what its supports carry; or nothing."""
    if answers["vehicle"] not in SUPPORTS:
        return []
    front, rear = SUPPORTS[answers["vehicle"]]
    first = [
        _remarked(f"front = {quoted(front)}", "what the front support is called"),
        _remarked('front_position = "0 m"', "positions count backwards from here"),
        _remarked(f"rear = {quoted(rear)}", "what the rear support is called"),
        _remarked(f"rear_position = {quoted(answers['vehicle.wheelbase'])}", "the wheelbase"),
    ]
    loads = [answers["vehicle.front_mass"], answers["vehicle.rear_mass"]]
    if all(loads):
        on_front, on_rear = (measured(load, Dimension.MASS).value for load in loads)
        whole = on_front + on_rear
        middle = _length(answers["vehicle.wheelbase"]) * on_rear / whole
        said = f"{loads[0]} on the {front} and {loads[1]} on the {rear}"
        first += [
            _remarked(f"mass = {quoted(show(whole, Dimension.MASS, digits=6))}", f"empty: {said}"),
            _remarked(f"position = {quoted(show(middle, Dimension.LENGTH, digits=6))}", "its middle, from the same"),
        ]
    else:
        first += [
            _remarked('# mass = "240 kg"', "not known: empty of all that this rig lists"),
            _remarked('# position = "2.2 m"', "not known: of its middle"),
        ]
    return _table("[vehicle]", Vehicle, "vehicle", answers, first=first)


def _end(answers: Answers) -> list[str]:
    bore = hosed("suction", answers)
    words = {"both": ("strainer", "foot valve"), "none": ()}.get(answers["end"], (answers["end"],))
    return [_plain(word, bore=bore) for word in words]


def _tank_names(answers: Answers) -> list[str]:
    count = int(answers["tanks"])
    return {1: ["tank"], 2: ["near", "far"]}.get(count, [f"tank-{number}" for number in range(1, count + 1)])


def _filling(answers: Answers) -> list[str]:
    tanks = _tank_names(answers)
    suction, delivery = (hosed(group, answers) for group in ("suction", "delivery"))
    pump = [*_tail(suction, answers), *_pump("pump", "lift-pump", answers), *_tail(delivery, answers)]
    parts = [*_end(answers), _run("suction", "suction-hose", answers), *pump]
    parts += [_run("delivery", "delivery-hose", answers), *_filters(answers)]
    alone = len(tanks) == 1
    lines = _line(
        "filling", answers["water"], tanks[0] if alone else "split", parts, "parts in the order the water meets them"
    )
    for tank in [] if alone else tanks:
        hose = _item(_named("delivery", "delivery-hose", answers), length=answers["branch.length"])
        lines += _line(f"to-{tank}", "split", tank, [hose])
    if answers.get("balance") == YES:
        for before, after in pairwise(tanks):
            hose = _item(_named("delivery", "delivery-hose", answers), length=answers["join.length"])
            lines += _line(
                f"{before}-to-{after}", before, after, [hose], "joins them at the floor", 'enters = "bottom"'
            )
    return lines


def _drawing(answers: Answers) -> tuple[list[str], list[str]]:
    """Return the lines that lead to the tap, and their names."""
    if answers["tap"] == NO:
        return [], []
    tanks = _tank_names(answers)
    alone = len(tanks) == 1
    lines: list[str] = []
    for tank in [] if alone else tanks:
        hose = _item(_named("tap-hose", "tap-hose", answers), length=answers["branch.length"])
        lines += _line(f"from-{tank}", tank, "meet", [hose])
    parts = [*_pump("tap-pump", "tap-pump", answers), _run("tap-hose", "tap-hose", answers)]
    parts.append(_plain("valve", bore=hosed("tap-hose", answers), pattern="ball"))
    lines += _line("to-tap", tanks[0] if alone else "meet", "tap", parts)
    return lines, [*(f"from-{tank}" for tank in tanks if not alone), "to-tap"]


def _modes(answers: Answers, drawing: list[str]) -> list[str]:
    if not drawing:
        return []
    tanks = _tank_names(answers)
    filling = ["filling", *(f"to-{tank}" for tank in tanks if len(tanks) > 1)]
    pumps = {"filling": f"lines.filling.{_named('pump', 'lift-pump', answers)}"}
    if answers.get("tap-pump.use", "none") != "none":
        pumps["drawing"] = f"lines.to-tap.{_named('tap-pump', 'tap-pump', answers)}"
    lines: list[str] = []
    for mode, shut, still in (("filling", drawing, "drawing"), ("drawing", filling, "filling")):
        lines.append(
            _remarked(f"[modes.{mode}]", "a way of using the rig; the first is the default" if not lines else "")
        )
        lines.append(_remarked(f"closed = {quoted([f'lines.{name}' for name in shut])}", "lines that are shut"))
        if still in pumps:
            lines.append(_remarked(f"off = {quoted([pumps[still]])}", "pumps that stand still"))
        lines.append("")
    return lines


def composed(answers: Answers) -> str:
    """Return the text of a rig file.

    Parameters
    ----------
    answers : mapping of str to str
        To every question that arises.
    """
    drawing, names = _drawing(answers)
    pump_kind = PUMP_KINDS[kind_of_pump("pump", answers)]
    tap_kind = PUMP_KINDS.get(kind_of_pump("tap-pump", answers), pump_kind)
    supply = ("height", *SUPPLY)
    lines = [
        *_HEAD,
        "",
        _remarked("format = 1", "version of this format; always 1"),
        f"title = {quoted(answers['title'])}",
        "",
    ]
    lines += _table("[site]", Site, "site", answers)
    lines += ["# Heights count from the one level you picked, the same for all; up is positive.", ""]
    lines += _table(f"[sources.{answers['water']}]", Source, "source", answers)
    for tank in _tank_names(answers):
        lines += _table(f"[tanks.{tank}]", Tank, "tank", answers)
    lines += _table("[outlets.tap]", Outlet, "outlet", answers) if names else []
    lines += _table("[batteries.main]", Battery, "main", answers) if answers.get("battery") == YES else []
    lines += _vehicle(answers)
    lines += _own("suction", "suction-hose", Hose, answers, "length")
    lines += _own("pump", "lift-pump", pump_kind, answers, *supply)
    lines += _own("delivery", "delivery-hose", Hose, answers, "length")
    for number in range(1, MOST_FILTERS + 1):
        lines += _own(f"filter-{number}", f"filter-{number}", Filter, answers)
    lines += _own("tap-hose", "tap-hose", Hose, answers, "length") if names else []
    lines += _own("tap-pump", "tap-pump", tap_kind, answers, *supply)
    lines += [*_filling(answers), *drawing, *_modes(answers, names)]
    return "\n".join(lines).rstrip() + "\n"
