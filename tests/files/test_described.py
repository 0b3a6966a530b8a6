from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING

import pytest

from hydrokit.bounds import Choice, Spec, choices_of, specs_of
from hydrokit.files import demonstration_text, hand_check, schema, starter, write_rig
from hydrokit.files.models import model_of
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.reading import read_field, required
from hydrokit.rig import ASIDE, SINGLES, Site

if TYPE_CHECKING:
    from collections.abc import Iterator


def _part(kind: str) -> dict:
    word = kind.replace(" ", "-")
    used = {"$ref": f"#/$defs/{word}", "required": ["part", *required(PART_KINDS[kind])]}
    assert used in schema()["$defs"]["part"]["anyOf"]
    return schema()["$defs"][word]


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


def test_hover_text_says_meaning_units_range_default_source_and_an_example() -> None:
    speed = _part("diaphragm pump")["properties"]["speed"]
    assert speed["description"] == (
        'speed over that of the data sheet; fraction in %; 1 % to 500 %; left out: 100 %; for example speed = "90 %"'
    )
    assert speed["default"] == "100 %"
    assert "source: by material" in _part("hose")["properties"]["roughness"]["description"]
    assert _part("strainer")["properties"]["k"]["default"] == 2.0
    assert schema()["$defs"]["tank"]["properties"]["carried"]["default"] is True


def _hovers(found: object) -> Iterator[tuple[str, dict]]:
    if isinstance(found, list):
        for each in found:
            yield from _hovers(each)
    elif isinstance(found, dict):
        properties = found.get("properties", {})
        yield from properties.items()
        for each in [*properties.values(), *(value for key, value in found.items() if key != "properties")]:
            yield from _hovers(each)


def test_every_key_has_hover_text() -> None:
    listed = list(_hovers(schema()))
    assert len(listed) > 400
    assert [name for name, key in listed if not key.get("description")] == []


@pytest.mark.parametrize("cls", [*PART_KINDS.values(), *END_KINDS.values(), *SINGLES.values(), *ASIDE.values()])
def test_examples_and_defaults_are_what_the_reader_reads(cls: type) -> None:
    properties = model_of(cls).model_json_schema()["properties"]
    for name, spec in specs_of(cls).items():
        written = [*properties[name].get("examples", ()), properties[name].get("default")]
        assert written[1:] or not isinstance(spec, Spec), f"{name} has no example"
        for each in written:
            if each is not None:
                read_field(cls, name, each)


def test_kinds_can_be_completed() -> None:
    assert schema()["$defs"]["part"]["properties"]["part"]["enum"] == list(PART_KINDS)


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
