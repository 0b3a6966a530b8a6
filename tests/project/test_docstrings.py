"""Every docstring against its signature: the parameters it lists are those there are, each number with its unit."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
import re
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

import pytest

import hydrokit

if TYPE_CHECKING:
    from collections.abc import Iterator

_SECTION = re.compile(r"^(\w[\w ]*)\n-+\n(.*?)(?=^\w[\w ]*\n-+\n|\Z)", re.MULTILINE | re.DOTALL)
_ENTRY = re.compile(r"^(\*{0,2}\w+(?:, \*{0,2}\w+)*)(?: : .*)?$", re.MULTILINE)
_UNIT = re.compile(
    r"m/s|m³|m²|\bPa\b|kg|\bm\b|\bW\b|\[.+\]|fraction|plain number|:math:|as :func:|as for|ratio|\b[AVJK]\b"
)


def _offered() -> Iterator[tuple[str, Any]]:
    for found in pkgutil.walk_packages(hydrokit.__path__, "hydrokit."):
        module = importlib.import_module(found.name)
        for name in getattr(module, "__all__", ()):
            thing = getattr(module, name)
            if getattr(thing, "__module__", None) == found.name:
                yield f"{found.name}.{name}", thing


FUNCTIONS = [(name, thing) for name, thing in _offered() if inspect.isfunction(inspect.unwrap(thing))]
LAWS = [pair for pair in FUNCTIONS if re.match(r"hydrokit\.laws\.(?!elementwise)", pair[0])]
CLASSES = [(name, thing) for name, thing in _offered() if inspect.isclass(thing) and is_dataclass(thing)]


def _sections(thing: Any) -> dict[str, str]:
    return {match[1]: match[2] for match in _SECTION.finditer(inspect.getdoc(thing) or "")}


def _listed(text: str) -> list[str]:
    names = [match[1] for match in _ENTRY.finditer(text)]
    return [name.strip().lstrip("*") for entry in names for name in entry.split(",")]


@pytest.mark.parametrize(("name", "function"), FUNCTIONS)
def test_functions_list_their_own_parameters(name: str, function: Any) -> None:
    del name
    sections = _sections(function)
    if "Parameters" in sections:
        listed = _listed(sections["Parameters"])
        assert sorted(listed) == sorted(inspect.signature(function).parameters)


@pytest.mark.parametrize(("name", "function"), LAWS)
def test_laws_say_in_which_units(name: str, function: Any) -> None:
    del name
    assert _UNIT.search((inspect.getdoc(function) or "").partition("Examples\n")[0])


@pytest.mark.parametrize(("name", "cls"), CLASSES)
def test_classes_list_fields_of_their_own(name: str, cls: Any) -> None:
    del name
    sections = _sections(cls)
    if "Parameters" in sections:
        assert set(_listed(sections["Parameters"])) <= {field.name for field in fields(cls)}


@pytest.mark.parametrize(("name", "function"), LAWS)
def test_numbers_that_a_law_lists_have_a_unit(name: str, function: Any) -> None:
    del name
    entries = re.split(r"^(?=\w)", _sections(function).get("Parameters", ""), flags=re.MULTILINE)
    bare = [entry.partition(" :")[0] for entry in entries if re.search(r" : float", entry) and "[" not in entry]
    assert bare == []


def test_there_is_enough_to_look_at() -> None:
    assert len(FUNCTIONS) > 100
    assert len(CLASSES) > 30
    assert sum("Parameters" in _sections(function) for _, function in FUNCTIONS) > 50
