"""Chunks of long work: kept whole or not at all, joined in order, of one piece of work only."""

from __future__ import annotations

import os
from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import InputError, OutputError
from hydrokit.files.chunks import Chunks, Kept, open_chunks

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path
    from typing import BinaryIO

WORK = {"format": 1, "rig": "abc", "variants": 3}
as_root = pytest.mark.skipif(os.geteuid() == 0, reason="root may write anywhere")


def _copied(pieces: Iterator[bytes], file: BinaryIO) -> None:
    file.writelines(pieces)


def _begun(path: Path) -> Chunks:
    chunks = open_chunks(path, WORK)
    for number in (1, 0, 2):
        chunks.save(number, Kept({"number": number}, b"piece %d\n" % number))
    return chunks


def test_joined_in_order_and_gone(tmp_path: Path) -> None:
    target = tmp_path / "a.csv"
    _begun(target).join(3, _copied, force=False)
    assert target.read_bytes() == b"piece 0\npiece 1\npiece 2\n"
    assert list(tmp_path.iterdir()) == [target]


def test_what_is_there_is_found_again(tmp_path: Path) -> None:
    _begun(tmp_path / "a.csv")
    again = open_chunks(tmp_path / "a.csv", WORK)
    assert again.read(1) == Kept({"number": 1}, b"piece 1\n")
    assert again.read(7) is None


@pytest.mark.parametrize(
    "damage",
    [b"", b"{", b"7", b"null", b"[" * 100_000, b"\xff\xfe", b'{"bytes": 8, "crc32": 1, "summary": {}}\npiece 1\n'],
    ids=["empty", "torn", "number", "nothing", "nested", "bytes", "sum"],
)
def test_a_damaged_chunk_is_none(tmp_path: Path, damage: bytes) -> None:
    chunks = _begun(tmp_path / "a.csv")
    (chunks.folder / "chunk-000001").write_bytes(damage)
    assert chunks.read(1) is None
    with pytest.raises(OutputError, match="gone or damaged"):
        chunks.join(3, _copied, force=False)
    assert not (tmp_path / "a.csv").exists()
    assert chunks.read(0) is not None


def test_a_chunk_cut_short_is_none(tmp_path: Path) -> None:
    chunks = _begun(tmp_path / "a.csv")
    path = chunks.folder / "chunk-000001"
    path.write_bytes(path.read_bytes()[:-1])
    assert chunks.read(1) is None


def test_what_is_remembered_of_a_chunk_is_under_its_check_sum_too(tmp_path: Path) -> None:
    chunks = _begun(tmp_path / "a.csv")
    path = chunks.folder / "chunk-000001"
    path.write_bytes(path.read_bytes().replace(b'{"number": 1}', b'{"number": 8}'))
    assert chunks.read(1) is None


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="pipes with names")
def test_a_pipe_is_not_waited_for(tmp_path: Path) -> None:
    chunks = _begun(tmp_path / "a.csv")
    for name in ("chunk-000001", "manifest.json"):
        (chunks.folder / name).unlink()
        os.mkfifo(chunks.folder / name)
    with pytest.raises(OutputError, match="no ordinary file"):
        chunks.read(1)
    with pytest.raises(InputError, match="differs in"):
        open_chunks(tmp_path / "a.csv", WORK)
    assert open_chunks(tmp_path / "a.csv", WORK, restart=True).read(1) is None


def test_another_piece_of_work_is_refused_until_the_old_is_thrown_away(tmp_path: Path) -> None:
    _begun(tmp_path / "a.csv")
    other = {**WORK, "rig": "xyz"}
    with pytest.raises(InputError) as caught:
        open_chunks(tmp_path / "a.csv", other)
    (mistake,) = caught.value.mistakes
    assert mistake.found.endswith("differs in: rig")
    assert "a.csv.unfinished" in mistake.found
    assert "--restart" in mistake.instead
    anew = open_chunks(tmp_path / "a.csv", other, restart=True)
    assert anew.read(0) is None
    assert open_chunks(tmp_path / "a.csv", other).manifest() == other


def test_a_folder_of_somebody_else_is_left_alone(tmp_path: Path) -> None:
    folder = tmp_path / "a.csv.unfinished"
    folder.mkdir()
    (folder / "letter.txt").write_text("dear")
    for restart in (False, True):
        with pytest.raises(InputError, match="not of this program"):
            open_chunks(tmp_path / "a.csv", WORK, restart=restart)
    assert (folder / "letter.txt").read_text() == "dear"


def test_an_empty_folder_and_a_file_in_its_place(tmp_path: Path) -> None:
    (tmp_path / "a.csv.unfinished").mkdir()
    open_chunks(tmp_path / "a.csv", WORK)
    (tmp_path / "b.csv.unfinished").write_text("x")
    with pytest.raises(InputError, match="not of this program"):
        open_chunks(tmp_path / "b.csv", WORK)


def test_what_else_lies_in_the_folder_stays(tmp_path: Path) -> None:
    chunks = _begun(tmp_path / "a.csv")
    (chunks.folder / "note.txt").write_text("mine")
    chunks.join(3, _copied, force=False)
    assert [path.name for path in chunks.folder.iterdir()] == ["note.txt"]


@pytest.mark.parametrize("text", ["{", "[" * 100_000, "[]"], ids=["torn", "nested", "list"])
def test_a_manifest_that_cannot_be_read_is_of_something_else(tmp_path: Path, text: str) -> None:
    chunks = _begun(tmp_path / "a.csv")
    (chunks.folder / "manifest.json").write_text(text)
    with pytest.raises(InputError, match="differs in"):
        open_chunks(tmp_path / "a.csv", WORK)
    open_chunks(tmp_path / "a.csv", WORK, restart=True)


def test_a_file_that_came_meanwhile_is_not_written_over(tmp_path: Path) -> None:
    chunks = _begun(tmp_path / "a.csv")
    chunks.target.write_text("old")
    with pytest.raises(OutputError, match="exists already"):
        chunks.join(3, _copied, force=False)
    assert chunks.target.read_text() == "old"
    chunks.join(3, _copied, force=True)
    assert chunks.target.read_bytes().startswith(b"piece 0")


def test_no_folder_to_write_in(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="no such file or directory"):
        open_chunks(tmp_path / "nowhere" / "a.csv", WORK)


@as_root
def test_a_folder_that_may_not_be_written_in(tmp_path: Path) -> None:
    tmp_path.chmod(0o500)
    with pytest.raises(OutputError, match="permission denied"):
        open_chunks(tmp_path / "a.csv", WORK)


def test_a_join_that_breaks_off_leaves_no_piece_of_a_file(tmp_path: Path) -> None:
    def breaks(pieces: Iterator[bytes], file: BinaryIO) -> None:
        file.write(next(pieces))
        raise KeyboardInterrupt

    chunks = _begun(tmp_path / "a.csv")
    with pytest.raises(KeyboardInterrupt):
        chunks.join(3, breaks, force=False)
    assert list(tmp_path.iterdir()) == [chunks.folder]
    chunks.join(3, _copied, force=False)
    assert chunks.target.exists()
