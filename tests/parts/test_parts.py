"""Parts: frozen, whole, and refusing only what cannot be."""

from __future__ import annotations

import pickle
from dataclasses import FrozenInstanceError, fields, replace
from typing import Any

import pytest

from hydrokit.bounds import Choice, Curve, Spec, choices_of, specs_of
from hydrokit.errors import RangeError
from hydrokit.parts import (
    END_KINDS,
    PART_KINDS,
    ROUGHNESS,
    CentrifugalPump,
    DiaphragmPump,
    Filter,
    HandPump,
    Hose,
    Source,
    Tank,
)

KINDS = {**PART_KINDS, **END_KINDS}
CURVE = ((1e-4, 2e5), (2e-4, 0.0))
HEADS = ((0.0, 12.0), (2e-4, 0.0))
LEAST: dict[str, dict[str, Any]] = {"centrifugal pump": {"points": CURVE}, "diaphragm pump": {"points": CURVE}}


def least(cls: type[Any]) -> Any:
    """Return one of a kind with nothing stated that may be left out."""
    given: dict[str, Any] = dict(LEAST.get(cls.kind, {}))
    for item in fields(cls):
        spec = specs_of(cls).get(item.name)
        if item.name in given or item.default is not item.default_factory:
            continue
        given[item.name] = CURVE if isinstance(spec, Curve) else 0.02
    return cls(**given)


@pytest.mark.parametrize("kind", KINDS)
def test_a_kind_is_listed_under_its_own_word(kind: str) -> None:
    assert KINDS[kind].kind == kind


@pytest.mark.parametrize("kind", KINDS)
def test_every_field_is_specified_once_and_says_what_it_is(kind: str) -> None:
    specs = specs_of(KINDS[kind])
    assert {item.name for item in fields(KINDS[kind])} == {*specs}
    assert all(spec.doc for spec in specs.values())


@pytest.mark.parametrize("kind", KINDS)
def test_parts_are_frozen_compare_by_value_and_survive_pickling(kind: str) -> None:
    part = least(KINDS[kind])
    assert pickle.loads(pickle.dumps(part)) == part
    assert replace(part, note="other") != part
    with pytest.raises(FrozenInstanceError):
        part.note = "changed"


@pytest.mark.parametrize("kind", KINDS)
def test_no_number_goes_past_its_limits_on_either_side(kind: str) -> None:
    part = least(KINDS[kind])
    for name, spec in specs_of(KINDS[kind]).items():
        if not isinstance(spec, Spec):
            continue
        for outside in (spec.low - max(1e-9, abs(spec.low)), spec.high + max(1e-9, abs(spec.high)), float("nan")):
            with pytest.raises(RangeError) as caught:
                replace(part, **{name: outside})
            assert [mistake.place.rpartition(".")[2] for mistake in caught.value.mistakes] == [name]


@pytest.mark.parametrize("kind", KINDS)
def test_no_word_is_taken_that_is_not_listed(kind: str) -> None:
    part = least(KINDS[kind])
    for name, spec in specs_of(KINDS[kind]).items():
        if isinstance(spec, Choice):
            assert getattr(part, name) in choices_of(KINDS[kind], name)
            with pytest.raises(RangeError):
                replace(part, **{name: "no such word"})


def test_a_message_names_the_part() -> None:
    with pytest.raises(RangeError, match=r"^suction\.bore: "):
        Hose(name="suction", bore=-1.0, length=1.0)
    with pytest.raises(RangeError, match=r"^hose\.bore: "):
        Hose(bore=-1.0, length=1.0)


@pytest.mark.parametrize("cls", [CentrifugalPump, DiaphragmPump])
@pytest.mark.parametrize(("curves", "found"), [({}, "neither"), ({"points": CURVE, "heads": HEADS}, "both")])
def test_a_pump_has_exactly_one_curve(cls: type[Any], curves: dict[str, Any], found: str) -> None:
    with pytest.raises(RangeError, match=f"found {found} of points and heads, expected exactly one curve"):
        cls(**curves)


def test_a_pump_gives_its_curve_whichever_way_it_is_stated() -> None:
    assert CentrifugalPump(heads=HEADS).curve == HEADS
    assert DiaphragmPump(points=CURVE).curve == CURVE


@pytest.mark.parametrize("cut_in", [2e5, 3e5])
def test_a_switch_cuts_in_below_where_it_cuts_out(cut_in: float) -> None:
    assert DiaphragmPump(points=CURVE, cut_in=1e5, cut_out=2e5).cut_in == 1e5
    with pytest.raises(RangeError, match="less than cut_out"):
        DiaphragmPump(points=CURVE, cut_in=cut_in, cut_out=2e5)


def test_displacement_pumps_are_told_from_rotodynamic_ones() -> None:
    assert DiaphragmPump.displacement
    assert HandPump.displacement
    assert not CentrifugalPump.displacement


def test_a_hose_is_as_rough_as_stated_else_as_its_material() -> None:
    assert Hose(bore=0.02, length=1.0, material="copper").wall_roughness == ROUGHNESS["copper"]
    assert Hose(bore=0.02, length=1.0, material="copper", roughness=1e-4).wall_roughness == 1e-4


def test_a_corrugated_hose_is_never_taken_for_a_smooth_one() -> None:
    with pytest.raises(RangeError, match=r"hose\.friction_multiplier: found corrugated plastic that loses no more"):
        Hose(bore=0.02, length=1.0, material="corrugated plastic")
    for stated in ({"friction_multiplier": 2.0}, {"roughness": 1e-3}, {"friction_factor": 0.05}):
        assert Hose(bore=0.02, length=1.0, material="corrugated plastic", **stated).material == "corrugated plastic"


def test_every_material_of_a_hose_has_a_roughness() -> None:
    assert set(choices_of(Hose, "material")) == set(ROUGHNESS)


def test_an_end_drop_is_one_pair() -> None:
    with pytest.raises(RangeError, match="found 2 points, expected one pair"):
        Filter(points=CURVE, end_drop=CURVE)


@pytest.mark.parametrize("level", [0.0, 0.2, 0.45])
def test_a_tank_holds_no_more_than_its_depth(level: float) -> None:
    assert Tank(volume=0.06, floor=1.0, depth=0.45, level=level).level == level
    with pytest.raises(RangeError, match=r"level: found 0\.46 m, expected at most the depth when full, 0\.45 m"):
        Tank(volume=0.06, floor=1.0, depth=0.45, level=0.46)


def test_a_source_may_stand_under_pressure_but_not_below_a_vacuum() -> None:
    assert Source(surface=0.0, pressure=2e5).pressure == 2e5
    with pytest.raises(RangeError):
        Source(surface=0.0, pressure=-1.1e5)


@pytest.mark.parametrize("kind", sorted(KINDS))
def test_no_number_of_a_part_is_without_an_end(kind: str) -> None:
    specs = {name: spec for name, spec in specs_of(KINDS[kind]).items() if isinstance(spec, Spec)}
    assert [name for name, spec in specs.items() if not (abs(spec.low) < 1e12 and abs(spec.high) < 1e14)] == []
