"""Every public function and every law refuses, by its name, an argument of the wrong kind; nothing reaches a dependency."""

from __future__ import annotations

import importlib
import inspect
import pkgutil
from typing import TYPE_CHECKING, Any

import pytest

import hydrokit
import hydrokit.laws
from hydrokit.errors import InputError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator

KERNELS = {  # called with what is checked already, millions of times: nothing is looked at again
    *("bore_area", "bridged_group", "elementwise", "fixed_group", "friction_group", "gain"),
    *("monotone_slopes", "plain", "turbulent_group"),
}


def _offered() -> Iterator[Callable[..., Any]]:
    for name in hydrokit.__all__:
        if inspect.isfunction(thing := getattr(hydrokit, name)):
            yield thing
    for found in pkgutil.iter_modules(hydrokit.laws.__path__):
        module = importlib.import_module(f"hydrokit.laws.{found.name}")
        for name in module.__all__:
            if name not in KERNELS and inspect.isfunction(thing := getattr(module, name)):
                yield thing


def _cases() -> Iterator[Any]:
    for function in _offered():
        for place, item in enumerate(inspect.signature(function).parameters.values()):
            if item.kind is not item.VAR_KEYWORD and item.annotation not in {"object", "Any"}:
                yield pytest.param(function, item, place, id=f"{function.__name__}-{item.name}")


@pytest.mark.parametrize(("function", "item", "place"), list(_cases()))
def test_what_is_of_no_kind_at_all_is_refused(
    function: Callable[..., Any], item: inspect.Parameter, place: int
) -> None:
    named = item.kind in {item.KEYWORD_ONLY, item.POSITIONAL_OR_KEYWORD}
    with pytest.raises(InputError) as caught:
        function(**{item.name: object()}) if named else function(*[object()] * (place + 1))
    assert item.name in [mistake.place for mistake in caught.value.mistakes]


RIG = hydrokit.demonstration()


@pytest.mark.parametrize(
    ("ask", "told"),
    [
        (lambda: hydrokit.check("rig.toml"), r"rig: found 'rig.toml', expected a Rig; write load_rig\('rig.toml'\)"),
        (lambda: hydrokit.check(RIG, 3), "mode: found 3, expected text or None"),
        (lambda: hydrokit.check(RIG, changed={"site.altitude": "10 m"}), "site.altitude: found '10 m', expected a fin"),
        (lambda: hydrokit.bore(RIG, lines="intake"), r"lines: found 'intake', .* write \['intake'\]"),
        (lambda: hydrokit.wear(RIG, flush=float("nan")), "flush: found nan, expected a finite number"),
        (lambda: hydrokit.compare(RIG, None), "rigs: found None, expected a Rig"),
        (lambda: hydrokit.solve(RIG, variation={"site.altitude": [0.0, 1.0]}), r"write numpy.array\(\[0.0, 1.0\]\)"),
        (lambda: hydrokit.quantity(1.0, "flwo"), "dimension: found 'flwo', expected a Dimension or its word"),
    ],
)
def test_message(ask: Callable[[], Any], told: str) -> None:
    with pytest.raises(InputError, match=told):
        ask()
