"""The JSON Schema of a rig file, for editors that complete and check as one types."""

from __future__ import annotations

from functools import cache
from typing import Any, Final

from hydrokit.bounds import specs_of
from hydrokit.catalogue import generic_parts
from hydrokit.files.frames import FRAMES
from hydrokit.files.models import ORIGIN, model_of
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.describing import first_line
from hydrokit.parts.reading import required
from hydrokit.rig import ASIDE, SINGLES, Line, Mode, Rig

__all__ = ["schema"]

_DIALECT: Final = "https://json-schema.org/draft/2020-12/schema"
_NAMES: Final = {"minLength": 1, "maxLength": 60, "description": "letters, digits, - and _"}
_TEXTS: Final = {"type": "array", "items": {"type": "string"}}
_PLAIN: Final[dict[str, dict[str, Any]]] = {
    "format": {"const": 1},
    "title": {"type": "string"},
    "note": {"type": "string"},
    "gallon": {"enum": ["US", "imperial"]},
    "from": {"type": "string", **_NAMES},
    "to": {"type": "string", **_NAMES},
    "enters": {"enum": ["top", "bottom"]},
    "closed": _TEXTS,
    "off": _TEXTS,
    "set": {"type": "object", "additionalProperties": {"type": ["string", "number"]}},
}


def _without_noise(schema: dict[str, Any]) -> dict[str, Any]:
    """Take away the titles and the defaults of None that pydantic adds."""

    def is_noise(key: str, value: object) -> bool:
        return key == "title" or (key == "default" and value is None)

    fields = {
        name: {key: value for key, value in field.items() if not is_noise(key, value)}
        for name, field in schema["properties"].items()
    }
    return {**schema, "properties": fields}


def _kind(cls: type[Any]) -> dict[str, Any]:
    schema = _without_noise(model_of(cls).model_json_schema())
    return {**schema, "title": getattr(cls, "kind", cls.__name__.lower()), "description": first_line(cls)}


def _part(cls: type[Any]) -> dict[str, Any]:
    """Return the schema of a part that may leave fields out, being described once and used in lines."""
    schema = _kind(cls)
    kind = {"const": cls.kind, "description": schema["description"]}
    return {**schema, "properties": {"part": kind, **schema["properties"]}, "required": ["part"]}


def _word(cls: type[Any]) -> str:
    return str(cls.kind).replace(" ", "-")  # no blanks in a reference


def _use(*, whole: bool) -> dict[str, Any]:
    docs: dict[str, dict[str, None]] = {}
    for cls in PART_KINDS.values():
        for name, spec in specs_of(cls).items():
            docs.setdefault(name, {})[spec.doc] = None
    where = "under [parts] or in the catalogue" if whole else "in the catalogue"
    use = {"type": "string", "description": f"name of a part {where}", "examples": list(generic_parts())}
    fields: dict[str, Any] = {
        name: {"description": f"{', or '.join(told)}; goes before what the used part says"}
        for name, told in docs.items()
    }
    origin = {"type": "object", "additionalProperties": {"type": "string"}, "description": ORIGIN}
    properties = {"use": use, **fields, "origin": origin}
    return {
        "title": "part used by name",
        "type": "object",
        "properties": properties,
        "required": ["use"],
        "additionalProperties": False,
    }


def _any_part(*, whole: bool) -> dict[str, Any]:
    kinds = PART_KINDS.values()
    word = {"enum": list(PART_KINDS), "description": "kind of part"}
    parts = [
        {"$ref": f"#/$defs/{_word(cls)}"} | ({"required": ["part", *required(cls)]} if whole else {}) for cls in kinds
    ]
    return {"type": "object", "properties": {"part": word}, "anyOf": [*parts, _use(whole=whole)]}


def _frame(cls: type[Any], inner: dict[str, dict[str, Any]]) -> dict[str, Any]:
    frame = FRAMES[cls]
    properties = {
        key: {
            **{**_PLAIN, **inner}[key],
            "description": f"{doc}; for example {example}" if example else doc,
        }
        for key, (_, doc, example) in frame.keys.items()
    }
    needed = [key for key in frame.keys if key in frame.required]
    return {"type": "object", "properties": properties, "required": needed, "additionalProperties": False}


def _group(name: str) -> dict[str, Any]:
    return {"type": "object", "propertyNames": _NAMES, "additionalProperties": {"$ref": f"#/$defs/{name}"}}


@cache
def _schema() -> dict[str, Any]:
    line = _frame(Line, {"parts": {"type": "array", "items": {"$ref": "#/$defs/part"}}})
    definitions = {
        "part": _any_part(whole=True),
        "described-once": _any_part(whole=False),
        **{_word(cls): _part(cls) for cls in PART_KINDS.values()},
        **{kind: _kind(cls) for kind, cls in END_KINDS.items()},
        "line": line,
        "mode": _frame(Mode, {}),
        **{group: _kind(cls) for group, cls in ASIDE.items()},
        **{name: _kind(cls) for name, cls in SINGLES.items()},
    }
    groups = {f"{kind}s": _group(kind) for kind in (*END_KINDS, "line", "mode")} | {
        group: _group(group) for group in ASIDE
    }
    singles = {name: {"$ref": f"#/$defs/{name}"} for name in SINGLES}
    top = _frame(Rig, {**groups, **singles, "parts": _group("described-once")})
    return {"$schema": _DIALECT, "title": "rig file", **top, "$defs": definitions}


def schema() -> dict[str, Any]:
    """Return the JSON Schema of a rig file, made from the specifications of the fields.

    Returns
    -------
    dict
        JSON Schema, draft 2020-12. It knows keys, kinds and choices; units and limits are checked by ``read_rig``.

    Examples
    --------
    >>> sorted(schema()["required"])
    ['format', 'lines']
    """
    from copy import deepcopy

    return deepcopy(_schema())
