from __future__ import annotations

import tomllib

import pytest

from hydrokit.bounds import Choice, choices_of, specs_of
from hydrokit.files import demonstration_text, hand_check, schema, starter, write_rig
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.rig import Site


def _part(kind: str) -> dict:
    return next(
        each for each in schema()["$defs"]["part"]["anyOf"] if each["properties"].get("part", {}).get("const") == kind
    )


@pytest.mark.parametrize("kind", PART_KINDS)
def test_each_kind_of_part_has_each_of_its_fields(kind: str) -> None:
    described = _part(kind)
    specs = specs_of(PART_KINDS[kind])
    assert set(described["properties"]) == {"part", "origin", *specs}
    assert all(described["properties"][name]["description"].startswith(spec.doc) for name, spec in specs.items())
    for name, spec in specs.items():
        if isinstance(spec, Choice):
            assert described["properties"][name]["enum"] == list(choices_of(PART_KINDS[kind], name))


@pytest.mark.parametrize(("name", "cls"), [*END_KINDS.items(), ("site", Site)])
def test_each_end_has_each_of_its_fields(name: str, cls: type) -> None:
    assert set(schema()["$defs"][name]["properties"]) == {"origin", *specs_of(cls)}


def test_examples_and_units_are_given() -> None:
    bore = _part("hose")["properties"]["bore"]
    assert bore["examples"] == ["19 mm"]
    assert "mm" in bore["description"]


def test_a_caller_may_change_what_it_gets() -> None:
    schema()["title"] = "changed"
    assert schema()["title"] == "rig file"


def test_it_is_a_schema_that_accepts_what_the_reader_accepts() -> None:
    jsonschema = pytest.importorskip("jsonschema")
    jsonschema.Draft202012Validator.check_schema(schema())
    validator = jsonschema.Draft202012Validator(schema())
    for text in (demonstration_text(), starter(), write_rig(hand_check())):
        validator.validate(tomllib.loads(text))


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("format = 1", "format = 2"),
        ('title = "My rig"', 'titel = "My rig"'),
        ('inlet = "top"', 'inlet = "side"'),
        ('from = "pond"', ""),
        ('volume = "60 L"', "volume = 60"),
        ('part = "strainer", bore', 'part = "strainer", boer'),
        ('part = "strainer"', 'part = "strayner"'),
        ('{ turbidity = "guess" }', '{ turbidty = "guess" }'),
    ],
)
def test_it_refuses_what_the_reader_refuses(old: str, new: str) -> None:
    jsonschema = pytest.importorskip("jsonschema")
    assert old in starter()
    assert not jsonschema.Draft202012Validator(schema()).is_valid(tomllib.loads(starter().replace(old, new, 1)))
