"""The sources of the reference; ``make docs`` builds the pages."""

from __future__ import annotations

import re
from importlib.util import module_from_spec, spec_from_file_location
from typing import TYPE_CHECKING

import pytest

import hydrokit
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.describing import described
from hydrokit.rig import ASIDE, SINGLES
from hydrokit.rules import RULES
from hydrokit.terms import all_terms

if TYPE_CHECKING:
    from pathlib import Path


@pytest.fixture(scope="module")
def pages(root: Path) -> dict[str, str]:
    """Return the source of every page by its name."""
    spec = spec_from_file_location("reference", root / "tests" / "project" / "reference.py")
    assert spec is not None
    assert spec.loader is not None
    module = module_from_spec(spec)
    spec.loader.exec_module(module)
    made: dict[str, str] = module.pages()
    return made


def test_every_kind_has_its_fields_with_limits_default_and_example(pages: dict[str, str]) -> None:
    parts = pages["parts"].split("\n")
    for word, cls in {**PART_KINDS, **END_KINDS, **SINGLES, **ASIDE}.items():
        start = next(place for place, line in enumerate(parts) if line == word and parts[place + 1].startswith("--"))
        rest = parts[start:]
        for field in described(cls):
            row = rest.index(f"   * - ``{field.name}``")
            cells = [line.strip(" -").replace("\\", "") for line in rest[row + 1 : row + 6]]
            assert cells[0].startswith(field.doc.replace("`", "'"))
            assert cells[2:] == [
                field.limits.lstrip("-"),
                "must be stated" if field.needed else field.default,
                f"``{field.example}``" if field.example else "",
            ]


def test_every_rule_and_term_has_its_source(pages: dict[str, str]) -> None:
    plain = {name: text.replace("\\", "") for name, text in pages.items()}
    for rule in RULES:
        assert f"\n{rule.name}\n--" in plain["rules"]
        assert f"``{rule.formula}``" in plain["rules"]
        assert f"Source: {rule.source}." in plain["rules"]
    for term in all_terms():
        assert f"\n{term.word}\n   " in plain["glossary"]
        assert f"Source: {term.source}." in plain["glossary"]


def test_every_public_name_and_every_law_has_a_place(pages: dict[str, str], root: Path) -> None:
    listed = set(re.findall(r"auto(?:function|class):: hydrokit\.(\w+)", pages["public"]))
    assert listed == {*hydrokit.__all__} - {"__version__"}
    laws = {path.stem for path in (root / "hydrokit" / "laws").glob("*.py")} - {"__init__", "elementwise"}
    assert {name.removeprefix("laws-") for name in pages if name.startswith("laws-")} == laws
    assert all(f"   {name}\n" in pages["index"] for name in pages if name != "index")


def test_no_page_needs_the_network(pages: dict[str, str]) -> None:
    assert "://" not in "".join(pages.values())
