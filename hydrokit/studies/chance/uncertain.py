"""What a rig states with ±, as distributions, and samples drawn from them.

A ± is the half-width of the range in which a value may lie. Where nothing more is known, any value in it is as likely as
any other, and its standard uncertainty is the half-width over the square root of three (rectangular). Where values near
the middle are likelier it is half of the half-width's square root of two thirds (triangular); where the ± was stated for
95 % it is half of it (normal, two standard deviations) [gum]_. The standard uncertainties are thus a/sqrt(3), a/sqrt(6)
and a/2. Each is cut off where its field can have no such value. All values err independently of each other.

References
----------
.. [gum] JCGM 100:2008, Evaluation of measurement data: guide to the expression of uncertainty in measurement, 4.3.4 to
   4.3.9 and 6.2 (from memory).
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import product
from typing import TYPE_CHECKING, Any, Final, Literal, get_args

import numpy as np

from hydrokit.bounds import Mistakes, require, require_word
from hydrokit.errors import InputError
from hydrokit.rig import replaced, spec_at, value_at

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from hydrokit.bounds import Array, Dimension
    from hydrokit.rig import Rig

__all__ = ["METHODS", "SHAPES", "Method", "Shape", "Uncertain", "draw_samples", "uncertain_values"]

Shape = Literal["rectangular", "triangular", "normal"]
Method = Literal["latin-hypercube", "sobol"]
SHAPES: Final[tuple[str, ...]] = get_args(Shape)
METHODS: Final[tuple[str, ...]] = get_args(Method)

_FEWEST: Final = 100
_FEWEST_EACH: Final = 10
_MOST: Final = 200_000
"""Samples beyond which percentiles no longer move by what a builder could read off. These three are our own choice."""
_TINY: Final = 2.0**-53
"""Least chance that is told apart from none, so that no sample is infinitely far away."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Uncertain:
    """One value that is not exactly known: ``spread`` is its ±, ``low`` and ``high`` the range that it may lie in.

    SI, of ``dimension``; a spread of a temperature is a difference. The range of a normal distribution is that of its
    field.
    """

    address: str
    dimension: Dimension
    value: float
    spread: float
    low: float
    high: float


def _below(shape: str, z: Any) -> Any:
    """Return the chance of lying below a place, in half-widths from the middle."""
    if shape == "normal":
        from scipy.special import ndtr

        return ndtr(2.0 * z)
    inside = np.clip(z, -1.0, 1.0)
    if shape == "rectangular":
        return 0.5 * (1.0 + inside)
    return np.where(inside < 0.0, 0.5 * (1.0 + inside) ** 2, 1.0 - 0.5 * (1.0 - inside) ** 2)


def _place(shape: str, chance: Any) -> Any:
    """Return the place below which lies a chance, in half-widths from the middle."""
    if shape == "normal":
        from scipy.special import ndtri

        return 0.5 * ndtri(np.clip(chance, _TINY, 1.0 - _TINY))
    if shape == "rectangular":
        return 2.0 * chance - 1.0
    return np.where(chance < 0.5, np.sqrt(2.0 * chance) - 1.0, 1.0 - np.sqrt(2.0 * np.maximum(1.0 - chance, 0.0)))


def _values(each: Uncertain, shape: str, chances: Array) -> Array:
    """Return the values of one input below which lie the chances, the distribution cut off at its range."""
    if each.spread == 0.0:
        return np.full(len(chances), each.value)
    first, last = (float(_below(shape, (end - each.value) / each.spread)) for end in (each.low, each.high))
    drawn = each.value + each.spread * _place(shape, first + chances * (last - first))
    return np.asarray(np.clip(drawn, each.low, each.high), np.float64)  # rounding alone could pass the ends


