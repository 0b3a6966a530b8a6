from __future__ import annotations

import pickle
from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import InputError
from hydrokit.files import demonstration_text, read_rig

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.errors import Mistake

    Reads = Callable[[str], list[Mistake]]

HOSE = '{ part = "hose", bore = "19 mm", length = "6 m" }'


def _with(small: str, old: str, new: str) -> str:
    assert old in small
    return small.replace(old, new)


CASES = [
    # old text, new text, line, place, found, expected, instead
    ('bore = "19 mm"', 'boer = "19 mm"', 12, "lines.intake.hose-1.boer", "'boer'", "one of part, use", "bore"),
    ('length = "6 m"', 'length = "6 kg"', 12, "lines.intake.hose-1.length", "kg is a unit of mass", "a length", '"6 m"'),
    ('length = "6 m"', 'length = "6"', 12, "lines.intake.hose-1.length", "without a unit", "a length", "6 m"),
    ('length = "6 m"', "length = 6", 12, "lines.intake.hose-1.length", "6", "a length", '"6 m"'),
    ('length = "6 m"', "length = true", 12, "lines.intake.hose-1.length", "true", "a text with a number", '"6 m"'),
    ('length = "6 m"', 'length = "6,5 m"', 12, "lines.intake.hose-1.length", "comma", "a length", "6.5 m"),
    ('"19 mm"', '"-19 mm"', 12, "lines.intake.hose-1.bore", "'-19 mm'", "0.1 mm to 10 m", '"19 mm"'),
    ('"60 L"', '"16 gal"', 5, "tanks.near.volume", "which gallon", "20 %", "16 US gal"),
    ('part = "hose"', 'part = "hoze"', 12, "lines.intake.part-1.part", "'hoze'", "one of strainer, foot valve", '"hose"'),
    ('part = "hose"', 'use = "sukshun-hose-19"', 12, "lines.intake.part-1.use", "'sukshun-hose-19'", "in the catalogue", '"suction-hose-19"'),
    ('part = "hose"', 'part = "hose", use = "hose-19"', 12, "lines.intake.part-1", "both part and use", "either", ""),
    ('part = "hose", ', "", 12, "lines.intake.part-1", "neither part nor use", "one of strainer", 'part = "hose"'),
    (HOSE, '"hose-19"', 12, "lines.intake.part-1", "'hose-19'", "a table", '{ use = "hose-19" }'),
    ('to = "near"\n', "", 8, "lines.intake.to", "nothing", "to (the end where it goes)", 'to = "near"'),
    ('to = "near"', 'to = "neer"', 10, "lines.intake.to", "'neer'", "a source, tank, outlet or a joint", "near"),
    ('to = "near"', 'to = "pond"', 8, "lines.intake", "both ends at pond", "two different ends", ""),
    ('to = "near"', "to = 3", 10, "lines.intake.to", "3", "letters, digits, - and _", ""),
    (', length = "6 m"', "", 12, "lines.intake.hose-1.length", "nothing", "length (along the hose)", 'length = "6 m"'),
    ("format = 1", "format = 2", 1, "format", "2", "1", "format = 1"),
    ("format = 1", "format = true", 1, "format", "true", "1", "format = 1"),
    ("format = 1\n", "", 0, "format", "nothing", "format", "format = 1"),
    ("format = 1", 'format = 1\ntitel = "x"', 2, "titel", "'titel'", "one of format, title", "title"),
    ("format = 1", 'format = 1\ngallon = "english"', 2, "gallon", "'english'", "US or imperial", ""),
    ("format = 1", "format = 1\nsite = 3", 2, "site", "3", "a table", ""),
    ("format = 1", 'format = 1\ntitle = "a\\u001bb"', 2, "title", "U+001B", "text that can be printed", ""),
    ('surface = "0 m"', 'surface = "0 m"\ntreated = "yes"', 4, "sources.pond.treated", "'yes'", "true or false", "true"),
    ('depth = "0.4 m"', 'depth = "0.4 m"\ninlet = "botom"', 8, "tanks.near.inlet", "'botom'", "one of top, bottom", '"bottom"'),
    ('depth = "0.4 m"', 'depth = "0.4 m"\norigin = { dept = "x" }', 8, "tanks.near.origin.dept", "'dept'", "one of note, volume", "depth"),
    ('depth = "0.4 m"', "depth = 0.4\norigin = 3", 7, "tanks.near.depth", "0.4", "a length", '"0.4 m"'),
    ('depth = "0.4 m"', 'depth = "0.4 m"\norigin = "x"', 8, "tanks.near.origin", "'x'", "a table of fields", "{ note"),
    ("[tanks.near]", '[tanks."near\\u0007"]', 4, "tanks", "x07", "letters, digits, - and _", "near"),
    ("[tanks.near]", "[tanks]\nold = 3\n[tanks.near]", 5, "tanks.old", "3", "a table", "[tanks.old]"),
    (HOSE, f"{HOSE[:-2]}, name = \"a b\" }}", 12, "lines.intake.hose-1.name", "'a b'", "letters, digits, - and _", "a-b"),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "line", "place", "found", "expected", "instead"), CASES)
