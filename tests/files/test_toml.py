from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import InputError
from hydrokit.files import load_rig, read_rig
from hydrokit.files.toml import LARGEST

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from hydrokit.errors import Mistake


@pytest.mark.parametrize(
    ("text", "line", "found", "instead"),
    [
        ("", 0, "the file is empty", "format = 1"),
        (" \n\t\n", 0, "the file is empty", "format = 1"),
        ("format = 1\nbore = 19 mm", 2, "bore = 19 mm, a value with a unit but without quotes", 'bore = "19 mm"'),
        ("x = [{ bore = 19 mm, k = 2 }]", 1, "bore = 19 mm, a value with a unit", 'bore = "19 mm"'),
        ("level = 3/4 in", 1, "level = 3/4 in, a value with a unit", 'level = "3/4 in"'),
        ("title = “x”", 1, "curly quotes", 'straight ones: "'),
        ("a = 1\n\na = 2", 3, "written twice", ""),
        ("[a]\n[b]\n[a]", 3, "written twice", ""),
        ("a = { b = 1, b = 2 }", 1, "written twice", ""),
        ("a = 1\n[b\n", 2, "[b, which is no heading of a table", ""),
        ("a = 1\nb", 2, "a line that cannot be read", ""),
        ('a = """x', 1, "unterminated string", ""),
        ('a = "\x01"', 1, "illegal character", ""),
        ("a = 1979-13-41", 1, "a line that cannot be read", ""),
        ("a = " + "9" * 5000, 1, "a whole number of thousands of digits", ""),
        ("a = " + "[" * 200, 1, "brackets within brackets", ""),
        ("a = " + "{ b = " * 200, 1, "brackets within brackets", ""),
        ("a." * 200 + "a = 1", 1, "a dotted key of so many words", ""),
    ],
)
def test_text_that_is_no_toml(
    mistakes: Callable[[str], list[Mistake]], text: str, line: int, found: str, instead: str
) -> None:
    (only,) = mistakes(text)
    assert only.place == "rig.toml"
    assert only.line == line
    assert found in only.found
    assert only.instead.startswith(instead)


def test_text_too_large(mistakes: Callable[[str], list[Mistake]]) -> None:
    (only,) = mistakes("#" * (LARGEST + 1))
    assert "1 MiB" in only.found


@pytest.mark.parametrize(
    "text", ["a" * 1_000_000, '"' * 1_000_000, '"""\\' * 250_000, "x = [" + "'" * 999_999, "a = 1 " * 150_000]
)
def test_hostile_text_is_refused_in_no_time(mistakes: Callable[[str], list[Mistake]], text: str) -> None:
    assert mistakes(text)


def _refusal(path: object) -> Mistake:
    with pytest.raises(InputError) as caught:
        load_rig(path)  # type: ignore[arg-type]
    (only,) = caught.value.mistakes
    return only


def test_missing_file_names_the_nearest(tmp_path: Path) -> None:
    (tmp_path / "trailer.toml").write_text("format = 1")
    only = _refusal(tmp_path / "trialer.toml")
    assert only.found == "no such file"
    assert only.instead == str(tmp_path / "trailer.toml")
    assert _refusal(tmp_path / "no-such-folder" / "rig.toml").found == "no such file"


def test_directory(tmp_path: Path) -> None:
    assert _refusal(tmp_path).found == "a directory"


def test_empty_file(tmp_path: Path) -> None:
    (tmp_path / "rig.toml").touch()
    assert _refusal(tmp_path / "rig.toml").found == "nothing, the file is empty"


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no pipes here")
def test_pipe_is_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe")
    assert _refusal(tmp_path / "pipe").found == "neither a file nor a directory"


@pytest.mark.parametrize(
    "data", [b"format = 1\n\xff\xfe", "format = 1\ntitle = 'Mühle'".encode("latin-1"), "format = 1".encode("utf-16")]
)
def test_other_encodings(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "rig.toml").write_bytes(data)
    only = _refusal(tmp_path / "rig.toml")
    assert "not UTF-8" in only.found
    assert only.line == data[: data.index(max(data))].count(b"\n") + 1


@pytest.mark.parametrize("data", [b"#" * (LARGEST + 1), "é".encode() * (LARGEST // 2 + 1)], ids=["#", "é"])
def test_file_too_large(tmp_path: Path, data: bytes) -> None:
    (tmp_path / "rig.toml").write_bytes(data)
    assert _refusal(tmp_path / "rig.toml").found == "more than 1 MiB"


@pytest.mark.parametrize("path", ["a\0b", "x" * 5000, "", "bell\a.toml"])
def test_paths_that_cannot_be(path: str) -> None:
    only = _refusal(path)
    assert str(only).isprintable()


@pytest.mark.skipif(getattr(os, "geteuid", lambda: 1)() == 0, reason="root may read everything")
def test_file_that_may_not_be_read(tmp_path: Path) -> None:
    path = tmp_path / "rig.toml"
    path.write_text("format = 1")
    path.chmod(0)
    assert _refusal(path).found == "permission denied"


def test_half_a_letter_is_refused() -> None:
    with pytest.raises(InputError, match=r"line 2: .*half a letter of UTF-16"):
        read_rig('format = 1\ntitle = "\ud800"\n', place="rig.toml")


def test_what_cannot_be_printed_is_spelled_out() -> None:
    with pytest.raises(InputError) as told:
        read_rig('format = 1\n\x1b[31mtitle = "a\n', place="a\x07.toml")
    assert str(told.value).isprintable()
    assert "a\\x07.toml" in str(told.value)
