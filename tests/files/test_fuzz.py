from __future__ import annotations

import time
from contextlib import suppress

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from hydrokit.errors import InputError
from hydrokit.files import demonstration_text, load_rig, read_rig, write_rig
from hydrokit.rig import Rig

DEMO = demonstration_text()
LINES = DEMO.split("\n")
SHARDS = [
    *["[", "]", "{", "}", "=", ",", ".", '"', '"""', "'", "'''", "#", "\n", "\\", "\x00", "\ufeff", "±", "²", "[[", "]]", "0", "-", "1e999"],
    *["nan", "inf", "true", "1979-05-27", '"6 m"', '"-6 m"', "from", "parts", 'use = "carbon"', "origin", "[modes.x.set]", "lines", "9" * 400],
]  # fmt: skip
SCALARS = st.sampled_from(
    [
        "1",
        "-1",
        "nan",
        "inf",
        "true",
        "1979-05-27",
        '""',
        '"6 m"',
        '"split"',
        "[]",
        "{}",
        "[[]]",
        "[{}]",
        '{ part = "hose" }',
    ]
)


def judged(text: str) -> None:
    start = time.perf_counter()
    with suppress(InputError):
        rig = read_rig(text)
        assert isinstance(rig, Rig)
        assert read_rig(write_rig(rig)) == rig
    assert time.perf_counter() - start < 1.0


@settings(max_examples=300, deadline=None)
@given(st.text(max_size=300) | st.lists(st.sampled_from(SHARDS), max_size=40).map("".join))
def test_any_text_is_read_or_refused_at_once(text: str) -> None:
    judged(text)
    judged(f"format = 1\n{text}")


@settings(max_examples=200, deadline=None)
@given(
    st.lists(
        st.tuples(st.integers(0, len(DEMO)), st.integers(0, 30), st.sampled_from(SHARDS) | st.text(max_size=5)),
        min_size=1,
        max_size=4,
    )
)
def test_a_torn_file_is_read_or_refused_at_once(cuts: list[tuple[int, int, str]]) -> None:
    text = DEMO
    for at, size, shard in cuts:
        text = text[:at] + shard + text[at + size :]
    judged(text)


@settings(max_examples=150, deadline=None)
@given(
    st.lists(st.integers(0, len(LINES) - 1), min_size=1, max_size=6),
    st.lists(st.integers(0, len(LINES) - 1), max_size=3),
)
def test_a_file_with_lines_missing_or_repeated(missing: list[int], repeated: list[int]) -> None:
    lines = [line for index, line in enumerate(LINES) if index not in missing]
    judged("\n".join([*lines, *(LINES[index] for index in repeated)]))


@settings(max_examples=150, deadline=None)
@given(st.integers(0, len(LINES) - 1), SCALARS)
def test_a_value_of_the_wrong_kind(index: int, value: str) -> None:
    lines = list(LINES)
    key, sign, _ = lines[index].partition(" = ")
    lines[index] = f"{key}{sign}{value}" if sign else value
    judged("\n".join(lines))


@settings(max_examples=100, deadline=None)
@given(st.text(max_size=40))
def test_any_path_is_loaded_or_refused(path: str) -> None:
    with suppress(InputError):
        load_rig(path)


def test_a_file_full_of_mistakes_is_told_in_good_time() -> None:
    items = "".join(f'  {{ part = "hose", bore = "{i} kg", lenght{i} = 3 }},\n' for i in range(500))
    text = f'format = 1\n[sources.pond]\nsurface = "0 m"\n[lines.intake]\nfrom = "pond"\nto = "near"\nparts = [\n{items}]\n'
    start = time.perf_counter()
    with pytest.raises(InputError) as caught:
        read_rig(text)
    assert time.perf_counter() - start < 1.0
    assert len(caught.value.mistakes) >= 1500
