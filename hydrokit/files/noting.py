"""What is wrong with one file, noted while it is read, each mistake under its address and at its line."""

from __future__ import annotations

from dataclasses import replace
from typing import Final

from hydrokit.errors import InputError, Mistake
from hydrokit.files.frames import printable
from hydrokit.files.places import Places

__all__ = ["LONGEST_ADDRESS", "Notes", "joined"]

LONGEST_ADDRESS: Final = 200
"""Letters of an address that is shown, or looked for among others; far more than any rig's own has."""


def joined(*words: str) -> str:
    r"""Return an address of keys, each as it may be printed; empty ones are left out.

    Examples
    --------
    >>> joined("lines", "intake", ""), joined("lines", "a\tb")
    ('lines.intake', 'lines.a\\tb')
    """
    return ".".join(_shown(word) for word in words if word)


def _shown(word: str) -> str:
    """Return a key as it may be printed; an address is one already."""
    return word if len(word) <= LONGEST_ADDRESS and word.isprintable() else printable(word)[1:-1]


class Notes:
    r"""The mistakes in a text, in the order in which they were found.

    Parameters
    ----------
    text : str
        TOML that the parser accepts.

    Examples
    --------
    >>> notes = Notes('format = 1\n[parts.pump]\nbore = "2 kg"')
    >>> notes.note(Mistake("", "'2 kg'", "a length"), "parts", "pump", "bore")
    >>> print(notes.mistakes[0])
    line 3: parts.pump.bore: found '2 kg', expected a length
    """

    def __init__(self, text: str) -> None:
        self.places = Places(text.replace("\r\n", "\n"))
        self.mistakes: list[Mistake] = []

    def note(self, mistake: Mistake, *route: str | int, address: str | None = None) -> None:
        """Note a mistake at the line of a route through the tables; its address is the route, unless one is given."""
        words = [word for word in route if isinstance(word, str)] if address is None else [address]
        route = (*route, mistake.place) if mistake.place else route
        self.mistakes.append(replace(mistake, place=joined(*words, mistake.place), line=self.places.line(*route)))

    def settle(self) -> None:
        """Do nothing if nothing is wrong.

        Raises
        ------
        InputError
            Otherwise, with every mistake in the order of the file.
        """
        if self.mistakes:
            raise InputError(sorted(self.mistakes, key=lambda mistake: mistake.line))
