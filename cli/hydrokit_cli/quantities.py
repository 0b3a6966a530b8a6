"""Options that are quantities: text with a unit in, SI out."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import click

from hydrokit.errors import InputError
from hydrokit.parts.reading import read_number

if TYPE_CHECKING:
    from hydrokit.bounds import Spec

__all__ = ["Quantity"]


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
        place = "value" if param is None else param.opts[0]
        try:
            number = read_number(self.spec, value)
        except InputError as error:
            wrong = [replace(each, place=place, instead=each.instead.strip('"')) for each in error.mistakes]
            raise InputError(wrong) from error
        if number.tolerance:
            raise click.BadParameter("a value without ± is wanted", param=param)
        return number.value
