"""What a field may hold, in words: from the same specification that checks it.

The hover text of editors, ``hydrokit explain`` and the reference page of every part all say what stands here.
"""

from __future__ import annotations

from dataclasses import MISSING, dataclass, fields
from typing import TYPE_CHECKING, Any, Final

from hydrokit.bounds import Choice, Curve, Dimension, FieldSpec, Flag, Spec, choices_of, specs_of
from hydrokit.parts.reading import limits_of
from hydrokit.units import listed_units, text_of

if TYPE_CHECKING:
    from collections.abc import Iterator

__all__ = ["FieldText", "described", "first_line"]

_BARE: Final = (Dimension.NUMBER, Dimension.FRACTION)
_SOME_UNITS: Final = 6
_DESCRIBED: Final[dict[type[Any], tuple[FieldText, ...]]] = {}


@dataclass(frozen=True, slots=True, kw_only=True)
class FieldText:
    """What one field of a part, an end or another table may hold, in words.

    Parameters
    ----------
    name : str
        Of the field.
    doc : str
        What it means.
    takes : str
        What may be written: a quantity and its units, one of some words, pairs, text, true or false.
    si_unit : str
        In which answers give it; empty where it has none.
    limits : str
        The least and the greatest that are possible; empty where there are none.
    default : str
        What holds where it is left out; empty where then nothing is known.
    source : str
        Of the default.
    example : str
        As a rig file writes it.
    needed : bool
        Whether it cannot be left out.
    """

    name: str
    doc: str
    takes: str
    si_unit: str
    limits: str
    default: str
    source: str
    example: str
    needed: bool

    def sentence(self) -> str:
        """Return all but name and example as a line of hover text.

        Returns
        -------
        str
            Clauses with semicolons between.
        """
        told = [self.doc, self.takes, self.limits]
        told += [f"left out: {self.default}"] if self.default else []
        told += [f"source: {self.source}"] if self.source else []
        return "; ".join(each for each in told if each)


def first_line(cls: type[Any]) -> str:
    """Return what a kind of part is, in one sentence."""
    return (cls.__doc__ or "").partition("\n")[0]


def _number(spec: Spec) -> str:
    units = listed_units(spec.dimension)
    shown = [*units[:_SOME_UNITS], *(["…"] if len(units) > _SOME_UNITS else [])]
    return f"{spec.dimension.value} in {', '.join(shown)}" if units else spec.dimension.value


def _takes(cls: type[Any], name: str, spec: FieldSpec) -> str:
    if isinstance(spec, Spec):
        return _number(spec)
    if isinstance(spec, Curve):
        return f"pairs of {spec.x.doc} ({_number(spec.x)}) and {spec.y.doc} ({_number(spec.y)}), {spec.wanted()}"
    if isinstance(spec, Choice):
        return f"one of {', '.join(word for word in choices_of(cls, name) if word)}"
    return "true or false" if isinstance(spec, Flag) else "text"


def _default(spec: FieldSpec, value: object) -> str:
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(spec, Spec) and isinstance(value, (int, float)):
        return f"{value:g}" if spec.dimension is Dimension.NUMBER else text_of(float(value), spec.dimension)
    return value if isinstance(value, str) else ""


def _example(cls: type[Any], name: str, spec: FieldSpec) -> str:
    if isinstance(spec, Spec):
        return spec.example
    if isinstance(spec, Curve):
        pair = f"[{spec.x.example}, {spec.y.example}]"
        return f"[{pair}]" if spec.least == 1 else f"[{pair}, …]"
    if isinstance(spec, Choice):
        return f'"{next(word for word in choices_of(cls, name) if word)}"'
    return "true" if isinstance(spec, Flag) else ""


def described(cls: type[Any]) -> tuple[FieldText, ...]:
    """Return what each field of a kind of part, an end or another table may hold, in the order of declaration.

    Parameters
    ----------
    cls : type
        A data class whose fields have specifications.

    Returns
    -------
    tuple of FieldText
        One for each field that a rig file can state.

    Examples
    --------
    >>> from hydrokit.parts import Hose
    >>> roughness = next(each for each in described(Hose) if each.name == "roughness")
    >>> roughness.sentence()
    'height of wall roughness; length in m, mm, cm, km, µm, in, …; 0 m to 100 mm; source: by material'
    """
    if cls not in _DESCRIBED:
        _DESCRIBED[cls] = tuple(_fields(cls))
    return _DESCRIBED[cls]


def _fields(cls: type[Any]) -> Iterator[FieldText]:
    specs = specs_of(cls)
    for item in fields(cls):
        if (spec := specs.get(item.name)) is None:
            continue
        yield FieldText(
            name=item.name,
            doc=spec.doc,
            takes=_takes(cls, item.name, spec),
            si_unit="" if not isinstance(spec, Spec) or spec.dimension in _BARE else spec.dimension.si_unit,
            limits=limits_of(spec) if isinstance(spec, Spec) else "",
            default=_default(spec, item.default),
            source=spec.source if isinstance(spec, Spec) else "",
            example=_example(cls, item.name, spec),
            needed=item.default is MISSING and item.default_factory is MISSING,
        )
