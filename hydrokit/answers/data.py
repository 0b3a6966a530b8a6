"""Answers as plain data: SI numbers with the unit beside each, no NaN, stable keys."""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import fields, is_dataclass
from enum import Enum
from typing import Any

import numpy as np

from hydrokit.answers.phrases import Phrase
from hydrokit.bounds import Spec, specs_of
from hydrokit.units import unit_of

__all__ = ["VARIED", "as_data", "finite_or_none"]

VARIED = frozenset(
    {
        "value",
        "limit",
        "low",
        "median",
        "high",
        "spread",
        "sampling_error",
        "stated",
        "foretold",
        "sure_from",
        "lost_from",
    }
)
"""Fields in the unit of the dimension that stands beside them."""


def finite_or_none(value: Any) -> float | None:
    """Return a number, or None where it is not finite: what is not known stands in arrays as NaN, in answers as None.

    Examples
    --------
    >>> finite_or_none(np.float64(1.5)), finite_or_none(np.nan)
    (1.5, None)
    """
    return float(value) if np.isfinite(value) else None


def _number(value: float | np.floating[Any] | np.integer[Any]) -> float | int | None:
    plain = value.item() if isinstance(value, np.generic) else value
    return plain if math.isfinite(plain) else None


def _measured(value: Any, unit: str) -> Any:
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if isinstance(value, (list, tuple)):
        return {"value": [None if item is None else _number(item) for item in value], "unit": unit}
    return {"value": None if value is None else _number(value), "unit": unit}


def _fields(instance: Any) -> dict[str, Any]:
    specs = specs_of(type(instance))
    found: dict[str, Any] = {}
    for item in fields(instance):
        value, spec = getattr(instance, item.name), specs.get(item.name)
        found[item.name] = _measured(value, unit_of(spec.dimension)) if isinstance(spec, Spec) else as_data(value)
    return found


def _varied(instance: Any) -> dict[str, Any]:
    """Return the fields of something that carries its own dimension, which differs from one to the next."""
    unit = unit_of(instance.dimension)
    return {
        item.name: _measured(getattr(instance, item.name), unit)
        if item.name in VARIED
        else as_data(getattr(instance, item.name))
        for item in fields(instance)
    }


def _plain(value: Any) -> Any:
    """Return what is neither an answer nor a part of one: a number, text, or a collection of them."""
    if isinstance(value, Mapping):
        return {str(key): as_data(item) for key, item in value.items()}
    if isinstance(value, np.ndarray):
        value = value.tolist()
    if isinstance(value, (list, tuple)):
        return [as_data(item) for item in value]
    return value if isinstance(value, (bool, str)) or value is None else _number(value)


def as_data(value: Any) -> Any:
    """Return a value as dicts, lists, texts and numbers that JSON can hold.

    A field declared with a ``Spec`` becomes ``{"value": …, "unit": …}`` in SI; so do value, limit and the like of what carries its
    own ``dimension``. What is not finite becomes None.
    """
    if isinstance(value, Phrase):
        return value.said()
    if is_dataclass(value) and not isinstance(value, type):
        return _varied(value) if hasattr(value, "dimension") else _fields(value)
    return value.value if isinstance(value, Enum) else _plain(value)
