"""Optional libraries: what loads, what is missing and what is in pieces."""

from __future__ import annotations

import sys
from typing import TYPE_CHECKING

import pytest

from hydrokit.errors import MissingExtra
from hydrokit.extras import require_extra

if TYPE_CHECKING:
    from pathlib import Path


def test_what_is_there_is_loaded(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.delitem(sys.modules, "wave", raising=False)
    require_extra("plots", "wave")
    assert "wave" in sys.modules


def test_what_is_missing_is_named_without_a_reason() -> None:
    with pytest.raises(MissingExtra) as caught:
        require_extra("plots", "no_such_library")
    assert (caught.value.extra, caught.value.library, caught.value.reason) == ("plots", "no_such_library", "")


def test_a_library_without_the_module_wanted_does_not_load(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "half_a_library.py").touch()
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(MissingExtra, match=r"does not load \(No module named 'half_a_library.tables'"):
        require_extra("parquet", "half_a_library", "half_a_library.tables")


def test_a_fault_of_the_library_itself_is_not_hidden(monkeypatch: pytest.MonkeyPatch, tmp_path: Path) -> None:
    (tmp_path / "faulty_library.py").write_text("1 / 0", encoding="utf-8")
    monkeypatch.syspath_prepend(tmp_path)
    with pytest.raises(ZeroDivisionError):
        require_extra("parquet", "faulty_library")
