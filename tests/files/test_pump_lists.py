"""Lists of pumps from a file."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import InputError
from hydrokit.files import demonstration, demonstration_text
from hydrokit.files.pump_lists import load_pumps, read_pumps
from hydrokit.parts import CentrifugalPump, DiaphragmPump

if TYPE_CHECKING:
    from pathlib import Path

LIST = """
format = 1
[parts.small]
part = "diaphragm pump"
points = [["0 L/min", "2 bar"], ["6 L/min", "0 bar"]]
[parts.large]
part = "centrifugal pump"
heads = [["0 L/min", "20 m"], ["40 L/min", "5 m"]]
[parts.tail]
part = "hose tail"
bore = "9 mm"
[parts.stock]
use = "diaphragm-pump-11"
dry_lift = "2.0 m"
"""


def test_pumps_by_name_and_nothing_else() -> None:
    pumps = read_pumps(LIST)
    assert list(pumps) == ["small", "large", "stock"]
    assert isinstance(pumps["small"], DiaphragmPump)
    assert isinstance(pumps["large"], CentrifugalPump)
    assert pumps["small"].points == ((0.0, 2e5), (pytest.approx(1e-4), 0.0))
    assert pumps["stock"].dry_lift == 2.0


def test_a_pump_goes_by_its_heading_whatever_name_stands_under_it() -> None:
    assert read_pumps(LIST.replace("[parts.small]", '[parts.small]\nname = "lifter"'))["small"].name == ""


def test_a_rig_file_is_a_list_too() -> None:
    pumps = read_pumps(demonstration_text())
    assert list(pumps) == ["lift-pump", "tap-pump"]
    assert pumps["lift-pump"].curve == demonstration().pumps()["lines.intake.lift-pump"].curve


def test_gallons_as_the_file_says() -> None:
    text = 'format = 1\ngallon = "imperial"\n[parts.a]\npart = "hand pump"\nstroke_volume = "0.1 gal"\n'
    assert read_pumps(text)["a"].stroke_volume == pytest.approx(0.1 * 4.54609e-3)


def test_from_a_path(tmp_path: Path) -> None:
    file = tmp_path / "pumps.toml"
    file.write_text(LIST, encoding="utf-8")
    assert list(load_pumps(file)) == ["small", "large", "stock"]
    with pytest.raises(InputError, match="no such file"):
        load_pumps(tmp_path / "pump.toml")


def test_no_pump_at_all() -> None:
    with pytest.raises(InputError, match=r"list.toml: found no pump under \[parts\]"):
        read_pumps("format = 1\n", place="list.toml")


def test_every_mistake_with_its_line() -> None:
    text = """
fromat = 1
[parts.a]
part = "diaphragm pump"
points = [["0 L/min", "2 bar"], ["6 L/min", "0 bars/s"]]
dry_lift = "99 m"
[parts."b c"]
part = "hose"
[parts.d]
part = "centrifugal pmp"
[parts.e]
part = "centrifugal pump"
"""
    with pytest.raises(InputError) as caught:
        read_pumps(text)
    found = {mistake.place: mistake.line for mistake in caught.value.mistakes}
    assert found == {
        "format": 0,
        "fromat": 2,
        "parts.a.points": 5,
        "parts.a.dry_lift": 6,
        "parts.b c": 7,
        "parts.d.part": 10,
        "parts.e": 11,
    }
