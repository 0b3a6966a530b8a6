"""Options that are quantities: text with a unit in, SI out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click
from click.shell_completion import CompletionItem

from hydrokit.bounds import Dimension, Spec, nearest
from hydrokit.errors import InputError, Mistake
from hydrokit.parts.reading import read_number

if TYPE_CHECKING:
    from collections.abc import Iterable

    from hydrokit.units import Measured

__all__ = ["Quantity", "UncertainQuantity", "Word", "length"]


class Quantity(click.ParamType[float]):
    """One number with a unit, within the limits of its specification.

    Parameters
    ----------
    spec : Spec
        What it may be.
    """

    name = "quantity"

    def __init__(self, spec: Spec) -> None:
        self.spec = spec
        self.example = spec.example.strip('"')

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> float:
        """Return the number, SI.

        Raises
        ------
        InputError
            If it is none, or has a tolerance; the place is the option.
        """
        del ctx
        number = _read(self.spec, value, param)
        if number.tolerance:
            raise InputError([Mistake(_place(param), f"a tolerance in {value!r}", "a value without ±")])
        return number.value


def length(doc: str, low: float, high: float, example: str) -> Quantity:
    """Return the type of a length within limits, SI."""
    return Quantity(Spec(Dimension.LENGTH, doc, low=low, high=high, example=f'"{example}"'))


class UncertainQuantity(click.ParamType["Measured"]):
    """One number with a unit and perhaps its uncertainty behind ±, within the limits of its specification."""

    name = "quantity"

    def __init__(self, spec: Spec) -> None:
        self.spec = spec
        self.example = spec.example.strip('"')

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Measured:
        """Return the number and what stands behind ±, SI.

        Raises
        ------
        InputError
            If it is none; the place is the option.
        """
        del ctx
        return _read(self.spec, value, param)


class Word(click.Choice[str]):
    """One of some words, whatever its capitals; the nearest is named where it is none of them.

    Parameters
    ----------
    words : iterable of str
        As they are written.
    """

    def __init__(self, words: Iterable[str]) -> None:
        super().__init__(tuple(words), case_sensitive=False)

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> str:
        """Return the word as it is listed.

        Raises
        ------
        InputError
            If it is none of them; the place is the option.
        """
        del ctx
        lowered = {word.lower(): word for word in self.choices}
        if (text := str(value)).lower() not in lowered:
            expected = f"one of {', '.join(self.choices)}"
            raise InputError([Mistake(_place(param), repr(value), expected, nearest(text[:60], self.choices))])
        return lowered[text.lower()]

    def shell_complete(self, ctx: click.Context, param: click.Parameter, incomplete: str) -> list[CompletionItem]:
        """Return the words that go on from what was typed."""
        del ctx, param
        return [CompletionItem(word) for word in self.choices if word.lower().startswith(incomplete.lower())]


def _place(param: click.Parameter | None) -> str:
    return "value" if param is None else param.opts[0]


def _read(spec: Spec, value: object, param: click.Parameter | None) -> Measured:
    place = _place(param)
    try:
        return read_number(spec, value)
    except InputError as error:
        wrong = [replace(each, place=place, instead=each.instead.replace('"', "")) for each in error.mistakes]
        raise InputError(wrong) from error
