"""Scalar functions over arrays."""

from __future__ import annotations

import numpy as np

from hydrokit.laws.elementwise import elementwise, plain


def test_floats_give_a_float() -> None:
    value = elementwise(lambda a, b: a / b, 3.0, 2.0)
    assert type(value) is float
    assert value == 1.5


def test_arguments_broadcast() -> None:
    value = elementwise(lambda a, b: a / b, np.array([[1.0], [2.0]]), np.array([1.0, 2.0, 4.0]))
    assert value.tolist() == [[1.0, 0.5, 0.25], [2.0, 1.0, 0.5]]


def test_each_distinct_set_is_computed_once() -> None:
    calls = []

    def seen(bore: float) -> float:
        calls.append(bore)
        return bore * 2.0

    assert elementwise(seen, np.tile([1.0, 2.0], 1000)).tolist() == [2.0, 4.0] * 1000
    assert sorted(calls) == [1.0, 2.0]


def test_empty_array_stays_empty() -> None:
    assert elementwise(lambda a: a, np.empty((0, 3))).shape == (0, 3)


def test_plain_gives_python_floats() -> None:
    assert type(plain(np.float64(2.0))) is float
    assert plain(np.array([1, 2])).dtype == np.float64
