"""Annotations by which arguments are looked at: each name means at run time what its author meant."""

from __future__ import annotations

import ast
import builtins
from dataclasses import dataclass
from enum import StrEnum
from importlib import import_module
from pathlib import Path
from types import UnionType
from typing import TYPE_CHECKING, Any, Literal, get_origin

import pytest

import hydrokit
from hydrokit import arguments
from hydrokit.bounds import Array, Real

if TYPE_CHECKING:
    from collections.abc import Iterator

HOUSE = Path(hydrokit.__file__).parent
BUILT_IN = {name: getattr(builtins, name) for name in ("float", "int", "bool", "str", "object")}
MEANT: dict[str, Any] = {**BUILT_IN, "Path": Path, "Real": Real, "Array": Array, "Any": Any}


@dataclass(frozen=True)
class Written:
    """A module whose arguments or fields are looked at, and what its names mean to a type checker."""

    tree: ast.Module
    known: dict[str, Any]
    checked: dict[str, Any]

    def annotations(self) -> Iterator[tuple[str, ast.expr]]:
        """Yield where each annotation stands, and itself."""
        for node in ast.walk(self.tree):
            if isinstance(node, ast.FunctionDef) and _names(node.decorator_list) >= {"as_annotated"}:
                given = [*node.args.posonlyargs, *node.args.args, *node.args.kwonlyargs, node.args.vararg]
                yield from ((f"{node.name}({arg.arg})", arg.annotation) for arg in given if arg and arg.annotation)
            elif isinstance(node, ast.ClassDef) and "check_kinds" in _names([node]):
                fields = [item for item in node.body if isinstance(item, ast.AnnAssign)]
                held = ((f"{node.name}.{ast.unparse(item.target)}", item.annotation) for item in fields)
                yield from (each for each in held if not ast.unparse(each[1]).startswith("Annotated"))


def _names(nodes: list[Any]) -> set[str]:
    return {each.id for node in nodes for each in ast.walk(node) if isinstance(each, ast.Name)}


def _modules() -> Iterator[Any]:
    for path in sorted(HOUSE.rglob("*.py")):
        text = path.read_text(encoding="utf-8")
        if ("@as_annotated\n" in text or "check_kinds(self)" in text) and path.name != "arguments.py":
            yield pytest.param(path, text, id=path.relative_to(HOUSE).as_posix())


def _written(path: Path, text: str) -> Written:
    tree = ast.parse(text)
    known = vars(import_module(".".join(path.relative_to(HOUSE.parent).with_suffix("").parts)))
    checked = dict(known)
    for node in tree.body:
        if isinstance(node, ast.If) and ast.unparse(node.test) == "TYPE_CHECKING":
            exec(compile(ast.Module(node.body, []), path, "exec"), checked)
    return Written(tree, known, checked)


def _is_class_of_its_name(name: str, meant: object) -> bool:
    """Return whether a class may stay unknown until run time: it is then found by its name."""
    special = isinstance(meant, type) and (issubclass(meant, StrEnum) or getattr(meant, "_is_protocol", False))
    return isinstance(meant, type) and not special and meant.__name__ == name


def _amiss(name: str, written: Written) -> str:
    """Return what is wrong with a name of an annotation; nothing where it means the same at run time."""
    meant = written.checked.get(name, vars(builtins).get(name))
    if name in arguments._NAMES:
        return "" if meant is MEANT[name] or meant == MEANT[name] else f"is taken for {MEANT[name]}"
    if name not in written.known:
        return "" if _is_class_of_its_name(name, meant) else "must be imported at run time"
    readable = isinstance(meant, type | str | UnionType) or get_origin(meant) is Literal
    return "" if readable else "is no class and no alias that can be read"


def _containers(annotation: ast.expr) -> set[str]:
    return {ast.unparse(node.value) for node in ast.walk(annotation) if isinstance(node, ast.Subscript)}


def test_every_name_taken_as_it_stands_has_its_meaning_here() -> None:
    assert MEANT.keys() == arguments._NAMES.keys()


@pytest.mark.parametrize(("path", "text"), list(_modules()))
def test_names_mean_at_run_time_what_they_say(path: Path, text: str) -> None:
    written = _written(path, text)
    annotations = list(written.annotations())
    assert annotations
    found = [
        f"{place}: {name} {amiss}"
        for place, annotation in annotations
        for name in sorted(_names([annotation]) - _containers(annotation))
        if (amiss := _amiss(name, written))
    ]
    assert found == []


@pytest.mark.parametrize(("path", "text"), list(_modules()))
def test_every_annotation_can_be_read(path: Path, text: str) -> None:
    written = _written(path, text)
    for place, annotation in written.annotations():
        assert arguments._kinds(annotation, written.known), place


def test_a_word_type_known_to_type_checkers_only_would_be_found() -> None:
    checked = {"Verdict": hydrokit.Verdict, "Rig": hydrokit.Rig, "Way": Literal["in", "out"], "Other": hydrokit.Rig}
    written = Written(ast.parse(""), {}, checked)
    assert [name for name in checked if _amiss(name, written)] == ["Verdict", "Way", "Other"]
