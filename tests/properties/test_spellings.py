"""Names, order and units are spelling: none of them changes an answer."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.bounds import Dimension
from hydrokit.files import demonstration
from hydrokit.network import solve
from hydrokit.parts.reading import read_number
from hydrokit.rig import Rig, spec_at, values_of
from hydrokit.units.listed import LISTED
from tests.properties.effort import effort

if TYPE_CHECKING:
    from collections.abc import Callable

SEEDS = st.integers(0, 10_000_000)
DEMONSTRATION = demonstration()
ADDRESSES = sorted(values_of(DEMONSTRATION))


def spelled(dimension: Dimension, value: float, data: st.DataObject) -> str:
    """Return a value as a text, in a unit that is drawn, under one of its names."""
    unit = data.draw(st.sampled_from(LISTED[dimension]))
    name = data.draw(st.sampled_from((unit.name, *unit.spellings)))
    return f"{unit.number(value)!r} {name}{' abs' if dimension is Dimension.ABSOLUTE_PRESSURE else ''}"


@effort(150)
@given(st.sampled_from(ADDRESSES), st.data())
def test_a_value_is_the_same_in_every_unit(address: str, data: st.DataObject) -> None:
    spec, value = spec_at(DEMONSTRATION, address), values_of(DEMONSTRATION)[address]
    text = spelled(spec.dimension, value, data)
    assert read_number(spec, text).value == pytest.approx(value, rel=1e-15, abs=1e-300), text


@effort(8)
@given(st.data())
def test_the_answer_is_the_same_in_all_units_at_once(data: st.DataObject) -> None:
    values: dict[str, float] = {}
    for address, value in values_of(DEMONSTRATION).items():
        spec = spec_at(DEMONSTRATION, address)
        read = read_number(spec, spelled(spec.dimension, value, data)).value
        values[address] = min(max(read, spec.low), spec.high)
    stated, read = solve(DEMONSTRATION), solve(DEMONSTRATION, None, values)
    assert read.flows.flow == pytest.approx(stated.flows.flow, rel=1e-9, abs=1e-13)


def renamed(rig: Rig, names: dict[str, str]) -> Rig:
    """Return the rig with its ends and lines called otherwise and listed in the order of their new names."""

    def listed(group: Any, change: Any = lambda thing: thing) -> dict[str, Any]:
        return {names[name]: change(group[name]) for name in sorted(group, key=lambda name: names[name])}

    mode = rig.mode()[1]

    def address(old: str) -> str:
        group, name, *rest = old.split(".")
        return ".".join((group, names[name], *rest))

    return replace(
        rig,
        sources=listed(rig.sources),
        tanks=listed(rig.tanks),
        outlets=listed(rig.outlets),
        joints=listed(rig.joints),
        lines=listed(rig.lines, lambda line: replace(line, start=names[line.start], end=names[line.end])),
        modes={
            "other": replace(
                mode, closed=tuple(map(address, reversed(mode.closed))), off=tuple(map(address, reversed(mode.off)))
            )
        },
    )


@effort(50)
@given(SEEDS)
def test_names_and_their_order_change_nothing(random_rig: Callable[..., Rig], seed: int) -> None:
    rig = random_rig(seed, 15)
    old = [*rig.ends(), *rig.lines]
    order = np.random.default_rng(seed).permutation(len(old))
    names = {name: f"thing-{place:03d}" for name, place in zip(old, order, strict=True)}
    before, after = solve(rig), solve(renamed(rig, names))
    largest = max(np.abs(before.flows.flow).max(), 1e-10)
    for name in rig.lines:
        assert abs(after.flow(names[name])[0] - before.flow(name)[0]) <= 1e-8 * largest
