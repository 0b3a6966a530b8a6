"""Lists of what is stated: hoses to cut, parts, data."""

from __future__ import annotations

from hydrokit.files import read_rig
from hydrokit.sheets.page import Page
from hydrokit.sheets.pages.stated import lay_data, lay_hoses, lay_parts
from hydrokit.sheets.view import View

RIG = read_rig("""format = 1
title = "short"
[site]
water_temperature = "9 ± 3 °C"
origin = { water_temperature = "measured" }
[sources.pond]
surface = "0 ± 0.2 m"
note = "drops in summer"
[tanks.can]
volume = "60 L"
floor = "1 m"
depth = "40 cm"
[lines.intake]
from = "pond"
to = "can"
parts = [
  { part = "hose", name = "one", bore = "25 mm", length = "2 m", mass_per_length = "0.4 kg/m" },
  { part = "hose", name = "two", bore = "25 mm", length = "3.5 ± 0.1 m", mass = "1.5 kg", origin = { length = "tape" } },
  { use = "diaphragm-pump-11", height = "1.2 m" },
  { part = "hose tail", bore = "9 mm" },
  { part = "hose", bore = "12.5 mm", length = "1 m" },
  { part = "hose tail", bore = "9 mm" },
  { part = "hose", bore = "7.3 mm", length = "1 m" },
]
[modes.filling]
set = { "site.altitude" = "500 m" }
note = "on the bank"
""")


def _rows(text: str) -> list[list[str]]:
    return [line.split() for line in text.splitlines() if line.strip()]


def _laid(lay: object, *more: object) -> str:
    page = Page(200)
    lay(page, RIG, *more, View())  # type: ignore[operator]
    return page.text()


def test_hoses_are_listed_by_bore_and_summed() -> None:
    rows = _rows(_laid(lay_hoses))
    assert ["smooth", "plastic,", "25", "mm", "one", "(intake)", "2", "m", "800", "g"] in rows  # 2 m of 0.4 kg/m
    assert ["two", "(intake)", "3.5", "m", "1.5", "kg"] in rows
    assert ["together", "5.5", "m", "2.3", "kg"] in rows
    bores = [row[2] for row in rows if row[:2] == ["smooth", "plastic,"]]
    assert bores == ["7.3", "12.5", "25"]


def test_masses_of_the_catalogue_are_marked_and_unknown_ones_said() -> None:
    text = _laid(lay_hoses)
    rows = _rows(text)
    assert next(row for row in rows if "12.5" in row)[-1] == "*"
    assert next(row for row in rows if "7.3" in row)[-2:] == ["not", "known"]
    assert "By the mass of a generic hose" in text


def test_parts_that_are_alike_are_counted_together() -> None:
    text = _laid(lay_parts, {})
    row = next(row for row in _rows(text) if row[1:3] == ["hose", "tail"])
    assert row[0] == "2"
    assert "hose-tail-1 (intake), hose-tail-2 (intake)" in text


def test_values_stand_with_tolerance_origin_and_note() -> None:
    parts, data = _laid(lay_parts, {"lines.intake.one.bore": 0.025}), _laid(lay_data, {})
    assert "length 3.5 m ± 0.1 m (tape)" in parts
    assert "bore 25 mm (changed for this report)" in parts
    assert "water temperature 9 °C ± 3 K (measured)" in data
    assert "surface 0 m ± 0.2 m. drops in summer" in data
    assert "altitude of the site 500 m. on the bank" in data
    assert "intake from pond to can" in data
