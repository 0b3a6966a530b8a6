"""Checks the arguments of public functions against their annotations, and tells all that is wrong in one error.

What is checked is the kind of each value (text, a finite number, an array, a rig) and whether arrays broadcast; limits are
left to the function. Annotations are read as text, so that no module is imported for them. A name in them that the
function's own module does not hold at run time is taken for a class and compared with the value's class by name; so
aliases, enumerations and protocols must be imported at run time, not under ``TYPE_CHECKING`` alone.
"""

from __future__ import annotations

import ast
import inspect
import math
import os
import reprlib
import sys
from collections.abc import Callable, Collection, Mapping
from dataclasses import dataclass, fields, replace
from enum import StrEnum
from functools import wraps
from types import UnionType
from typing import Any, Final, Literal, ParamSpec, TypeVar, get_args, get_origin

import numpy as np

from hydrokit.bounds import Mistakes, number_of
from hydrokit.errors import RangeError

__all__ = ["as_annotated", "check_kinds"]

_Given = ParamSpec("_Given")
_Answer = TypeVar("_Answer")


@dataclass(frozen=True, slots=True)
class _Kind:
    """One alternative of an annotation: its words in messages, its check, and the kinds that its items may be of."""

    told: str
    fits: Callable[[Any], bool]
    items: _Kinds | None = None
    sure: tuple[type, ...] = ()
    """Classes whose values always pass, so that the check is skipped."""


_Kinds = tuple[_Kind, ...]


@dataclass(frozen=True, slots=True)
class _Parameter:
    """The alternatives of one parameter, whether it is a starred one, and the classes whose values always pass."""

    kinds: _Kinds
    several: bool
    sure: frozenset[type]


def _is_number(value: object) -> bool:
    number = number_of(value)
    return number is not None and math.isfinite(number)


def _is_float(value: object) -> bool:
    """Return True for a number that fits into a float, NaN and infinity included."""
    return isinstance(value, float | np.floating) or (not isinstance(value, np.ndarray) and _is_number(value))


def _is_array(value: object) -> bool:
    return isinstance(value, np.ndarray) and value.dtype.kind in "fiu"


def _is_collection(value: object) -> bool:
    return isinstance(value, Collection) and not isinstance(value, str | bytes | np.ndarray | Mapping)


_ANYTHING: Final = _Kind("anything", lambda _: True)
_TEXT: Final = _Kind("text", lambda value: isinstance(value, str), sure=(str,))
_ARRAY: Final = _Kind("a numpy array of numbers", _is_array)
_NAMES: Final[dict[str, _Kinds]] = {
    "float": (_Kind("a finite number", _is_number),),
    "int": (
        _Kind("a whole number", lambda value: isinstance(value, int | np.integer) and not isinstance(value, bool)),
    ),
    "bool": (_Kind("True or False", lambda value: isinstance(value, bool | np.bool_), sure=(bool,)),),
    "str": (_TEXT,),
    "Path": (_Kind("a path", lambda value: isinstance(value, os.PathLike)),),
    "Real": (_Kind("a number", _is_float, sure=(float,)), _ARRAY),  # limits refuse NaN
    "Array": (_ARRAY,),
    "Any": (_ANYTHING,),
    "object": (_ANYTHING,),
}


def _one(name: str) -> str:
    return f"{'an' if name[0] in 'AEIOU' else 'a'} {name}"


def _class_named(name: str) -> _Kind:
    return _Kind(_one(name), lambda value: any(cls.__name__ == name for cls in type(value).__mro__))


def _class_known(cls: type) -> _Kind:
    return _Kind(_one(cls.__name__), lambda value: isinstance(value, cls))


def _kinds_of_name(name: str, known: Mapping[str, Any]) -> _Kinds:
    if name in _NAMES:
        return _NAMES[name]
    meant = known.get(name)
    if isinstance(meant, str):  # an alias that is itself written as text
        return _kinds(ast.parse(meant, mode="eval").body, known)
    if get_origin(meant) is Literal:
        return (_TEXT,)  # the function refuses words that are not listed
    if isinstance(meant, type) and issubclass(meant, StrEnum):
        words = frozenset(meant)
        return (_Kind(f"a {name} or its word", lambda value: isinstance(value, str) and value in words),)
    if isinstance(meant, UnionType):
        return tuple(_class_known(cls) for cls in get_args(meant))
    return (_class_known(meant) if isinstance(meant, type) else _class_named(name),)


