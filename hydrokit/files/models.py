"""pydantic models of what a rig file may hold, made from the specifications of the fields; and its errors as ours.

A model is made when a file first mentions its kind. Fields are read by :mod:`hydrokit.parts.reading`; the model refuses
what is unknown and misses what is required.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from functools import partial
from json import loads
from typing import TYPE_CHECKING, Annotated, Any, Final

from hydrokit.bounds import Choice, Curve, Dimension, FieldSpec, Flag, Spec, choices_of, specs_of
from hydrokit.errors import InputError, Mistake
from hydrokit.files.frames import FRAMES, check_name, near, printable
from hydrokit.files.other_words import english
from hydrokit.parts import END_KINDS, PART_KINDS
from hydrokit.parts.describing import FieldText, described
from hydrokit.parts.reading import read_field, read_text, required, told
from hydrokit.rig import SINGLES

if TYPE_CHECKING:
    from collections.abc import Callable

    from pydantic import BaseModel, ValidationError, ValidationInfo

    from hydrokit.units import Gallon

__all__ = ["ORIGIN", "Checked", "checked", "model_of"]

ORIGIN: Final = (
    'where each value comes from, by field: measured, data sheet, guess; for example origin = { bore = "measured" }'
)
_BARE: Final = (Dimension.NUMBER, Dimension.FRACTION)
_FEW: Final = 3
_OWNERS: Final = {
    **{f"a {kind}" if kind[0] not in "aeiou" else f"an {kind}": cls for kind, cls in (PART_KINDS | END_KINDS).items()},
    **{f"[{name}]": cls for name, cls in SINGLES.items()},
}
_MODELS: Final[dict[type[Any], type[BaseModel]]] = {}  # making one takes a few milliseconds


def _origin(cls: type[Any], raw: object) -> dict[str, str]:
    names = list(specs_of(cls))
    if not isinstance(raw, dict):
        example = f'{{ {names[0]} = "measured" }}'
        raise InputError([Mistake("", told(raw), "a table of fields and where their values come from", example)])
    mistakes: list[Mistake] = []
    for name, word in raw.items():
        if name not in names:
            mistakes.append(
                Mistake(name, f"the key {printable(name)}", f"one of {', '.join(names)}", near(name, names))
            )
            continue
        try:
            read_text(word)
        except InputError as error:
            mistakes.extend(Mistake(name, each.found, each.expected, '"measured"') for each in error.mistakes)
    if mistakes:
        raise InputError(mistakes)
    return dict(raw)


def _type_of(cls: type[Any], name: str, spec: FieldSpec) -> dict[str, Any]:
    if isinstance(spec, Spec):
        return {"type": ["string", "number"] if spec.dimension in _BARE else "string"}
    if isinstance(spec, Curve):
        return _curve_schema(spec)
    if isinstance(spec, Choice):
        return {"enum": list(choices_of(cls, name))}
    return {"type": "boolean" if isinstance(spec, Flag) else "string"}


def _curve_schema(curve: Curve) -> dict[str, Any]:
    pair: dict[str, Any] = {"type": "array", "items": False, "minItems": 2, "maxItems": 2}
    pair["prefixItems"] = [
        {"type": ["string", "number"] if spec.dimension in _BARE else "string", "description": spec.doc}
        for spec in (curve.x, curve.y)
    ]
    many: dict[str, Any] = {"type": "array", "items": pair, "minItems": curve.least}
    return {"anyOf": [many, pair]} if curve.least == 1 else many


def _written(spec: FieldSpec, text: str) -> Any:
    """Return a default as a rig file writes it: text, but for plain numbers and flags."""
    if isinstance(spec, Flag):
        return text == "true"
    return float(text) if isinstance(spec, Spec) and spec.dimension is Dimension.NUMBER else text


def _tell(cls: type[Any], name: str, schema: dict[str, Any]) -> None:
    """Write the schema of a field; only when it is asked for, as putting all into words takes longer than reading a file."""
    schema.pop("default", None)  # the model's own is None
    field = next(each for each in described(cls) if each.name == name)
    schema |= _schema_of(cls, name, field)


def _schema_of(cls: type[Any], name: str, field: FieldText) -> dict[str, Any]:
    spec = specs_of(cls)[name]
    example = f"; for example {name} = {field.example}" if field.example else ""
    schema = _type_of(cls, name, spec) | {"description": f"{field.sentence()}{example}"}
    if field.example and "…" not in field.example:
        schema["examples"] = [loads(field.example)]
    if field.default:
        schema["default"] = _written(spec, field.default)
    return schema


def _model(name: str, entries: dict[str, tuple[Any, Any]]) -> type[BaseModel]:
    from pydantic import ConfigDict, create_model

    made: type[BaseModel] = create_model(name, __config__=ConfigDict(extra="forbid"), **entries)  # type: ignore[call-overload]
    return made


def _kind_model(cls: type[Any]) -> type[BaseModel]:
    from pydantic import BeforeValidator, Field

    needed = required(cls)

    def reader(name: str) -> Callable[[object, ValidationInfo], object]:
        if name == "name":
            return lambda raw, info: check_name(raw)
        return lambda raw, info: read_field(cls, name, raw, info.context)

    entries: dict[str, tuple[Any, Any]] = {}
    for name in specs_of(cls):
        default = ... if name in needed else None
        told = partial(_tell, cls, name)
        entries[name] = (Annotated[Any, BeforeValidator(reader(name))], Field(default, json_schema_extra=told))
    words: dict[str, Any] = {"type": "object", "additionalProperties": {"type": "string"}}
    words |= {"propertyNames": {"enum": list(specs_of(cls))}, "description": ORIGIN}
    origin = Annotated[Any, BeforeValidator(partial(_origin, cls))]
    entries["origin"] = (origin, Field(None, json_schema_extra=words))
    return _model(cls.__name__, entries)


def _frame_model(cls: type[Any]) -> type[BaseModel]:
    from pydantic import BeforeValidator, Field

    frame = FRAMES[cls]
    entries: dict[str, tuple[Any, Any]] = {}
    for name, (reader, doc, _) in frame.keys.items():
        default = ... if name in frame.required else None
        entries[name] = (Annotated[Any, BeforeValidator(reader)], Field(default, description=doc))
    return _model(cls.__name__, entries)


def model_of(cls: type[Any]) -> type[BaseModel]:
    """Return the model of a kind of part, an end or the site; or of a table that holds others."""
    if cls not in _MODELS:
        _MODELS[cls] = _frame_model(cls) if cls in FRAMES else _kind_model(cls)
    return _MODELS[cls]


@dataclass(slots=True)
class Checked:
    """What a table holds once read: the good values, and for each bad key what is wrong with it."""

    values: dict[str, Any]
    faults: list[tuple[str, Mistake]] = field(default_factory=list)
    missing: list[tuple[str, Mistake]] = field(default_factory=list)


def _unknown(key: str, known: list[str]) -> Mistake:
    instead = english(key, known) or near(key, known)
    owners = [] if instead else [kind for kind, cls in _OWNERS.items() if key in specs_of(cls)]
    where = f", which {' or '.join(owners)} has" if 0 < len(owners) <= _FEW else ""
    return Mistake("", f"the key {printable(key)}{where}", f"one of {', '.join(known)}", instead)


def _required(cls: type[Any], key: str) -> Mistake:
    if cls in FRAMES:
        _, doc, example = FRAMES[cls].keys[key]
        return Mistake("", "nothing", f"{key} ({doc})", example)
    spec = specs_of(cls)[key]
    example = spec.example if isinstance(spec, Spec) else ""
    if isinstance(spec, Curve):
        example = f"[[{spec.x.example}, {spec.y.example}]{', …' if spec.least > 1 else ''}]"
    return Mistake("", "nothing", f"{key} ({spec.doc})", f"{key} = {example}" if example else "")


def _translated(cls: type[Any], error: ValidationError, known: list[str], done: Checked) -> None:
    for each in error.errors(include_url=False, include_input=False):
        key = str(each["loc"][0])
        if each["type"] == "missing":
            done.missing.append((key, _required(cls, key)))
        elif each["type"] == "extra_forbidden":
            done.faults.append((key, _unknown(key, known)))
        else:
            ours: InputError = each["ctx"]["error"]
            example = FRAMES[cls].keys[key][2] if cls in FRAMES else ""
            done.faults.extend(
                (key, replace(mistake, instead=mistake.instead + _once(mistake) or example))
                for mistake in ours.mistakes
            )


def _once(mistake: Mistake) -> str:
    """Return what else a file can do about a gallon that may be either: say at its top which one it means."""
    return ", or state which gallon once" if mistake.instead and mistake.found.endswith("which gallon") else ""


def checked(
    cls: type[Any], raw: dict[str, Any], gallon: Gallon | None = None, *, also: tuple[str, ...] = ()
) -> Checked:
    """Return what a table holds, every mistake in it noted.

    Parameters
    ----------
    cls : type
        A kind of part or end, ``Site``; or ``Rig``, ``Line``, ``Mode`` for the tables that hold others.
    raw : dict
        As parsed.
    gallon : {"US", "imperial"}, optional
        Which gallon a bare ``gal`` is.
    also : tuple of str
        Further keys that the caller reads, for the message on an unknown one.

    Notes
    -----
    The place of each mistake is left to the caller, but for the fields that ``origin`` names.
    """
    from pydantic import ValidationError

    model = model_of(cls)
    known = [*also, *model.model_fields]
    try:
        made = model.model_validate(raw, context=gallon)
    except ValidationError as error:
        done = Checked({})
        _translated(cls, error, known, done)
        bad = {key for key, _ in done.faults}
        done.values = {key: value for key, value in raw.items() if key not in bad}
        return done
    return Checked({key: getattr(made, key) for key in raw})