def test_each_mistake_says_where_what_and_what_instead(  # noqa: PLR0917
    small: str, mistakes: Reads, old: str, new: str, line: int, place: str, found: str, expected: str, instead: str
) -> None:
    first = next(mistake for mistake in mistakes(_with(small, old, new)) if mistake.place == place)
    assert first.line == line
    assert found in first.found
    assert expected in first.expected
    assert instead in first.instead


@pytest.mark.parametrize("case", [case for case in CASES if "depth = 0.4\n" not in case[1]])
def test_no_mistake_brings_others_with_it(small: str, mistakes: Reads, case: tuple[str, ...]) -> None:
    found = mistakes(_with(small, *case[:2]))
    places = {mistake.place for mistake in found} - {case[3]}
    missed = {"lines.intake.hose-1.bore"} if "boer" in case[1] else set()  # misspelt, and so missing
    unmet = {"tanks.near"} if case[1] == 'to = "pond"' else set()  # no line meets it now
    assert places == missed | unmet


def test_two_parts_with_one_name(small: str, mistakes: Reads) -> None:
    twins = f'{HOSE[:-2]}, name = "twin" }}, {HOSE[:-2]}, name = "twin" }}'
    (only,) = mistakes(_with(small, HOSE, twins))
    assert (only.place, only.line) == ("lines.intake", 8)
    assert only.found == "2 parts called twin"


def test_two_ends_with_one_name(small: str, mistakes: Reads) -> None:
    (only,) = mistakes(small + '[joints.near]\nheight = "1 m"\n')
    assert (only.place, only.line) == ("joints.near", 14)
    assert "a second end called near" in only.found


def test_curve_with_one_point(small: str, mistakes: Reads) -> None:
    pump = '{ part = "diaphragm pump", points = [["8 L/min", "1 bar"]] }'
    (only,) = mistakes(_with(small, HOSE, pump))
    assert only.place == "lines.intake.diaphragm-pump-1.points"
    assert only.found == "1 point"
    assert "at least 2 points: flow against pressure rise" in only.expected
    assert only.instead == '[["8 L/min", "1.5 bar"], …]'


@pytest.mark.parametrize(
    ("curve", "found"),
    [
        ('"8 L/min"', "'8 L/min'"),
        ('[["8 L/min"]]', "a list of 1"),
        ('[["8 L/min", "1 bar", "2 bar"]]', "a list of 3"),
        ('[["8 bar", "1 bar"]]', "bar is a unit of pressure"),
        ('[["8 ± 1 L/min", "1 bar"]]', "a tolerance"),
        ('[["8 L/min", 1]]', "1, a number without a unit"),
    ],
)
def test_curves_that_are_none(small: str, mistakes: Reads, curve: str, found: str) -> None:
    (only,) = mistakes(_with(small, HOSE, f'{{ part = "filter", points = {curve} }}'))
    assert only.place == "lines.intake.filter-1.points"
    assert found in only.found


def test_fields_that_do_not_go_together(small: str, mistakes: Reads) -> None:
    pump = '{ part = "diaphragm pump", name = "p",\\n points = [["9 L/min", "0 bar"], ["8 L/min", "1 bar"]], cut_in = "3 bar", cut_out = "2 bar" }'
    (only,) = mistakes(_with(small, HOSE, pump.replace("\\n", "")))
    assert (only.place, only.line) == ("lines.intake.p.cut_in", 12)
    assert "less than cut_out" in only.expected


def test_neither_of_two_curves(small: str, mistakes: Reads) -> None:
    (only,) = mistakes(_with(small, HOSE, '{ part = "centrifugal pump" }'))
    assert only.place == "lines.intake.centrifugal-pump-1"
    assert only.found == "neither of points and heads"


def test_mistakes_of_a_used_part_are_told_once_where_it_is_described(small: str, mistakes: Reads) -> None:
    text = _with(small, HOSE, '{ use = "wrong" }, { use = "wrong", height = "x" }')
    first, second = mistakes(text + '[parts.wrong]\npart = "elbow"\nbore = "19 kg"\n')
    assert (first.place, first.line) == ("lines.intake.elbow-2.height", 12)
    assert (second.place, second.line) == ("parts.wrong.bore", 16)


