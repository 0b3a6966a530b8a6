"""Slips that builders make in a rig file: each is told at its line, with what stands there and what to write."""

from __future__ import annotations

from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import InputError
from hydrokit.files import load_rig, read_rig
from hydrokit.files.other_words import english
from hydrokit.files.slips import slip_above, slip_in
from hydrokit.parts import PART_KINDS

if TYPE_CHECKING:
    from pathlib import Path

    from hydrokit.errors import Mistake

RIG = """\
format = 1
title = "T"
[sources.pond]
surface = "0 m"
[tanks.near]
volume = "60 L"
floor = "1 m"
depth = "0.4 m"
[lines.intake]
from = "pond"
to = "near"
parts = [
  { part = "strainer", bore = "19 mm" },
  { part = "hose", bore = "19 mm", length = "6 m" },
  { use = "diaphragm-pump-11", height = "1.2 m" },
]
[modes.filling]
"""
BORE, LENGTH, FLOOR, TITLE = 'bore = "19 mm", length', 'length = "6 m"', 'floor = "1 m"', 'title = "T"'
PUMP = 'use = "diaphragm-pump-11"'

TORN = [
    # what TOML cannot read: old text, new text, line, found, what to write
    (LENGTH, "length = 6,5", 14, "length = 6,5, a comma in a number", 'length = "6.5", with its unit'),
    (FLOOR, "floor = 1,05", 7, "floor = 1,05, a comma in a number", 'floor = "1.05", with its unit'),
    (FLOOR, "floor = 1,05 m", 7, "a value with a unit but without quotes", 'floor = "1.05 m"'),
    (LENGTH, "length = '6 m\"", 14, "begins with one kind of quote and ends with another", 'length = "6 m"'),
    (LENGTH, "length = \"6 m'", 14, "begins with one kind of quote and ends with another", 'length = "6 m"'),
    ('part = "hose"', "part = hose", 14, "part = hose, a text without quotes", 'part = "hose"'),
    (BORE, 'bore = 3/4", length', 14, 'bore = 3/4", where the mark of inches', 'bore = "3/4 in"'),
    (BORE, 'bore = "3/4"", length', 14, 'bore = "3/4"", where the mark of inches', 'bore = "3/4 in"'),
    (BORE, 'bore = "1 1/4"", length', 14, "where the mark of inches", 'bore = "1 1/4 in"'),
    (LENGTH, "length = '19' 6\"'", 14, "where the marks of feet and inches", 'length = "19 ft 6 in"'),
    (LENGTH, "length = 20'", 14, "where the mark of feet", 'length = "20 ft"'),
    (TITLE, 'title: "T"', 2, 'title: "T", a colon behind the key', 'title = "T"'),
    (TITLE, '"title": "T",', 2, "a colon behind the key", 'title = "T"'),
    (FLOOR, "floor: 1 m", 7, "a colon behind the key", "floor = 1 m"),
    ('{ part = "hose"', '{ part: "hose"', 14, "a colon behind the key", 'part = "hose"'),
    (FLOOR, 'floor = "1 m";', 7, "a semicolon at the end", "nothing behind the value"),
    (FLOOR, 'floor = "1 m" // above the pond', 7, "a remark behind //", "# in front of a remark"),
    (FLOOR, "floor =", 7, "floor = with nothing behind it", "a value behind floor ="),
    (FLOOR, 'floor height = "1 m"', 7, "floor height, a key with a blank in it", "floor_height = …"),
    (LENGTH, 'Länge = "6 m"', 14, "Länge, a key with letters that TOML takes in quotes only", "length"),
    (FLOOR, 'floor = "1 m"\ntreated = yes', 8, "which is neither true nor false", "treated = true"),
    (FLOOR, 'floor = "1 m"\ncarried = False', 8, "which is neither true nor false", "carried = false"),
    (FLOOR, 'floor = "1 m"\nfloor = "2 m"', 8, "floor, which is written twice", "the right one only"),
    (LENGTH, 'length = "6 m", length = "7 m"', 14, "length, which is written twice", "the right one only"),
    ('"6 m" },', '"6 m" }', 14, "no comma behind a part", "}, at the end of the line"),
    (BORE, 'bore = "19 mm" length', 14, "no comma in front of length", ", length = …"),
    ('"6 m" },', '"6 m",', 14, "braces that are not closed on their own line", "} on the same line"),
    ("\n]\n", "\n", 16, "a list that is not closed before [modes.filling]", "] behind its last item"),
    (TITLE, "title = “T”", 2, "curly quotes", "straight ones"),
    (LENGTH, "length = ’6 m’", 14, "curly quotes", "straight ones"),
]


