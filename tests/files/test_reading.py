from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.files import load_rig, read_rig
from hydrokit.parts import DiaphragmPump, Filter, Hose
from hydrokit.rig import AS_DRAWN

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.errors import Mistake


def test_values_arrive_in_si(small: str) -> None:
    rig = read_rig(small)
    assert rig.tanks["near"].volume == 0.06
    assert rig.lines["intake"].parts == (Hose(bore=0.019, length=6.0),)
    assert rig.mode_names() == (AS_DRAWN,)


def test_units_of_the_trade_are_understood(small: str) -> None:
    text = small.replace('"19 mm"', '"3/4 in"').replace('"6 m"', '"20 ft"').replace('"60 L"', '"16 US gal"')
    rig = read_rig(text)
    hose = rig.lines["intake"].parts[0]
    assert isinstance(hose, Hose)
    assert hose.bore == 0.01905  # 3/4 × 25.4 mm, exact by definition of the inch
    assert hose.length == 6.096  # 20 × 0.3048 m, exact by definition of the foot
    assert rig.tanks["near"].volume == pytest.approx(16 * 3.785411784e-3, rel=1e-15)  # NIST SP 811


def test_bare_gallon_is_the_one_stated(small: str) -> None:
    text = small.replace('"60 L"', '"10 gal"')
    imperial = read_rig(text.replace("format = 1", 'format = 1\ngallon = "imperial"'))
    assert imperial.tanks["near"].volume == 0.0454609  # 4.54609 L, exact by definition
    assert read_rig(text.replace("format = 1", 'format = 1\ngallon = "US"')).tanks["near"].volume == 0.03785411784


def test_tolerances_are_kept_beside_the_rig(small: str) -> None:
    rig = read_rig(small.replace('"6 m"', '"6.0 ± 0.5 m"') + '[site]\nwater_temperature = "9 ± 3 °C"\n')
    assert rig.site.water_temperature == 282.15
    assert rig.tolerances == {"lines.intake.hose-1.length": 0.5, "site.water_temperature": 3.0}


def test_origins_are_kept_beside_the_rig(small: str) -> None:
    text = small.replace('length = "6 m"', 'length = "6 m", name = "suction", origin = { length = "measured" }')
    text = text.replace('depth = "0.4 m"', 'depth = "0.4 m"\norigin = { depth = "guess" }')
    assert read_rig(text).origins == {"lines.intake.suction.length": "measured", "tanks.near.depth": "guess"}


def test_fractions_flags_and_bare_numbers(small: str) -> None:
    parts = '{ part = "strainer", bore = "19 mm", k = 2, blockage = "30 %" }, { part = "foot valve", bore = "19 mm", blockage = 0.3 },'
    text = small.replace("parts = [", f"parts = [ {parts}").replace(
        'surface = "0 m"', 'surface = "0 m"\ntreated = true'
    )
    rig = read_rig(text)
    strainer, foot_valve, _ = rig.lines["intake"].parts
    assert (strainer.k, strainer.blockage, foot_valve.blockage) == (2.0, 0.3, 0.3)  # type: ignore[attr-defined]
    assert rig.sources["pond"].treated is True


def test_one_pair_may_stand_for_a_curve(small: str) -> None:
    filters = '{ part = "filter", points = ["8 L/min", "5 kPa"], end_drop = [["10 L/min", "70 kPa"]] },'
    part = read_rig(small.replace("parts = [", f"parts = [ {filters}")).lines["intake"].parts[0]
    assert isinstance(part, Filter)
    assert part.points == ((8 / 60_000, 5e3),)
    assert part.end_drop == ((10 / 60_000, 70e3),)


PUMP = """[parts.lifter]
part = "diaphragm pump"
points = [["10 L/min", "0 bar"], ["5 L/min", "3 bar"]]
dry_lift = "2 ± 0.2 m"
origin = { dry_lift = "data sheet", points = "data sheet" }
"""


def test_a_part_described_once_is_used_by_name(small: str) -> None:
    text = small.replace("parts = [", 'parts = [ { use = "lifter", height = "1 m", origin = { dry_lift = "guess" } },')
    rig = read_rig(text + PUMP)
    pump = rig.lines["intake"].parts[0]
    assert isinstance(pump, DiaphragmPump)
    assert (pump.name, pump.height, pump.dry_lift) == ("lifter", 1.0, 2.0)
    assert rig.tolerances == {"lines.intake.lifter.dry_lift": 0.2}
    assert rig.origins == {"lines.intake.lifter.dry_lift": "guess", "lines.intake.lifter.points": "data sheet"}


