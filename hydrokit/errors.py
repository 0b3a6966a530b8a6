"""The errors hydrokit raises; a bad rig is an answer, a bad question is an error.

::

    HydrokitError
    ├── InputError (also ValueError)    the question cannot be read; carries every mistake at once
    │   ├── UnitError                   text that is no number with a listed unit
    │   ├── RangeError                  a value outside what is possible
    │   └── NetworkError                lines, joints and demands that cannot all be satisfied
    ├── SolverError                     no answer was reached; none is ever returned unconverged
    ├── MissingExtra                    an optional library is not installed, or does not load
    └── OutputError                     a file could not be written; nothing was changed
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Iterable

__all__ = [
    "HydrokitError",
    "InputError",
    "MissingExtra",
    "Mistake",
    "NetworkError",
    "OutputError",
    "RangeError",
    "SolverError",
    "UnitError",
]


@dataclass(frozen=True, slots=True)
class Mistake:
    """One thing wrong with the input, and what to write instead.

    Parameters
    ----------
    place : str
        Address of the value, such as ``lines.intake.hose-1.bore``; an argument's name in a function call.
    found : str
        What was read.
    expected : str
        What would have been accepted.
    instead : str
        An example or the nearest right word; empty where there is none.
    line : int
        Line number in the file; 0 where there is no file.
    """

    place: str
    found: str
    expected: str
    instead: str = ""
    line: int = 0

    def __str__(self) -> str:
        where = f"line {self.line}: " if self.line else ""
        name = f"{self.place}: " if self.place else ""
        hint = f"; write {self.instead}" if self.instead else ""
        return f"{where}{name}found {self.found}, expected {self.expected}{hint}"


class HydrokitError(Exception):
    """Base of every error that hydrokit raises on purpose.

    Examples
    --------
    >>> issubclass(InputError, HydrokitError)
    True
    """


class InputError(HydrokitError, ValueError):
    """The question cannot be read; ``mistakes`` lists everything wrong with it.

    Examples
    --------
    >>> error = InputError([Mistake("hose.bore", "-1 m", "0.1 mm to 10 m", '"19 mm"')])
    >>> print(error)
    hose.bore: found -1 m, expected 0.1 mm to 10 m; write "19 mm"
    """

    def __init__(self, mistakes: Iterable[Mistake]) -> None:
        self.mistakes: tuple[Mistake, ...] = tuple(mistakes)
        super().__init__(self.mistakes)  # so that pickling rebuilds the error from its fields

    def __str__(self) -> str:
        return "\n".join(str(mistake) for mistake in self.mistakes)


class UnitError(InputError):
    """Text that is not a number with a listed unit of the wanted dimension."""


class RangeError(InputError):
    """A value outside what is possible."""


class NetworkError(InputError):
    """Lines, joints and demands that cannot all be satisfied."""


class SolverError(HydrokitError):
    """No answer was reached; says which part of the network would not settle.

    Parameters
    ----------
    message : str
    variants : tuple of int
        Numbers, from 0, of all variants that did not settle, among those that were solved together; empty where that
        is not known.

    Examples
    --------
    >>> SolverError("the network did not settle", variants=(3, 17)).variants
    (3, 17)
    """

    def __init__(self, message: str, variants: tuple[int, ...] = ()) -> None:
        self.variants = variants
        super().__init__(message)


class MissingExtra(HydrokitError):
    """An optional library is not installed, or is and does not load; ``extra`` names what to install.

    Examples
    --------
    >>> print(MissingExtra("plots", "matplotlib"))
    this needs matplotlib: pip install 'hydrokit[plots]'
    """

    def __init__(self, extra: str, library: str, reason: str = "") -> None:
        self.extra = extra
        self.library = library
        self.reason = " ".join(reason.split())
        super().__init__(extra, library, reason)

    def __str__(self) -> str:
        told = f", which is installed but does not load ({self.reason})" if self.reason else ""
        return f"this needs {self.library}{told}: pip install 'hydrokit[{self.extra}]'"


class OutputError(HydrokitError):
    """A file could not be written; whatever stood there before is unchanged.

    Examples
    --------
    >>> issubclass(OutputError, HydrokitError), issubclass(OutputError, ValueError)
    (True, False)
    """