def test_a_used_part_may_lack_what_the_line_must_add(small: str, mistakes: Reads) -> None:
    text = _with(small, HOSE, '{ use = "suction" }') + '[parts.suction]\npart = "hose"\nbore = "19 mm"\n'
    (only,) = mistakes(text)
    assert (only.place, only.found) == ("lines.intake.suction.length", "nothing")
    assert read_rig(text.replace('"suction" }', '"suction", length = "1 m" }'))


def test_entries_that_nothing_uses_are_allowed_but_checked(small: str, mistakes: Reads) -> None:
    spare = '[parts.spare]\npart = "elbow"\nbore = "19 mm"\n'
    assert read_rig(small + spare) == read_rig(small)
    (only,) = mistakes(small + spare.replace("elbow", "elbo"))
    assert (only.place, only.line, only.instead) == ("parts.spare.part", 15, '"elbow"')


@pytest.mark.parametrize(
    ("mode", "place", "instead"),
    [
        ('closed = ["intake"]', "modes.m.closed", "lines.intake"),
        ('off = ["lines.intake.hose-1"]', "modes.m.off", ""),
        ('closed = "lines.intake"', "modes.m.closed", '["lines.intake"]'),
        ("closed = [1]", "modes.m.closed", '["lines.to-tap"]'),
        ('set = { "intake.hose-1.bore" = "1 mm" }', "modes.m.set.intake.hose-1.bore", '"lines.intake.hose-1.bore"'),
        ('set = { "tanks.near.levl" = "1 m" }', "modes.m.set.tanks.near.levl", '"tanks.near.level"'),
        ('set = { "tanks.near.level" = "1 kg" }', "modes.m.set.tanks.near.level", ""),
        ('set = { "tanks.near.level" = "1 ± 1 m" }', "modes.m.set.tanks.near.level", ""),
        ('shut = ["lines.intake"]', "modes.m.shut", ""),
    ],
)
def test_mistakes_in_modes(small: str, mistakes: Reads, mode: str, place: str, instead: str) -> None:
    (only,) = mistakes(f"{small}[modes.m]\n{mode}\n")
    assert (only.place, only.line) == (place, 15)
    assert instead in only.instead


def test_all_mistakes_are_told_at_once_in_the_order_of_the_file(small: str, mistakes: Reads) -> None:
    text = small
    for old, new in [
        ("0 m", "0,5 m"),
        ("60 L", "60 bar"),
        ("19 mm", "-19 mm"),
        ('part = "hose"', 'part = "hose", lenth = 3'),
    ]:
        text = _with(text, f'"{old}"' if '"' not in old else old, f'"{new}"' if '"' not in new else new)
    found = mistakes(f'{text}[modes.m]\nclosed = ["lines.intak"]\n[site]\naltitud = 3\n')
    assert [mistake.place for mistake in found] == [
        "sources.pond.surface",
        "tanks.near.volume",
        "lines.intake.hose-1.bore",
        "lines.intake.hose-1.lenth",
        "modes.m.closed",
        "site.altitud",
    ]
    assert [mistake.line for mistake in found] == [3, 5, 12, 12, 15, 17]


def test_mistakes_survive_pickling(small: str) -> None:
    with pytest.raises(InputError) as caught:
        read_rig(_with(small, "6 m", "6 kg"))
    assert pickle.loads(pickle.dumps(caught.value)).mistakes == caught.value.mistakes


def test_control_characters_never_reach_the_message(small: str) -> None:
    evil = "\\u001b[31m\\u202e"
    for old, new in [
        ("pond]", f'"{evil}"]'),
        ("bore", f'"{evil}"'),
        ('"6 m"', f'"{evil}"'),
        ('part = "hose"', f'use = "{evil}"'),
    ]:
        with pytest.raises(InputError) as caught:
            read_rig(_with(small, old, new))
        assert str(caught.value).replace("\n", "").isprintable()


def test_an_unknown_kind_hides_no_missing_end_and_blames_no_mode() -> None:
    text = demonstration_text()
    torn = text.replace('part = "diaphragm pump"', 'part = "diafragm pump"', 1).replace('to = "near"', 'to = "naer"', 1)
    with pytest.raises(InputError) as caught:
        read_rig(torn)
    places = [mistake.place for mistake in caught.value.mistakes]
    assert places == ["parts.lift-pump.part", "lines.to-near.to"]
