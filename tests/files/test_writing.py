from __future__ import annotations

import math
from dataclasses import MISSING, fields, replace
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from hydrokit.bounds import Choice, Curve, Dimension, Flag, Spec, choices_of, specs_of
from hydrokit.errors import InputError, RangeError
from hydrokit.files import demonstration, hand_check, quantity_text, read_rig, starter, write_rig
from hydrokit.parts import PART_KINDS, Battery, Hose, Joint, Outlet, Part, Source, Tank
from hydrokit.rig import Line, Mode, Rig, Site, owners, spec_at, values_of
from hydrokit.units import measured

LONG = "x" * 61
NAMES = st.from_regex(r"[A-Za-z0-9_é-]{1,12}", fullmatch=True)
TEXTS = st.text(st.characters(exclude_categories=["C"]) | st.sampled_from('\n\t"\\'), max_size=20)


def numbers(spec: Spec) -> st.SearchStrategy[float]:
    low, high = max(spec.low, -1e9), min(spec.high, 1e9)
    edges = [each for each in (low, high, 0.0) if low <= each <= high]
    floats = st.floats(low, high).map(lambda x: 0.0 if low <= 0.0 <= high and abs(x) < 1e-12 else x)
    return floats | st.sampled_from(edges)


def values(cls: type[Any], name: str, spec: object) -> st.SearchStrategy[Any]:
    if isinstance(spec, Spec):
        return numbers(spec)
    if isinstance(spec, Curve):
        pairs = st.tuples(numbers(spec.x), numbers(spec.y))
        return st.lists(pairs, min_size=spec.least, max_size=4).map(tuple)
    if isinstance(spec, Choice):
        return st.sampled_from(choices_of(cls, name))
    if isinstance(spec, Flag):
        return st.booleans()
    if name == "battery":
        return st.sampled_from(["", "main"])
    return NAMES if name == "name" else TEXTS


@st.composite
def made(draw: st.DrawFn, cls: type[Any]) -> Any:
    needed = {each.name for each in fields(cls) if each.default is MISSING}
    chosen = {
        name: draw(values(cls, name, spec))
        for name, spec in specs_of(cls).items()
        if name in needed or draw(st.booleans())
    }
    if "heads" in specs_of(cls):  # exactly one curve, and a switch that can work
        chosen.pop("heads", None) if "points" in chosen else chosen.setdefault("heads", ((0.0, 9.0), (1e-4, 0.0)))
        chosen.pop("cut_in", None)
    chosen.pop("empty_voltage", None)  # which must not be above that when full
    try:
        return cls(**chosen)
    except RangeError:
        return draw(st.nothing())


def parts() -> st.SearchStrategy[Part]:
    return st.sampled_from(list(PART_KINDS.values())).flatmap(made)


@st.composite
def rigs(draw: st.DrawFn) -> Rig:
    names = draw(st.lists(NAMES, min_size=5, max_size=5, unique=True))
    kinds = draw(st.permutations([Source, Tank, Outlet, Joint]))
    groups: dict[str, dict[str, Any]] = {"sources": {}, "tanks": {}, "outlets": {}, "joints": {}}
    for name, cls in zip(names, kinds, strict=False):
        groups[f"{cls.kind}s"][name] = draw(made(cls))
    start, *others = sorted(names[:4], key=lambda name: name in groups["outlets"])  # an outlet is no beginning
    lines = {}
    for index, other in enumerate(others):
        line = Line(start=start, end=other, parts=tuple(draw(st.lists(parts(), max_size=3))), note=draw(TEXTS))
        if len(set(line.labels())) < len(line.parts):
            line = replace(line, parts=line.parts[:1])
        lines[f"line-{index}"] = line
    rig = Rig(
        title=draw(TEXTS),
        note=draw(TEXTS),
        site=draw(made(Site)),
        lines=lines,
        batteries={"main": draw(made(Battery))},
        **groups,
    )
    numbers_at = list(values_of(rig))
    everything = [f"{address}.{name}" for address, owner in owners(rig) for name in specs_of(type(owner))]
    some = st.lists(st.sampled_from(numbers_at), max_size=4, unique=True)
    numbers = values_of(rig)
    room = {a: min(numbers[a] - spec_at(rig, a).low, spec_at(rig, a).high - numbers[a]) for a in draw(some)}
    tolerances = {address: min(draw(st.floats(1e-6, 1e6)), 0.9 * most) for address, most in room.items() if most > 1e-9}
    origins = {address: draw(TEXTS) for address in draw(st.lists(st.sampled_from(everything), max_size=4))}
    off = tuple(address for address in rig.pumps() if draw(st.booleans()))
    mode = Mode(closed=("lines.line-0",), off=off, values={a: values_of(rig)[a] for a in draw(some)}, note=draw(TEXTS))
    return replace(rig, tolerances=tolerances, origins=origins, modes={names[4]: mode, "plain": Mode()})


