"""The public names: pinned, lazily fetched, and never the name of a room."""

from __future__ import annotations

import importlib
import pkgutil
from importlib.metadata import version
from typing import TYPE_CHECKING

import pytest

import hydrokit

if TYPE_CHECKING:
    from pathlib import Path

_TEXT = """
Answer Battery Bore CentrifugalPump Check Comparison Coupler Diagnosis DiaphragmPump Dimension Draw Elbow Envelope
Fill Filter Finding Fitting FloatValve FootValve HandPump Hose HoseTail Hosing HydrokitError InputError Joint Lamp
Lift Limit Line Load Match MissingExtra Mode NonReturnValve Outlet OutputError Reading Rig Site Solution SolverError Source Spread Strainer Sweep
Tank Targets Tee Valve Vehicle Verdict Wear __version__ bore check compare demonstration diagnose draw envelope
expected_readings explain fill generic_parts hose lift limit load_pumps load_readings load_rig match part plot quantity
read_part read_rig render replaced report rig_drawing save_rig show si solve speed_up spread sweep wear write_rig
"""
PUBLIC = _TEXT.split()


def _modules() -> list[str]:
    return [found.name for found in pkgutil.walk_packages(hydrokit.__path__, "hydrokit.")]


def test_public_names_are_these() -> None:
    assert hydrokit.__all__ == PUBLIC
    assert dir(hydrokit) == sorted(PUBLIC)


@pytest.mark.parametrize("name", PUBLIC)
def test_every_name_is_the_same_twice(name: str) -> None:
    first = getattr(hydrokit, name)
    importlib.import_module("hydrokit.studies")  # importing a room must not replace a name
    assert getattr(hydrokit, name) is first


def test_no_room_or_module_has_the_name_of_something_public() -> None:
    rooms = {name.partition(".")[2].partition(".")[0] for name in _modules()}
    assert rooms & set(PUBLIC) == set()
    for module in _modules():
        parent, _, own = module.rpartition(".")
        assert own not in getattr(importlib.import_module(parent), "__all__", ()), f"{module} hides {parent}.{own}"


def test_what_is_not_public_is_not_there() -> None:
    with pytest.raises(AttributeError, match="no attribute 'chekc'"):
        _ = hydrokit.chekc


def test_the_type_checker_sees_the_same_names(root: Path) -> None:
    text = (root / "hydrokit" / "__init__.py").read_text(encoding="utf-8")
    block = text.partition("if TYPE_CHECKING:")[2].partition("__all__")[0]
    assert [name for name in PUBLIC if name not in block] == []


@pytest.mark.parametrize("module", _modules())
def test_every_module_lists_what_it_offers(module: str) -> None:
    loaded = importlib.import_module(module)
    listed = getattr(loaded, "__all__", [])
    own = [name for name, thing in vars(loaded).items() if getattr(thing, "__module__", "") == module]
    assert listed or not own
    assert [name for name in listed if not hasattr(loaded, name)] == []
    assert list(listed) == sorted(listed, key=lambda name: (not name.isupper(), not name[0].isupper(), name))


def test_version_is_that_of_the_package() -> None:
    assert hydrokit.__version__ == version("hydrokit")
