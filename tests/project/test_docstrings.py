"""Every docstring against its signature: the parameters it lists are those there are, each number with its unit."""

from __future__ import annotations

import importlib
import inspect
import json
import math
import pkgutil
import re
from collections import Counter
from dataclasses import fields, is_dataclass
from typing import TYPE_CHECKING, Any

import pytest

import hydrokit
from hydrokit.bounds import specs_of
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.rig import ASIDE, SINGLES
from hydrokit.terms import all_terms

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
KERNELS = {name for name, _ in LAWS if re.search(r"\.friction\.\w+_group$", name)}  # the solver's, nothing is checked
CLASSES = [(name, thing) for name, thing in _offered() if inspect.isclass(thing) and is_dataclass(thing)]


def _methods(cls: type[Any]) -> Iterator[tuple[str, Any]]:
    """Yield the public methods that hydrokit itself writes, those of a base under the base's name."""
    for owner in cls.__mro__:
        for name, thing in vars(owner).items():
            if not name.startswith("_") and inspect.isfunction(thing) and owner.__module__.startswith("hydrokit."):
                yield f"{owner.__name__}.{name}", thing


_OFFERED = {name: getattr(hydrokit, name) for name in hydrokit.__all__}
_CLASSES = [thing for thing in _OFFERED.values() if inspect.isclass(thing)]
PUBLIC = [
    *((name, inspect.unwrap(thing)) for name, thing in _OFFERED.items() if inspect.isroutine(inspect.unwrap(thing))),
    *{name: (name, thing) for cls in _CLASSES for name, thing in _methods(cls)}.values(),
]
PUBLIC_CLASSES = [(cls.__name__, cls) for cls in _CLASSES if not issubclass(cls, hydrokit.Answer)]
_SOURCE = re.compile(r"[Ss]ource|\[\w+\]_|from memory|ommon practice|our own")
_RAISES = re.compile(r"\braise |\.settle\(|\brequire\w*\(")
_DEFAULT = re.compile(r"^(\w+(?:, \w+)*) : .*\bdefault (.+)$", re.MULTILINE)
_PI = {"pi": math.pi, "pi / 2": math.pi / 2.0}


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


def _named(things: list[tuple[str, Any]]) -> Any:
    return pytest.mark.parametrize(("name", "thing"), things, ids=[name for name, _ in things])


@_named(PUBLIC)
def test_public_functions_say_what_they_take_give_and_refuse_and_show_it(name: str, thing: Any) -> None:
    del name
    sections = _sections(thing)
    signature = inspect.signature(thing)
    assert ("Parameters" in sections) is bool([word for word in signature.parameters if word != "self"])
    assert ("Returns" in sections) is (signature.return_annotation != "None")
    assert ">>> " in sections.get("Examples", "")
    assert "Raises" in sections or not _RAISES.search(inspect.getsource(thing))


@_named(PUBLIC_CLASSES)
def test_public_classes_show_how_they_are_made(name: str, thing: Any) -> None:
    del name
    assert ">>> " in (thing.__doc__ or "")


@_named([pair for pair in LAWS if pair[0] not in KERNELS])
def test_laws_say_what_they_take_and_give_show_it_and_name_their_source(name: str, thing: Any) -> None:
    sections = _sections(thing)
    signature = inspect.signature(thing)
    assert ("Parameters" in sections) is bool(signature.parameters)
    assert ("Returns" in sections) is (signature.return_annotation != "None")
    assert ">>> " in sections.get("Examples", "")
    assert "Raises" in sections or not _RAISES.search(inspect.getsource(thing))
    if not name.endswith((".require_bore", ".ratio_of")):  # checks of what is given
        assert _SOURCE.search(inspect.getdoc(thing) or "")


@_named([pair for pair in LAWS if pair[0] not in KERNELS])
def test_arrays_that_a_law_lists_have_a_shape(name: str, thing: Any) -> None:
    del name
    assert (
        re.findall(
            r"^\w.* : float or array(?!, (?:same )?shape).*", _sections(thing).get("Parameters", ""), re.MULTILINE
        )
        == []
    )


@_named([pair for pair in LAWS if _DEFAULT.search(inspect.getdoc(pair[1]) or "")])
def test_defaults_are_those_that_are_stated(name: str, thing: Any) -> None:
    del name
    parameters = inspect.signature(thing).parameters
    stated = {
        word: _PI[text] if text in _PI else json.loads(text)
        for words, text in _DEFAULT.findall(inspect.getdoc(thing) or "")
        for word in words.split(", ")
    }
    assert {word: parameters[word].default for word in stated} == stated


def test_names_that_functions_share_stand_in_the_glossary_or_are_fields() -> None:
    used = Counter(word for _, thing in [*LAWS, *PUBLIC] for word in inspect.signature(thing).parameters)
    known = {name for term in all_terms() for name in term.names} | {"self"}
    kinds = (*PART_KINDS.values(), *END_KINDS.values(), *SINGLES.values(), *ASIDE.values())
    known |= {field for cls in kinds for field in specs_of(cls)}
    assert len(used) > 200
    assert sorted(word for word, times in used.items() if times > 1 and word not in known) == []


def test_there_is_enough_to_look_at() -> None:
    assert len(FUNCTIONS) > 100
    assert len(CLASSES) > 30
    assert sum("Parameters" in _sections(function) for _, function in FUNCTIONS) > 50