@settings(max_examples=60, deadline=None, suppress_health_check=[HealthCheck.too_slow, HealthCheck.filter_too_much])
@given(rigs())
def test_any_rig_reads_back_equal(rig: Rig) -> None:
    text = write_rig(rig)
    again = read_rig(text)
    assert again == rig
    assert list(again.modes) == list(rig.modes)
    assert write_rig(again) == text


@pytest.mark.parametrize("rig", [demonstration(), hand_check(), read_rig(starter())], ids=["trailer", "sum", "starter"])
def test_rigs_that_come_along_read_back_equal(rig: Rig) -> None:
    assert read_rig(write_rig(rig)) == rig


def test_a_tolerance_of_a_value_that_could_be_left_out_is_written() -> None:
    rig = replace(hand_check(), site=Site(), tolerances={"site.water_temperature": 2.0})
    assert read_rig(write_rig(rig)).tolerances == rig.tolerances


def test_text_is_that_of_the_trade() -> None:
    rig = Rig(
        title='The "old" one',
        sources={"pond": Source(surface=0.0)},
        tanks={"near": Tank(volume=0.06, floor=1.0, depth=0.4)},
        lines={
            "intake": Line(
                start="pond", end="near", parts=(Hose(bore=0.019, length=6.0), Hose(bore=0.0254, length=1.0))
            )
        },
        modes={"filling": Mode(values={"tanks.near.level": 0.1})},
        tolerances={"lines.intake.hose-1.length": 0.5},
        origins={"lines.intake.hose-1.length": "measured"},
    )
    assert write_rig(rig) == (
        "format = 1\n"
        'title = "The \\"old\\" one"\n'
        "\n"
        "[sources.pond]\n"
        'surface = "0 m"\n'
        "\n"
        "[tanks.near]\n"
        'volume = "60 L"\n'
        'floor = "1 m"\n'
        'depth = "0.4 m"\n'
        "\n"
        "[lines.intake]\n"
        'from = "pond"\n'
        'to = "near"\n'
        "parts = [\n"
        '  { part = "hose", length = "6 ± 0.5 m", bore = "19 mm", origin = { length = "measured" } },\n'
        '  { part = "hose", length = "1 m", bore = "25.4 mm" },\n'
        "]\n"
        "\n"
        "[modes.filling]\n"
        'set = { "tanks.near.level" = "100 mm" }\n'
    )


def test_everything_that_no_file_can_say_is_told_at_once() -> None:
    class Whirl(Hose):
        pass

    rig = Rig(
        title="bell \a",
        sources={LONG: Source(surface=0.0)},
        tanks={"near": Tank(volume=0.06, floor=1.0, depth=0.4)},
        lines={"intake": Line(start=LONG, end="near", parts=(Whirl(bore=0.019, length=6.0),))},
        tolerances={"tanks.near.level": 0.1},
    )
    with pytest.raises(InputError) as caught:
        write_rig(rig)
    assert {mistake.place for mistake in caught.value.mistakes} == {
        "title",
        f"sources.{LONG}",
        "lines.intake.from",
        "lines.intake.hose-1",
        "tanks.near.level",
    }


@pytest.mark.parametrize("dimension", list(Dimension))
@given(value=st.floats(1e-6, 1e6), share=st.floats(1e-6, 1.0))
def test_tolerances_of_every_dimension_read_back(dimension: Dimension, value: float, share: float) -> None:
    tolerance = value * share
    again = measured(quantity_text(value, dimension, tolerance), dimension)
    assert (again.value, again.tolerance) == (value, tolerance)


@pytest.mark.parametrize(
    ("value", "dimension", "tolerance", "text"),
    [
        (6.0, Dimension.LENGTH, 0.0, "6 m"),
        (6.0, Dimension.LENGTH, 0.2, "6 ± 0.2 m"),
        (282.15, Dimension.TEMPERATURE, 3.0, "9 ± 3 °C"),
        (0.3, Dimension.FRACTION, 0.05, "30 ± 5 %"),
        (2.0, Dimension.NUMBER, 0.5, "2 ± 0.5"),
        (7e4, Dimension.VACUUM, 1e4, "70 ± 10 kPa vacuum"),
    ],
)
def test_tolerances_are_written_with_one_unit(value: float, dimension: Dimension, tolerance: float, text: str) -> None:
    assert quantity_text(value, dimension, tolerance) == text


@pytest.mark.parametrize("tolerance", [-1.0, math.nan, math.inf])
def test_impossible_tolerances_are_refused(tolerance: float) -> None:
    with pytest.raises(RangeError, match="a tolerance of"):
        quantity_text(1.0, Dimension.LENGTH, tolerance)
