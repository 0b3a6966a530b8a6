"""Ten rigs as files: the schema accepts each, and refuses it once it is broken."""

from __future__ import annotations

import tomllib
from typing import TYPE_CHECKING, Any

import jsonschema
import pytest

from hydrokit.errors import InputError
from hydrokit.files import read_rig, schema, write_rig

if TYPE_CHECKING:
    from collections.abc import Callable

    from hydrokit.rig import Rig

NAMES = (
    "demonstration", "hand check", "gravity", "centrifugal", "hand pump", "looped", "quarantine", "balanced", "high",
    "wide",
)  # fmt: skip


@pytest.fixture(scope="module")
def editor() -> jsonschema.Draft202012Validator:
    return jsonschema.Draft202012Validator(schema())


def _first_part(file: dict[str, Any]) -> dict[str, Any]:
    return next(line["parts"][0] for line in file["lines"].values() if line.get("parts"))


def _without_a_kind(file: dict[str, Any]) -> None:
    part = _first_part(file)
    part.pop("part", None)
    part.pop("use", None)


BREAKS: dict[str, Callable[[dict[str, Any]], object]] = {
    "an unknown key of a part": lambda file: _first_part(file).update(boer="19 mm"),
    "an unknown kind of part": lambda file: _first_part(file).update(part="horse"),
    "a part of no kind": _without_a_kind,
    "a line that ends nowhere": lambda file: next(iter(file["lines"].values())).pop("to"),
    "a number without a unit": lambda file: file.setdefault("site", {}).update(altitude=140),
    "an unknown table": lambda file: file.update(pipes={}),
    "another format": lambda file: file.update(format=2),
}


@pytest.mark.parametrize("name", NAMES)
def test_the_schema_accepts_every_rig(
    ten_rigs: dict[str, Rig], editor: jsonschema.Draft202012Validator, name: str
) -> None:
    assert set(ten_rigs) == set(NAMES)
    text = write_rig(ten_rigs[name])
    editor.validate(tomllib.loads(text))
    assert read_rig(text) == ten_rigs[name]


@pytest.mark.parametrize("breaks", BREAKS)
@pytest.mark.parametrize("name", NAMES)
def test_the_schema_refuses_every_rig_once_it_is_broken(
    ten_rigs: dict[str, Rig], editor: jsonschema.Draft202012Validator, name: str, breaks: str
) -> None:
    file = tomllib.loads(write_rig(ten_rigs[name]))
    BREAKS[breaks](file)
    assert not editor.is_valid(file)


def test_what_the_schema_cannot_know_the_reader_refuses(editor: jsonschema.Draft202012Validator) -> None:
    text = 'format = 1\n[lines.intake]\nfrom = "pond"\nto = "can"\n'
    editor.validate(tomllib.loads(text))
    with pytest.raises(InputError, match="pond"):
        read_rig(text)
