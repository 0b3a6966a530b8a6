"""Arguments against annotations: everything wrong in one error, nothing from a dependency."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Any, Literal, Protocol, runtime_checkable

import numpy as np
import pytest

from hydrokit.arguments import as_annotated
from hydrokit.bounds import Array, Dimension, Real
from hydrokit.errors import RangeError

if TYPE_CHECKING:
    from collections.abc import Iterator, Mapping, Sequence

    from hydrokit.rig import Rig

Word = Literal["up", "down"]


@as_annotated
def asked(  # noqa: PLR0917  every kind of annotation once
    rig: Rig | None = None,
    word: Word = "up",
    names: Sequence[str] = (),
    changed: Mapping[str, float] | None = None,
    ends: tuple[float, float] | None = None,
    shares: tuple[float, ...] = (),
    flow: Real = 1.0,
    head: Array | None = None,
    count: int = 1,
    path: str | Path = "",
    *more: float,
    dimension: Dimension = Dimension.FLOW,
    sure: bool = False,
    anything: object = None,
) -> tuple[Any, ...]:
    return rig, word, names, changed, ends, shares, flow, head, count, path, more, dimension, sure, anything


@runtime_checkable
class Closes(Protocol):
    """What can be closed."""

    def close(self) -> None:
        """Close it."""


@as_annotated
def close_it(door: Closes) -> str:
    door.close()
    return "closed"


def mistakes_of(**given: object) -> list[tuple[str, str, str, str]]:
    with pytest.raises(RangeError) as caught:
        asked(**given)  # type: ignore[arg-type]
    return [(mistake.place, mistake.found, mistake.expected, mistake.instead) for mistake in caught.value.mistakes]


def test_what_fits_reaches_the_function() -> None:
    given: tuple[Any, ...] = (
        None,
        "up",
        ["a"],
        {"a.b": 1},
        (0, 1.5),
        [],
        np.float32(2.0),
        np.ones(2),
        np.int64(2),
        Path(),
    )
    assert asked(*given, 3.0, dimension="length", anything=len)[:10] == given  # type: ignore[arg-type]


def test_every_argument_that_is_wrong_is_told_at_once() -> None:
    assert [place for place, *_ in mistakes_of(rig=1, word=None, count=1.5, sure=1, path=3)] == [
        "rig",
        "word",
        "count",
        "sure",
        "path",
    ]


@pytest.mark.parametrize(
    ("given", "told"),
    [
        ({"rig": "pond.toml"}, ("rig", "'pond.toml'", "a Rig or None", "load_rig('pond.toml')")),
        ({"names": "intake"}, ("names", "'intake'", "a tuple or list", "['intake']")),
        ({"names": ["a", 1]}, ("names", "1", "text", "")),
        ({"changed": {"a.b": "3 m"}}, ("a.b", "'3 m'", "a finite number", "si(…), which reads text and quantities")),
        ({"changed": {1: 2.0}}, ("changed", "the name 1", "text", "")),
        ({"ends": (1.0,)}, ("ends", "(1.0,)", "a tuple or list of 2 or None", "")),
        ({"ends": (1.0, float("nan"))}, ("ends", "nan", "a finite number", "")),
        ({"shares": 0.5}, ("shares", "0.5", "a tuple or list", "")),
        ({"flow": [1.0]}, ("flow", "[1.0]", "a number or a numpy array of numbers", "numpy.array([1.0])")),
        ({"flow": True}, ("flow", "True", "a number or a numpy array of numbers", "")),
        ({"head": 1.0}, ("head", "1.0", "a numpy array of numbers or None", "")),
        ({"dimension": "lenght"}, ("dimension", "'lenght'", "a Dimension or its word", "")),
        ({"count": True}, ("count", "True", "a whole number", "")),
    ],
)
def test_message(given: dict[str, object], told: tuple[str, str, str, str]) -> None:
    assert mistakes_of(**given) == [told]


def test_arrays_of_shapes_that_do_not_go_together() -> None:
    ((place, found, expected, _),) = mistakes_of(flow=np.ones(2), head=np.ones(3))
    assert (place, found) == ("flow, head", "shapes flow (2,), head (3,)")
    assert expected == "shapes that broadcast against each other"
    assert asked(flow=np.ones((2, 1)), head=np.ones(3))


def test_each_of_any_number_of_arguments_is_looked_at() -> None:
    with pytest.raises(RangeError, match="more: found None, expected a finite number"):
        asked(None, "up", (), None, None, (), 1.0, None, 1, "", 1.0, None)  # type: ignore[arg-type]


def test_a_protocol_is_met_by_whatever_does_the_same() -> None:
    class Closing:
        def close(self) -> None: ...

    assert close_it(Closing()) == "closed"
    with pytest.raises(RangeError, match="door: found 1, expected a Closes"):
        close_it(1)  # type: ignore[arg-type]


def test_a_container_that_is_not_known_is_a_fault_of_the_author() -> None:
    @as_annotated
    def count(things: Iterator[int]) -> int:
        return len(list(things))

    with pytest.raises(NotImplementedError, match="Iterator"):
        count(iter([1]))


def test_words_that_the_function_does_not_take_are_refused_by_python() -> None:
    with pytest.raises(TypeError, match="unexpected keyword"):
        asked(flows=1.0)  # type: ignore[call-arg]