def uncertain_values(
    rig: Rig, mode: str, changed: Mapping[str, float], tolerances: Mapping[str, float], shape: Shape
) -> tuple[Uncertain, ...]:
    """Return every value that is stated with ±, in the order of the addresses, whatever the order of the file.

    Parameters
    ----------
    rig : Rig
    mode : str
        Its values stand in front of those of the rig.
    changed : mapping of address to float
        Values that stand in front of both; their ± stays. SI.
    tolerances : mapping of address to float
        Half-widths that stand in front of those of the rig; 0 holds a value. SI.
    shape : str
        One of ``SHAPES``.

    Raises
    ------
    InputError
        If nothing is stated with ±, an address names no number, or a ± is not possible; every mistake at once.
    """
    require_word("shape", shape, SHAPES)
    mistakes = Mistakes()
    stated = {**rig.mode(mode)[1].values, **changed}
    found = []
    for address, spread in sorted({**rig.tolerances, **tolerances}.items()):
        try:
            spec, value = spec_at(rig, address), stated.get(address, value_at(rig, address))
            require(f"± of {address}", spread, 0.0, np.finfo(np.float64).max, spec.dimension.si_unit)
        except InputError as error:
            mistakes.extend(error)
            continue
        if value is None:
            mistakes.add(address, "a ± of a value that is left out", "a value as well")
            continue
        ends = (-np.inf, np.inf) if shape == "normal" else (value - spread, value + spread)
        low, high = (value, value) if spread == 0.0 else (max(ends[0], spec.low), min(ends[1], spec.high))
        found.append(
            Uncertain(address=address, dimension=spec.dimension, value=value, spread=spread, low=low, high=high)
        )
    if not (found or mistakes.found):
        mistakes.add(
            "rig",
            "no value with ±",
            "what you are not sure of with ± behind it, and how much it may be off",
            'length = "2.5 ± 0.3 m" in a line\'s hose, or water_temperature = "9 ± 3 °C" under [site]',
        )
    mistakes.settle()
    return tuple(found)


def _even(dimensions: int, samples: int, seed: int, method: Method) -> Array:
    """Return samples spread evenly over a cube of edge 1, shape (samples, dimensions)."""
    from scipy.stats import qmc

    random = np.random.default_rng(seed)
    if method == "sobol":
        engine = qmc.Sobol(dimensions, scramble=True, seed=random)
        return np.asarray(engine.random_base2(samples.bit_length() - 1), np.float64)
    return np.asarray(qmc.LatinHypercube(dimensions, seed=random).random(samples), np.float64)


def _refuse_impossible(rig: Rig, inputs: Sequence[Uncertain], drawn: Mapping[str, Array]) -> None:
    """Refuse samples that one part or end could not have, such as a level above the depth of its tank."""
    mistakes = Mistakes()
    together: dict[str, list[Uncertain]] = {}
    for each in inputs:
        together.setdefault(each.address.rpartition(".")[0], []).append(each)
    for own in together.values():
        reached = [(float(drawn[each.address].min()), float(drawn[each.address].max())) for each in own]
        for corner in product(*reached):
            try:
                replaced(rig, {each.address: value for each, value in zip(own, corner, strict=True)})
            except InputError as error:
                for wrong in error.mistakes:
                    mistakes.add(wrong.place, f"a ± that reaches {wrong.found}", wrong.expected, "a smaller ±")
                break
    mistakes.settle()


def draw_samples(
    rig: Rig, inputs: Sequence[Uncertain], *, samples: int, seed: int, shape: Shape, method: Method
) -> dict[str, Array]:
    """Return samples of every input by address, shape (samples,), SI; the same for the same seed.

    Parameters
    ----------
    rig : Rig
        With the values in place that the samples are drawn around.
    inputs : sequence of Uncertain
    samples : int
        How many; a power of two for the Sobol sequence.
    seed : int
        Of the random numbers.
    shape : str
        One of ``SHAPES``, for all inputs.
    method : str
        One of ``METHODS``.

    Raises
    ------
    InputError
        If the number of samples or the seed will not do, or samples reach what a part cannot be.
    """
    mistakes = Mistakes()
    least = max(_FEWEST, _FEWEST_EACH * len(inputs))
    if not least <= samples <= _MOST:
        wanted = f"{least} to {_MOST}, and {_FEWEST_EACH} or more for each uncertain value"
        mistakes.add("samples", str(samples), wanted, "4096")
    elif method == "sobol" and samples.bit_count() != 1:
        mistakes.add("samples", str(samples), "a power of two for the Sobol sequence", str(1 << samples.bit_length()))
    if method not in METHODS:
        mistakes.add("method", repr(method), f"one of {', '.join(METHODS)}")
    if seed < 0:
        mistakes.add("seed", str(seed), "a whole number from 0", "1")
    mistakes.settle()
    chances = _even(len(inputs), samples, seed, method)
    drawn = {each.address: _values(each, shape, chances[:, place]) for place, each in enumerate(inputs)}
    _refuse_impossible(rig, inputs, drawn)
    return drawn