def _kinds_of_container(name: str, inside: ast.expr, known: Mapping[str, Any]) -> _Kinds:
    """Return the one alternative of an annotation with brackets.

    Raises
    ------
    NotImplementedError
        If no function of hydrokit takes such a container.
    """
    items = inside.elts if isinstance(inside, ast.Tuple) else [inside]
    if name == "Literal":
        return (_TEXT,)
    if name == "type":
        return (_Kind("a class", lambda value: isinstance(value, type)),)
    if name == "Callable":
        return (_Kind("a function", callable),)
    if name == "Mapping":
        return (_Kind("a mapping", lambda value: isinstance(value, Mapping), _kinds(items[1], known)),)
    if name not in {"Sequence", "Collection", "tuple"}:
        raise NotImplementedError(name)
    counted = name == "tuple" and not (isinstance(items[-1], ast.Constant) and items[-1].value is ...)
    size = f" of {len(items)}" if counted else ""
    fits = (lambda value: _is_collection(value) and len(value) == len(items)) if counted else _is_collection
    held = tuple(replace(kind, items=None) for kind in _kinds(items[0], known))  # the function says which pair is wrong
    return (_Kind(f"a tuple or list{size}", fits, held),)


def _kinds(node: ast.expr, known: Mapping[str, Any]) -> _Kinds:
    """Return the alternatives of an annotation.

    Raises
    ------
    NotImplementedError
        If it is written in a way that no annotation of hydrokit is.
    """
    match node:
        case ast.BinOp(left=left, op=ast.BitOr(), right=right):
            return (*_kinds(left, known), *_kinds(right, known))
        case ast.Constant(value=None):
            return (_Kind("None", lambda value: value is None, sure=(type(None),)),)
        case ast.Name(id=name):
            return _kinds_of_name(name, known)
        case ast.Subscript(value=ast.Name(id=name), slice=inside):
            return _kinds_of_container(name, inside, known)
    raise NotImplementedError(ast.unparse(node))


def _instead(value: object, kinds: _Kinds) -> str:
    told = {kind.told for kind in kinds}
    if "a Rig" in told and isinstance(value, str | os.PathLike):
        return f"load_rig({str(value)!r})"
    if _ARRAY.told in told and isinstance(value, list | tuple) and value:
        return f"numpy.array({reprlib.repr(value)})"
    if told & {"a number", "a finite number"} and (isinstance(value, str) or hasattr(value, "units")):
        return "si(…), which reads text and quantities"
    return f"[{reprlib.repr(value)}]" if "a tuple or list" in told and isinstance(value, str) else ""


def _place_in(place: str, name: str | None) -> str:
    """Return what an item is called in messages: its name alone where that is an address, else place and name."""
    if name is None:
        return place
    return name if "." in name else f"{place}.{name}"


def _look(place: str, value: Any, kinds: _Kinds, mistakes: Mistakes) -> None:
    kind = next((kind for kind in kinds if kind.fits(value)), None)
    if kind is None:
        expected = " or ".join(kind.told for kind in kinds)
        mistakes.add(place, reprlib.repr(value), expected, _instead(value, kinds))
    elif kind.items is not None:
        named = value.items() if isinstance(value, Mapping) else ((None, item) for item in value)
        for name, item in named:
            if name is not None and not isinstance(name, str):
                mistakes.add(place, f"the name {name!r}", "text")
            else:
                _look(_place_in(place, name), item, kind.items, mistakes)


def _fit_together(given: Mapping[str, Any], mistakes: Mistakes) -> None:
    shapes = {name: value.shape for name, value in given.items()}
    try:
        np.broadcast_shapes(*shapes.values())
    except ValueError:
        found = ", ".join(f"{name} {shape}" for name, shape in shapes.items())
        mistakes.add(", ".join(shapes), f"shapes {found}", "shapes that broadcast against each other")


