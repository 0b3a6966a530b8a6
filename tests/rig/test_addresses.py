"""Addresses: reading and replacing the values of a rig."""

from __future__ import annotations

from dataclasses import replace

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.bounds import Dimension
from hydrokit.errors import InputError
from hydrokit.files import demonstration
from hydrokit.rig import owners, replaced, spec_at, value_at, values_of

RIG = demonstration()


def test_an_address_is_group_name_part_field() -> None:
    assert value_at(RIG, "lines.intake.suction-hose.bore") == 0.019
    assert value_at(RIG, "lines.intake.hose-tail-2.bore") == 0.0095
    assert value_at(RIG, "tanks.near.floor") == 1.75
    assert value_at(RIG, "site.altitude") == 140.0


def test_a_value_left_out_is_none() -> None:
    assert value_at(RIG, "tanks.near.level") is None


def test_every_owner_has_an_address_of_its_own() -> None:
    found = [address for address, _ in owners(RIG)]
    assert len(found) == len(set(found))
    assert found[0] == "site"


def test_every_stated_value_is_found_at_its_address() -> None:
    values = values_of(RIG)
    assert len(values) > 100
    assert all(value_at(RIG, address) == value for address, value in values.items())


def test_the_specification_at_an_address() -> None:
    assert spec_at(RIG, "lines.intake.lift-pump.cut_out").dimension is Dimension.GAUGE_PRESSURE


@pytest.mark.parametrize(
    ("address", "nearest"),
    [
        ("lines.intake.suction-hose.bor", "lines.intake.suction-hose.bore"),
        ("lines.intake.suction-hos.bore", "lines.intake.suction-hose.bore"),
        ("tank.near.floor", "tanks.near.floor"),
        ("lines.intake.lift-pump.points", ""),  # a curve is no number
        ("", ""),
        ("bore", ""),
    ],
)
def test_an_unknown_address_is_told_with_the_nearest(address: str, nearest: str) -> None:
    for ask in (value_at, spec_at):
        with pytest.raises(InputError) as caught:
            ask(RIG, address)
        (mistake,) = caught.value.mistakes
        assert mistake.place == address
        assert mistake.expected == "the address of a number in this rig"
        if nearest:
            assert mistake.instead == nearest


def test_replacing_makes_a_new_rig_and_leaves_the_old_one() -> None:
    wider = replaced(RIG, {"lines.intake.suction-hose.bore": 0.025, "site.altitude": 3000.0, "tanks.far.level": 0.1})
    assert value_at(wider, "lines.intake.suction-hose.bore") == 0.025
    assert (wider.site.altitude, wider.tanks["far"].level) == (3000.0, 0.1)
    assert value_at(RIG, "lines.intake.suction-hose.bore") == 0.019
    assert replaced(wider, {"lines.intake.suction-hose.bore": 0.019, "site.altitude": 140.0}).lines == RIG.lines


def test_replacing_nothing_gives_an_equal_rig() -> None:
    assert replaced(RIG, {}) == RIG


def test_every_mistake_of_a_replacement_is_told_with_its_full_address() -> None:
    with pytest.raises(InputError) as caught:
        replaced(
            RIG,
            {
                "lines.intake.suction-hose.bore": -1.0,
                "lines.intake.suction-hose.length": -1.0,
                "tanks.near.level": 0.5,
                "tanks.near.levle": 0.2,
            },
        )
    assert {mistake.place for mistake in caught.value.mistakes} == {
        "lines.intake.suction-hose.bore",
        "lines.intake.suction-hose.length",
        "tanks.near.level",
        "tanks.near.levle",
    }


@given(bore=st.floats(1e-3, 1.0), height=st.floats(-5.0, 5.0))
def test_what_is_put_is_what_is_read(bore: float, height: float) -> None:
    values = {"lines.intake.suction-hose.bore": bore, "lines.intake.lift-pump.height": height}
    made = replaced(RIG, values)
    assert {address: value_at(made, address) for address in values} == values
    assert replace(made, lines=RIG.lines) == RIG
