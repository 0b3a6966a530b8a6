"""Every file has one subject, and shows it by its length."""

from __future__ import annotations

import ast
import tokenize
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from pathlib import Path

MOST_LINES = 300
_NO_CODE = {
    tokenize.COMMENT,
    tokenize.NL,
    tokenize.NEWLINE,
    tokenize.INDENT,
    tokenize.DEDENT,
    tokenize.ENCODING,
    tokenize.ENDMARKER,
}


def _docstring_lines(text: str) -> set[int]:
    lines: set[int] = set()
    for node in ast.walk(ast.parse(text)):
        if isinstance(node, (ast.Module, ast.ClassDef, ast.FunctionDef, ast.AsyncFunctionDef)) and node.body:
            first = node.body[0]
            if (
                isinstance(first, ast.Expr)
                and isinstance(first.value, ast.Constant)
                and isinstance(first.value.value, str)
            ):
                lines |= set(range(first.lineno, (first.end_lineno or first.lineno) + 1))
    return lines


def code_lines(path: Path) -> int:
    """Return the lines that hold code: no blanks, comments or docstrings."""
    with path.open("rb") as file:
        tokens = list(tokenize.tokenize(file.readline))
    lines = {line for token in tokens if token.type not in _NO_CODE for line in range(token.start[0], token.end[0] + 1)}
    return len(lines - _docstring_lines(path.read_text(encoding="utf-8")))


def _files(root: Path) -> list[Path]:
    return [path for folder in ("hydrokit", "cli", "tests") for path in sorted((root / folder).rglob("*.py"))]


def test_no_file_is_too_long(root: Path) -> None:
    lengths = {str(path.relative_to(root)): code_lines(path) for path in _files(root)}
    assert len(lengths) > 100
    assert {name: length for name, length in lengths.items() if length > MOST_LINES} == {}


def test_only_code_counts(tmp_path: Path) -> None:
    file = tmp_path / "some.py"
    file.write_text('"""Subject.\n\nMore.\n"""\n\n# why\nx = [\n    1,\n]\ntext = """a\nb"""\n', encoding="utf-8")
    assert code_lines(file) == 5
