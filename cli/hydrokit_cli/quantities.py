"""Options that are quantities: text with a unit in, SI out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from hydrokit.errors import InputError
from hydrokit.parts.reading import read_number

if TYPE_CHECKING:
    from hydrokit.bounds import Spec
    from hydrokit.units import Measured

__all__ = ["Quantity", "UncertainQuantity"]


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
            raise click.BadParameter("a value without ± is wanted", param=param)
        return number.value


class UncertainQuantity(click.ParamType["Measured"]):
    """One number with a unit and perhaps its uncertainty behind ±, within the limits of its specification."""

    name = "quantity"

    def __init__(self, spec: Spec) -> None:
        self.spec = spec

    def convert(self, value: object, param: click.Parameter | None, ctx: click.Context | None) -> Measured:
        """Return the number and what stands behind ±, SI.

        Raises
        ------
        InputError
            If it is none; the place is the option.
        """
        del ctx
        return _read(self.spec, value, param)


def _read(spec: Spec, value: object, param: click.Parameter | None) -> Measured:
    place = "value" if param is None else param.opts[0]
    try:
        return read_number(spec, value)
    except InputError as error:
        wrong = [replace(each, place=place, instead=each.instead.strip('"')) for each in error.mistakes]
        raise InputError(wrong) from error
