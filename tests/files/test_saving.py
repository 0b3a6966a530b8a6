from __future__ import annotations

import stat
from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import OutputError
from hydrokit.files import load_rig, read_rig, save_rig, save_text

if TYPE_CHECKING:
    from pathlib import Path


def test_text_is_written(tmp_path: Path) -> None:
    save_text("9 °C\n", tmp_path / "a.txt")
    assert (tmp_path / "a.txt").read_bytes() == "9 °C\n".encode()
    assert [path.name for path in tmp_path.iterdir()] == ["a.txt"]


def test_nothing_is_written_over_unless_forced(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")
    with pytest.raises(OutputError, match=r"a\.txt exists already; it is written over only if forced"):
        save_text("new", path)
    assert path.read_text() == "old"
    save_text("new", str(path), force=True)
    assert path.read_text() == "new"


def test_who_may_read_the_old_file_may_read_the_new(tmp_path: Path) -> None:
    path = tmp_path / "a.txt"
    path.write_text("old")
    path.chmod(0o640)
    save_text("new", path, force=True)
    assert stat.S_IMODE(path.stat().st_mode) == 0o640


def test_a_link_stays_a_link(tmp_path: Path) -> None:
    (tmp_path / "real.txt").write_text("old")
    (tmp_path / "link.txt").symlink_to("real.txt")
    save_text("new", tmp_path / "link.txt", force=True)
    assert (tmp_path / "link.txt").is_symlink()
    assert (tmp_path / "real.txt").read_text() == "new"


@pytest.mark.parametrize(
    ("name", "reason"),
    [
        ("no-folder/a.txt", "there is no directory"),
        ("", "is a directory"),
        ("x" * 300, "(?i)too long"),
        ("a\0b", "null (byte|character)"),
    ],
)
def test_what_cannot_be_written_is_refused(tmp_path: Path, name: str, reason: str) -> None:
    with pytest.raises(OutputError, match=reason):
        save_text("new", tmp_path / name, force=True)
    assert list(tmp_path.iterdir()) == []


def test_text_that_is_no_unicode_is_refused(tmp_path: Path) -> None:
    with pytest.raises(OutputError, match="surrogates"):
        save_text("\ud800", tmp_path / "a.txt")
    assert list(tmp_path.iterdir()) == []


def test_a_failed_write_leaves_the_old_file(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def full(_: int) -> None:
        raise OSError(28, "No space left on device")

    path = tmp_path / "a.txt"
    path.write_text("old")
    monkeypatch.setattr("hydrokit.files.saving.os.fsync", full)
    with pytest.raises(OutputError, match="no space left on device"):
        save_text("new", path, force=True)
    assert [each.name for each in tmp_path.iterdir()] == ["a.txt"]
    assert path.read_text() == "old"


def test_a_saved_rig_reads_back(small: str, tmp_path: Path) -> None:
    rig = read_rig(small)
    save_rig(rig, tmp_path / "rig.toml")
    assert load_rig(tmp_path / "rig.toml") == rig
    with pytest.raises(OutputError, match="exists already"):
        save_rig(rig, tmp_path / "rig.toml")
