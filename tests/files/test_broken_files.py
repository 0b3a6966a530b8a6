"""Rig files broken in a hundred ways: every message says where, what was found and what was expected, in one voice."""

from __future__ import annotations

import re

import pytest

from hydrokit.errors import InputError
from hydrokit.files import read_rig

BASE = """\
format = 1
title = "T"
[site]
altitude = "100 m"
[sources.pond]
surface = "0 m"
[tanks.near]
volume = "60 L"
floor = "1 m"
depth = "0.4 m"
[batteries.main]
nominal_voltage = "12 V"
[lines.intake]
from = "pond"
to = "near"
parts = [
  { part = "strainer", bore = "19 mm" },
  { part = "hose", bore = "19 mm", length = "6 m" },
  { use = "diaphragm-pump-11", height = "1.2 m", battery = "main" },
  { part = "filter", medium = "sediment", points = [["8 L/min", "8 kPa"]] },
]
[modes.filling]
"""

BROKEN = [
    ("format = 1", "format = 2"),
    ("format = 1\n", ""),
    ("format = 1", 'format = "1"'),
    ("format = 1", "fromat = 1"),
    ("format = 1", 'format = 1\ngallon = "uk"'),
    ('title = "T"', "title = T"),
    ('title = "T"', "title = 5"),
    ('title = "T"', 'titel = "T"'),
    ("[site]", "[sight]"),
    ('altitude = "100 m"', "altitude = 100"),
    ('altitude = "100 m"', 'altitude = "100"'),
    ('altitude = "100 m"', "altitude = 100 m"),
    ('altitude = "100 m"', 'altitude = "100 bar"'),
    ('altitude = "100 m"', 'altitude = "10000 m"'),
    ('altitude = "100 m"', 'altitude = "hundred m"'),
    ('altitude = "100 m"', 'altitude = ""'),
    ('altitude = "100 m"', "altitude = true"),
    ('altitude = "100 m"', 'altitud = "100 m"'),
    ('altitude = "100 m"', 'altitude = "100 m"\nwater_temperature = "9"'),
    ('altitude = "100 m"', 'water_temperature = "9 F"'),
    ('altitude = "100 m"', 'turbidity = "6"'),
    ('altitude = "100 m"', "ph = 15"),
    ('altitude = "100 m"', 'origin = { altitud = "guess" }'),
    ('altitude = "100 m"', 'origin = "guess"'),
    ('altitude = "100 m"', 'air_pressure = "101 kPa"'),
    ('surface = "0 m"', ""),
    ('surface = "0 m"', 'surface = "0 m"\nlevel = "1 m"'),
    ("[sources.pond]", '[sources."mill pond"]'),
    ('[sources.pond]\nsurface = "0 m"\n', ""),
    ("[sources.pond]", "[source.pond]"),
    ('volume = "60 L"', 'volume = "60 gal"'),
    ('volume = "60 L"', 'volume = "-60 L"'),
    ('volume = "60 L"', 'volume = "60 l/min"'),
    ('volume = "60 L"', 'volume = "1e400 L"'),
    ('volume = "60 L"', 'volume = "60 L"\ninlet = "side"'),
    ('volume = "60 L"', 'volume = "60 L"\ncarried = "yes"'),
    ("[tanks.near]", "[tanks]\nnear = 5\n[tanks.far]"),
    ("[tanks.near]", "[tanks.pond]"),
    ('nominal_voltage = "12 V"', 'nominal_voltage = "12 Ah"'),
    ('nominal_voltage = "12 V"', 'nominal_voltage = "12 V"\nchemistry = "lead"'),
    ('nominal_voltage = "12 V"', 'nominal_voltage = "12 V"\nempty_voltage = "13 V"'),
    ('from = "pond"', ""),
    ('from = "pond"', 'from = "pnd"'),
    ('to = "near"', 'to = "pond"'),
    ('from = "pond"', "from = 3"),
    ('from = "pond"', 'form = "pond"'),
    ('to = "near"', 'to = "near"\nenters = "side"'),
    ("parts = [", 'parts = "hose"\nold = ['),
    ('part = "strainer"', 'part = "straner"'),
    ('part = "strainer", ', ""),
    ('{ part = "strainer", bore = "19 mm" }', '"strainer"'),
    ('bore = "19 mm", length', "length"),
    ('bore = "19 mm", length', 'boer = "19 mm", length'),
    ('length = "6 m"', 'length = "6,5 m"'),
    ('length = "6 m"', 'length = "6 - 7 m"'),
    ('length = "6 m"', 'length = "6 m", material = "rubber"'),
    ('length = "6 m"', 'length = "6 m", pressure_rating = "6"'),
    ('length = "6 m"', 'length = "6 m", mass = "1 kg", mass_per_length = "0.2 kg/m"'),
    ('length = "6 m"', 'length = "6 m", name = "a b"'),
    ('length = "6 m"', 'length = "6 m", name = "strainer-1"'),
    ('length = "6 m"', 'length = "20000 km"'),
    ('length = "6 m"', 'length = ["6 m"]'),
    ('use = "diaphragm-pump-11"', 'use = "diaphragm-pump-12"'),
    ('use = "diaphragm-pump-11"', 'use = "diaphragm-pump-11", part = "hose"'),
    ('battery = "main"', 'battery = "mian"'),
    ('height = "1.2 m"', 'hight = "1.2 m"'),
    ('height = "1.2 m"', 'height = "1.2 m", points = [["8 L/min", "1 bar"]]'),
    ('height = "1.2 m"', 'height = "1.2 m", points = [["8 L/min"]]'),
    ('height = "1.2 m"', 'height = "1.2 m", points = "8 L/min 1 bar"'),
    ('height = "1.2 m"', 'height = "1.2 m", points = [["1 bar", "8 L/min"], ["0 L/min","3 bar"]]'),
    ('height = "1.2 m"', 'height = "1.2 m", cut_in = "3 bar"'),
    ('height = "1.2 m"', 'height = "1.2 m", driver = "ac"'),
    ('height = "1.2 m"', 'height = "1.2 m", cable_area = "14 AWGG"'),
    ('height = "1.2 m"', 'height = "1.2 m", wear = "20"'),
    ('height = "1.2 m"', 'height = "1.2 m", efficiency = 35'),
    ('medium = "sediment"', 'medium = "sand"'),
    ('points = [["8 L/min", "8 kPa"]]', 'points = [["8 L/min ± 1", "8 kPa"]]'),
    ('points = [["8 L/min", "8 kPa"]]', "points = []"),
    ('points = [["8 L/min", "8 kPa"]]', ""),
    ("[modes.filling]", '[modes.filling]\nclosed = ["lines.intak"]'),
    ("[modes.filling]", '[modes.filling]\nclosed = "lines.intake"'),
    ("[modes.filling]", '[modes.filling]\noff = ["lines.intake.hose-1"]'),
    ("[modes.filling]", '[modes.filling]\nset = { "tanks.near.levl" = "0.1 m" }'),
    ("[modes.filling]", '[modes.filling]\nset = { "tanks.near.level" = "0.1 bar" }'),
    ("[modes.filling]", '[modes.filling]\nset = { "tanks.near.level" = "-1 m" }'),
    ("[modes.filling]", '[modes.filling]\nset = { "tanks.near.inlet" = "top" }'),
    ("[modes.filling]", "[mode.filling]"),
    ("[modes.filling]", '[targets]\nviruses = "many"'),
    ("[modes.filling]", "[modes.filling"),
    ("[modes.filling]", "[tanks.near]"),
    ('title = "T"', "title = “T”"),
    ('title = "T"', 'title = "T'),
    ("[lines.intake]", "[lines.in take]"),
    ("[lines.intake]", "[[lines.intake]]"),
]
WRITE = {
    'format = 1\ngallon = "uk"': 'gallon = "US"',
    "title = T": 'title = "T"',
    'altitude = "100"': '"100 m", or with another unit',
    "altitude = 100 m": 'altitude = "100 m"',
    'volume = "60 gal"': '"60 US gal" or "60 imperial gal", or state which gallon once',
    'from = "pnd"': "pond",
    'length = "6,5 m"': '"6.5 m"',
    'length = "6 - 7 m"': '"6.5 ± 0.5 m"',
    'height = "1.2 m", wear = "20"': '"20 %"',
    'height = "1.2 m", efficiency = 35': '"35 %"',
    '[modes.filling]\nclosed = "lines.intake"': '["lines.intake"]',
    'title = "T': 'title = "T"',
    "[lines.in take]": "[lines.in-take]",
    "[modes.filling": "[modes.filling]",
    "title = “T”": 'straight ones: "',
    'battery = "mian"': "main",
    'parts = "hose"\nold = [': "parts = [ { … }, ]",
    "from = 3": 'from = "pond"',
}


