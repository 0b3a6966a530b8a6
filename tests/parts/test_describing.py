"""What a field may hold, in words, and how a part shows itself."""

from __future__ import annotations

import pytest

import hydrokit
from hydrokit.bounds import specs_of
from hydrokit.catalogue import part
from hydrokit.files import demonstration
from hydrokit.parts import END_KINDS, PART_KINDS, Battery, Hose
from hydrokit.parts.describing import described, first_line
from hydrokit.parts.reading import read_field
from hydrokit.units import Measured

KINDS = [*PART_KINDS.values(), *END_KINDS.values(), Battery]


@pytest.mark.parametrize("cls", KINDS)
def test_every_field_is_described_and_its_example_can_be_read(cls: type) -> None:
    told = described(cls)
    assert [field.name for field in told] == list(specs_of(cls))
    assert first_line(cls).endswith(".")
    for field in told:
        assert field.doc
        assert field.takes
        assert field.sentence().startswith(field.doc)


def test_numbers_say_units_limits_default_and_source() -> None:
    told = {field.name: field for field in described(Hose)}
    bore, multiplier, roughness = told["bore"], told["friction_multiplier"], told["roughness"]
    assert (bore.needed, bore.si_unit, bore.limits, bore.example) == (True, "m", "0.1 mm to 10 m", '"19 mm"')
    assert (multiplier.needed, multiplier.si_unit, multiplier.default) == (False, "", "1")
    assert roughness.source == "by material"
    assert read_field(Hose, "bore", bore.example.strip('"')) == Measured(0.019)


@pytest.mark.parametrize(
    "made",
    [
        part("hose-19", length="6 m"),
        part("diaphragm-pump-11"),
        part("filter-sediment-5"),
        Battery(nominal_voltage=12.0),
    ],
)
def test_a_part_shows_what_it_states_as_it_would_be_made_again(made: object) -> None:
    assert eval(repr(made), {name: getattr(hydrokit, name) for name in hydrokit.__all__}) == made
    assert "None" not in repr(made)


def test_a_rig_shows_itself_in_a_line() -> None:
    assert repr(demonstration()) == (
        "<Rig 'Mill-pond trailer': 1 source, 2 tanks, 1 outlet, 6 lines; modes filling, tap>"
    )