def _only(text: str) -> Mistake:
    with pytest.raises(InputError) as caught:
        read_rig(text, place="rig.toml")
    (mistake,) = caught.value.mistakes
    return mistake


@pytest.mark.parametrize(("old", "new", "line", "found", "instead"), TORN)
def test_what_cannot_be_read_is_told_by_what_was_meant(old: str, new: str, line: int, found: str, instead: str) -> None:
    assert old in RIG
    mistake = _only(RIG.replace(old, new, 1))
    assert (mistake.place, mistake.line) == ("rig.toml", line)
    assert found in mistake.found
    assert mistake.instead.startswith(instead)


WORDS = [
    # what can be read and means nothing: old text, new text, line, place, found, what to write
    ('part = "hose"', 'part = "tuyau"', 14, "lines.intake.part-2.part", "'tuyau'", '"hose"'),
    ('part = "hose"', 'part = "Schlauch"', 14, "lines.intake.part-2.part", "'Schlauch'", '"hose"'),
    ('part = "hose"', 'part = "pipe"', 14, "lines.intake.part-2.part", "'pipe'", '"hose"'),
    ('part = "strainer"', 'part = "Fußventil"', 13, "lines.intake.part-1.part", "'Fußventil'", '"foot valve"'),
    ('part = "strainer"', 'part = "check valve"', 13, "lines.intake.part-1.part", "'check", '"non-return valve"'),
    ('part = "strainer"', 'part = "crépine"', 13, "lines.intake.part-1.part", "'crépine'", '"strainer"'),
    (PUMP, 'part = "Membranpumpe"', 15, "lines.intake.part-3.part", "'Membranpumpe'", '"diaphragm pump"'),
    (PUMP, 'part = "Pumpe"', 15, "lines.intake.part-3.part", "'Pumpe'", '"centrifugal pump", "diaphragm pump" or "hand'),
    (PUMP, 'part = "diaphragm-pump-11"', 15, "lines.intake.part-3.part", "name of a part", 'use = "diaphragm-pump-11"'),
    (PUMP, 'use = "Diaphragm-Pump-11"', 15, "lines.intake.part-3.use", "'Diaphragm-P", '"diaphragm-pump-11"'),
    (PUMP, 'use = "pump-12v"', 15, "lines.intake.part-3.use", "'pump-12v'", ""),
    ('part = "hose", bore', 'use = "hose", bore', 14, "lines.intake.part-2.use", "a kind of part", 'part = "hose"'),
    ('{ part = "strainer", bore = "19 mm" }', '"strainer"', 13, "lines.intake.part-1", "'strainer'", '{ part = "strainer"'),
    ("[modes.filling]", "[pumps.small]", 17, "pumps", "the key 'pumps'", "parts"),
    ("[sources.pond]", "[quellen.pond]", 3, "quellen", "the key 'quellen'", "sources"),
    (LENGTH, 'longueur = "6 m"', 14, "lines.intake.hose-1.longueur", "the key 'longueur'", "length"),
    (LENGTH, 'length = "6 m", cut_in = "1 bar"', 14, "lines.intake.hose-1.cut_in", "which a centrifugal pump or a diaphragm pump has", ""),
    ('from = "pond"', 'from = "creek"', 10, "lines.intake.from", "'creek'", "[sources.creek] with a surface"),
    ('to = "near"', 'to = "barrel"', 11, "lines.intake.to", "'barrel'", "[tanks.barrel] with volume, floor and depth"),
    (LENGTH, 'length = "6 mt"', 14, "lines.intake.hose-1.length", "'mt' is no listed unit", '"6 m"'),
    ('"60 L"', '"60 lt"', 6, "tanks.near.volume", "'lt' is no listed unit", '"60 L"'),
    (FLOOR, 'floor = "ca. 1 m"', 7, "tanks.near.floor", "± says how sure", '"1 m"'),
    (FLOOR, 'floor = "~1"', 7, "tanks.near.floor", "± says how sure", '"1 m"'),
    (TITLE, 'title = "T"\nsite = { water_temperature = "10 deg" }', 3, "site.water_temperature", "unit of angle", '"10 °C" or'),
    ("[modes.filling]", '[modes.filling]\noff = ["diaphragm-pump-11"]', 18, "modes.filling.off", "'d", "lines.intake.d"),
    ("[modes.filling]", '[modes.filling]\nset = { "tanks.near.inlet" = "top" }', 18, "modes.filling.set.tanks.near.inlet", "no number", '"tanks.near.inlet_height"'),
    ("[modes.filling]", '[modes.filling]\nset = { "tanks.near.flor" = "2 m" }', 18, "modes.filling.set.tanks.near.flor", "no such", '"tanks.near.floor"'),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line", "place", "found", "instead"), WORDS)
def test_words_of_other_trades_and_tongues_are_told_by_ours(
    old: str, new: str, line: int, place: str, found: str, instead: str
) -> None:
    assert old in RIG
    with pytest.raises(InputError) as caught:
        read_rig(RIG.replace(old, new, 1))
    mistake = next(each for each in caught.value.mistakes if each.place == place)
    assert mistake.line == line
    assert found in mistake.found
    assert mistake.instead.startswith(instead)
    assert bool(mistake.instead) is bool(instead)


@pytest.mark.parametrize(("old", "new"), [("\n", "\r\n"), ("  {", "\t{"), (LENGTH, 'length\t=\t"6\tm"')])
def test_line_ends_of_other_systems_and_tabs_are_read(old: str, new: str) -> None:
    assert read_rig(RIG.replace(old, new)).title == "T"


def test_a_byte_order_mark_is_read(tmp_path: Path) -> None:
    (tmp_path / "rig.toml").write_bytes(b"\xef\xbb\xbf" + RIG.encode())
    assert load_rig(tmp_path / "rig.toml").title == "T"


def test_carriage_returns_alone_are_told() -> None:
    mistake = _only(RIG.replace("\n", "\r"))
    assert mistake.found == "line ends that are carriage returns alone"


def test_a_mark_in_a_good_text_is_not_blamed_for_a_slip_elsewhere() -> None:
    text = RIG.replace(TITLE, 'title = "six feet 6\', long"', 1).replace("[modes.filling]", "[modes.filling")
    mistake = _only(text)
    assert (mistake.line, mistake.instead) == (17, "[modes.filling]")


def test_a_comma_missing_on_the_first_line_is_told_there() -> None:
    line, (found, _) = slip_above(['parts = [ { part = "tee" }', "", '  { part = "tee" } ]'], 3, "Unclosed array")
    assert (line, found) == (1, "no comma behind a part")


def test_a_line_without_a_slip_that_is_known_has_no_hint() -> None:
    assert slip_in("<html>") == ("", "")
    assert slip_in('bore = "19 mm"') == ("", "")


def test_no_other_word_is_one_of_ours() -> None:
    assert [kind for kind in PART_KINDS if english(kind)] == []
    assert english("Tuyau", ["elbow"]) == ""
