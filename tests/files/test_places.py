from __future__ import annotations

import tomllib

import pytest
from hypothesis import given
from hypothesis import strategies as st

from hydrokit.errors import InputError
from hydrokit.files.places import DEEPEST, MOST_VALUES, Places, check_bounds

TEXT = '''# a [ remark
format = 1  # { another
note = """
[not.a.table]
" quotes "" inside"""

[lines.intake]
parts = [  # [ {
  { part = "ho]se", "odd key" = 'x }' },
  { use = "pump", origin = { points = "data sheet" } }, { use = "third" },
  [1, [2,
    3]],
  """
  } ]""", 5,
]
site.altitude = "1 m"

[[lines.intake.more]]
a = 1
[[lines.intake.more]]
[lines.intake.more.deep]
b . c = 1979-05-27 07:32:00
'quoted' = ""
"esc\\u0061ped" = ''
'''


@pytest.mark.parametrize(
    ("path", "line"),
    [
        (("format",), 2),
        (("note",), 3),
        (("lines",), 7),
        (("lines", "intake"), 7),
        (("lines", "intake", "parts"), 8),
        (("lines", "intake", "parts", 0), 9),
        (("lines", "intake", "parts", 0, "odd key"), 9),
        (("lines", "intake", "parts", 1, "origin", "points"), 10),
        (("lines", "intake", "parts", 2, "use"), 10),
        (("lines", "intake", "parts", 3, 1, 0), 11),
        (("lines", "intake", "parts", 3, 1, 1), 12),
        (("lines", "intake", "parts", 4), 13),
        (("lines", "intake", "parts", 5), 14),
        (("lines", "intake", "site", "altitude"), 16),
        (("lines", "intake", "more", 0, "a"), 19),
        (("lines", "intake", "more", 1), 20),
        (("lines", "intake", "more", 1, "deep"), 21),
        (("lines", "intake", "more", 1, "deep", "b", "c"), 22),
        (("lines", "intake", "more", 1, "deep", "quoted"), 23),
        (("lines", "intake", "more", 1, "deep", "escaped"), 24),
    ],
)
def test_line_of_each_thing(path: tuple[str | int, ...], line: int) -> None:
    tomllib.loads(TEXT)
    assert Places(TEXT).line(*path) == line


def test_what_is_not_there_takes_the_line_of_what_holds_it() -> None:
    assert Places(TEXT).line("lines", "intake", "parts", 1, "bore") == 10
    assert Places(TEXT).line("nothing") == 0


@pytest.mark.parametrize("opening", ["[", "{ a = "])
def test_nesting_too_deep_is_refused(opening: str) -> None:
    check_bounds("x = " + opening * DEEPEST)
    with pytest.raises(
        InputError, match=r"line 2: rig.toml: found brackets within brackets, expected nesting no deeper"
    ):
        check_bounds("\nx = " + opening * (DEEPEST + 1), place="rig.toml")


def test_long_dotted_keys_are_refused() -> None:
    check_bounds("a." * DEEPEST + "a = 1.5")
    with pytest.raises(InputError, match="a dotted key of so many words"):
        check_bounds("a." * (DEEPEST + 1) + "a = 1")


def test_more_values_than_any_rig_has_are_refused_before_they_are_parsed() -> None:
    check_bounds("x = [" + "0," * MOST_VALUES + "]")
    with pytest.raises(InputError, match="so many values, expected at most 100,000"):
        check_bounds("x = [" + "0," * (MOST_VALUES + 1) + "]")


@pytest.mark.parametrize(
    "text", ['x = "[[[["', "# [[[[", "x = '''[\n[[['''", 'x = """\\"""[[[["""', "x = [[1], [2], [3]]"]
)
def test_brackets_in_strings_and_remarks_do_not_count(text: str) -> None:
    check_bounds(text * 1 + "\n" + "[" * DEEPEST)


@pytest.mark.parametrize("text", ['x = """\\' * 100_000, 'x = "\\' * 100_000, "'''\\" * 100_000, '"' * 300_001])
def test_torn_strings_take_no_time(text: str) -> None:
    check_bounds(text)


KEYS = st.sampled_from(["a", "b-1", '"c d"', "'e.f'", '"g\\"h"'])
SCALARS = st.sampled_from(
    ["1", "-1.5e3", "true", '"x # [ y"', "'{'", '"""\n]\n"""', "'''\n'\n'''", "1979-05-27T07:32:00Z", "nan"]
)
LISTS = st.recursive(
    SCALARS,
    lambda inner: st.lists(inner, max_size=4).map(
        lambda items: "[\n" + "".join(f" {each}, # ]\n" for each in items) + "]"
    ),
    max_leaves=8,
)


@given(pairs=st.lists(st.tuples(KEYS, LISTS), unique_by=lambda pair: pair[0], min_size=1))
def test_each_key_is_found_where_it_was_written(pairs: list[tuple[str, str]]) -> None:
    text, expected = "[top]\n", {}
    for key, value in pairs:
        expected[next(iter(tomllib.loads(f"{key} = 1")))] = text.count("\n") + 1
        text += f"{key} = {value}\n"
    tomllib.loads(text)
    places = Places(text)
    assert {key: places.line("top", key) for key in expected} == expected