def test_fields_in_the_line_go_before_those_of_the_used_part(small: str) -> None:
    heads = '{ use = "lifter", name = "other", dry_lift = "1 m", heads = [["0 L/min", "9 m"], ["9 L/min", "0 m"]] },'
    pump = read_rig(small.replace("parts = [", f"parts = [ {heads}") + PUMP).lines["intake"].parts[0]
    assert isinstance(pump, DiaphragmPump)
    assert (pump.name, pump.dry_lift, pump.points) == ("other", 1.0, None)
    assert pump.heads == ((0.0, 9.0), (9 / 60_000, 0.0))


def test_a_part_used_twice_goes_by_kind_and_number(small: str) -> None:
    rig = read_rig(
        small.replace("parts = [", 'parts = [ { use = "tail-19" }, { use = "tail-19" }, { use = "tail-12-5" },')
    )
    assert rig.lines["intake"].labels() == ("hose-tail-1", "hose-tail-2", "tail-12-5", "hose-1")


def test_a_field_wrong_where_it_is_used_is_told_though_it_is_wrong_where_it_is_described(
    small: str, mistakes: Callable[[str], list[Mistake]]
) -> None:
    text = small.replace("parts = [", 'parts = [ { use = "lifter", dry_lift = "3 bar" },') + PUMP
    found = mistakes(text.replace('"2 ± 0.2 m"', '"2 kg"'))
    assert [each.place for each in found] == ["lines.intake.lifter.dry_lift", "parts.lifter.dry_lift"]


def test_a_used_part_does_not_take_the_name_that_another_was_given(small: str) -> None:
    rig = read_rig(small.replace("parts = [", 'parts = [ { use = "tail-19" }, { use = "tail-25", name = "tail-19" },'))
    assert rig.lines["intake"].labels() == ("hose-tail-1", "tail-19", "hose-1")


def test_use_looks_in_the_rig_before_the_catalogue(small: str) -> None:
    text = small.replace("parts = [", 'parts = [ { use = "tail-19" }, { use = "tail-25" },')
    own, generic, _ = read_rig(text + '[parts.tail-19]\npart = "hose tail"\nbore = "14 mm"\n').lines["intake"].parts
    assert (own.bore, generic.bore) == (0.014, 0.02)  # type: ignore[attr-defined]


def test_values_of_the_catalogue_say_so(small: str) -> None:
    item = '{ use = "tail-19", bore = "14 mm", origin = { bore = "measured" } },'
    rig = read_rig(small.replace("parts = [", f"parts = [ {item}"))
    assert rig.origins == {"lines.intake.tail-19.bore": "measured", "lines.intake.tail-19.length": "catalogue"}


def test_a_part_described_once_may_build_on_the_catalogue(small: str) -> None:
    text = small.replace("parts = [", 'parts = [ { use = "suction", length = "4 m" },')
    rig = read_rig(text + '[parts.suction]\nuse = "suction-hose-19"\nbore = "18.5 mm"\n')
    hose = rig.lines["intake"].parts[0]
    assert isinstance(hose, Hose)
    assert (hose.bore, hose.length, hose.vacuum_rating) == (0.0185, 4.0, 0.7e5)


@pytest.mark.parametrize(
    "table",
    [
        'set = { "tanks.near.level" = "0.1 m" }',
        'set = { tanks.near.level = "0.1 m" }',
        '[modes.low.set]\n"tanks.near.level" = "0.1 m"',
        '[modes.low.set.tanks.near]\nlevel = "0.1 m"',
    ],
)
def test_modes_set_values_by_address(small: str, table: str) -> None:
    rig = read_rig(f"{small}[modes.as-is]\n[modes.low]\n{table}\n")
    assert rig.mode_names() == ("as-is", "low")
    assert rig.modes["low"].values == {"tanks.near.level": 0.1}


def test_parts_may_stand_as_tables_of_a_list(small: str) -> None:
    head, _, _ = small.partition("parts = [")
    assert read_rig(head + '[[lines.intake.parts]]\npart = "hose"\nbore = "19 mm"\nlength = "6 m"\n') == read_rig(small)


def test_line_ends_of_other_systems_and_a_mark_at_the_front(small: str, tmp_path: object) -> None:
    from pathlib import Path

    path = Path(str(tmp_path)) / "rig.toml"
    path.write_bytes(b"\xef\xbb\xbf" + small.replace("\n", "\r\n").encode())
    assert load_rig(path) == read_rig(small) == load_rig(str(path))


def test_names_may_use_letters_of_any_script(small: str) -> None:
    text = small.replace("[tanks.near]", '[tanks."eau-propre-é"]').replace('to = "near"', 'to = "eau-propre-é"')
    assert "eau-propre-é" in read_rig(text).tanks