@pytest.mark.parametrize(("old", "new"), BROKEN)
def test_every_message_speaks_with_one_voice(old: str, new: str) -> None:
    text = BASE.replace(old, new, 1)
    with pytest.raises(InputError) as told:
        read_rig(text, place="rig.toml")
    lines = text.splitlines()
    for mistake in told.value.mistakes:
        assert mistake.place
        assert mistake.expected
        assert mistake.line or mistake.place == "format"  # what is missing at the top stands nowhere
        assert mistake.line <= len(lines)
        whole = f"{mistake.found} | {mistake.expected} | {mistake.instead}"
        assert not re.search(r"None|nan|<class|Error|e\+|Traceback", whole), whole
        assert not re.search(r"\((\w[\w ]*)\) \(\1\)", whole), whole
        assert not mistake.expected[0].isupper() or mistake.expected.startswith(("US", "TOML")), whole
        assert not whole.rstrip().endswith("."), whole
    first = told.value.mistakes[0]
    if new in WRITE:
        assert first.instead == WRITE[new]


def test_the_table_is_as_broken_as_it_says() -> None:
    assert len(BROKEN) > 90
    assert set(WRITE) <= {new for _, new in BROKEN}
    assert read_rig(BASE).title == "T"


def test_a_mistake_inside_a_line_is_told_at_its_own_line() -> None:
    with pytest.raises(InputError) as told:
        read_rig(BASE.replace('battery = "main"', 'battery = "mian"'))
    (mistake,) = told.value.mistakes
    assert BASE.splitlines()[mistake.line - 1].lstrip().startswith('{ use = "diaphragm-pump-11"')


def test_a_part_of_unknown_kind_goes_by_its_number_in_the_line() -> None:
    with pytest.raises(InputError) as told:
        read_rig(BASE.replace('part = "filter"', 'part = "fitler"'))
    (mistake,) = told.value.mistakes
    assert (mistake.place, mistake.instead) == ("lines.intake.part-4.part", '"filter"')