def _parameters_of(function: Callable[..., Any]) -> dict[str, _Parameter]:
    known = vars(sys.modules[function.__module__])
    found = {}
    for name, item in inspect.signature(function).parameters.items():
        if item.kind is not item.VAR_KEYWORD:
            kinds = _kinds(ast.parse(item.annotation, mode="eval").body, known)
            several = item.kind is item.VAR_POSITIONAL
            sure = frozenset(() if several else (cls for kind in kinds for cls in kind.sure))
            found[name] = _Parameter(kinds, several, sure)
    return found


def _refuse(doubtful: Mapping[str, Any], parameters: Mapping[str, _Parameter]) -> None:
    """Check some of the arguments.

    Raises
    ------
    RangeError
        Listing every one that is wrong.
    """
    mistakes = Mistakes()
    for name, value in doubtful.items():
        for one in value if parameters[name].several else (value,):
            _look(name, one, parameters[name].kinds, mistakes)
    arrays = {name: value for name, value in doubtful.items() if isinstance(value, np.ndarray)}
    if len(arrays) > 1 and not mistakes.found:
        _fit_together(arrays, mistakes)
    mistakes.settle(RangeError)


def as_annotated(function: Callable[_Given, _Answer]) -> Callable[_Given, _Answer]:
    """Refuse arguments that are not what the function's annotations say, before it is called.

    Parameters
    ----------
    function : callable
        Its annotations are texts, as ``from __future__ import annotations`` makes them.

    Returns
    -------
    callable
        The same function; it raises RangeError, listing every argument that is wrong, before a dependency meets one.

    Examples
    --------
    >>> @as_annotated
    ... def column(height: Real, density: float = 998.0) -> Real:
    ...     return height * density * 9.80665
    >>> column(1.0)
    9787.
    >>> column([1.0, 2.0], density="heavy")
    Traceback (most recent call last):
        ...
    hydrokit.errors.RangeError: height: found [1.0, 2.0], expected a number or a numpy array of numbers; write numpy.array([1.0, 2.0])
    density: found 'heavy', expected a finite number; write si(…), which reads text and quantities
    """
    parameters: dict[str, _Parameter] = {}  # read on the first call, to keep imports quick

    @wraps(function)
    def looked_at(*args: _Given.args, **kwargs: _Given.kwargs) -> _Answer:
        if not parameters:
            parameters.update(_parameters_of(function))
        given = {**_named(args, parameters), **kwargs} if args else kwargs
        doubtful = {
            name: value
            for name, value in given.items()  # Python itself refuses a name that is no parameter
            if name in parameters and type(value) not in parameters[name].sure
        }
        if doubtful:
            _refuse(doubtful, parameters)
        return function(*args, **kwargs)

    return looked_at


_FIELDS: Final[dict[type[Any], dict[str, _Kinds]]] = {}


def check_kinds(instance: object) -> None:
    """Refuse a data class whose fields are not what their annotations say.

    Fields with a specification, and the items of a mapping or tuple, are checked elsewhere.

    Raises
    ------
    RangeError
        Listing every field that is wrong.
    """
    cls = type(instance)
    if cls not in _FIELDS:
        known = vars(sys.modules[cls.__module__])
        written = {item.name: str(item.type) for item in fields(cls)}  # type: ignore[arg-type]  # of data classes only
        _FIELDS[cls] = {
            name: tuple(replace(kind, items=None) for kind in _kinds(ast.parse(text, mode="eval").body, known))
            for name, text in written.items()
            if not text.startswith("Annotated")
        }
    mistakes = Mistakes()
    for name, kinds in _FIELDS[cls].items():
        _look(name, getattr(instance, name), kinds, mistakes)
    mistakes.settle(RangeError)


def _named(args: tuple[object, ...], parameters: Mapping[str, _Parameter]) -> dict[str, Any]:
    """Return positional arguments by name; a starred parameter takes all that are left."""
    named: dict[str, Any] = {}
    for place, (name, parameter) in enumerate(parameters.items()):
        if parameter.several:
            return {**named, name: args[place:]}
        if place == len(args):
            break
        named[name] = args[place]
    return named
